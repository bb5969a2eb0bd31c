"""The shopping list for paper."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime

from pointage.desk.now.present import Present
from pointage.desk.sheets.parts.frame import framed
from pointage.desk.sheets.parts.times import day
from pointage.desk.wording.amounts import mass
from pointage.documents.blocks import Block, PrintedLines, PrintedNotes, PrintedTable, Sheet
from pointage.formula.ingredients import ingredient
from pointage.language import say
from pointage.larder.shopping import ShoppingLine


def shopping_sheet(
    lines: Sequence[ShoppingLine],
    until: datetime,
    present: Present,
    now: datetime,
    address: str = "",
) -> Sheet:
    """What is lacking until then, with what it is for; and what there is enough of."""
    zone = present.kitchen.zone
    lacking = [line for line in lines if line.buy_g]
    enough = [say(ingredient(line.ingredient).label) for line in lines if not line.buy_g]
    blocks: list[Block] = []
    if lacking:
        blocks.append(PrintedTable(
            "",
            (say("buy"), "", say("needed"), say("there"), say("for")),
            tuple(_row(line) for line in lacking),
            "lrrrl",
            strong=(1,),
            tick=True,
            wide=4,
        ))  # fmt: skip
    else:
        blocks.append(PrintedNotes("", (say("Nothing is lacking."),)))
    if enough:
        blocks.append(PrintedNotes(say("There is enough of"), (", ".join(enough),)))
    blocks.append(PrintedLines(say("Also"), 8))
    lead = say("Until {day}", day=day(until, zone))
    return framed(say("Shopping list"), lead, blocks, present, now, address=address)


def _row(line: ShoppingLine) -> tuple[str, ...]:
    buy = mass(line.buy_g)
    if line.packs and line.pack_g:
        buy = say("{packs} × {mass}", packs=line.packs, mass=mass(line.pack_g))
    return (
        say(ingredient(line.ingredient).label),
        buy,
        mass(line.needed_g),
        mass(line.stock_g),
        ", ".join(line.what),
    )
