"""The handout of a class: formula, method, the why in the margin, and the words."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime

from pointage.desk.formulas.sheets import sheet as trade_table
from pointage.desk.now.unrecorded import PlainKitchen
from pointage.desk.sheets.bench import BenchBatch
from pointage.desk.sheets.parts.frame import framed
from pointage.desk.sheets.parts.glossary import glossary
from pointage.desk.sheets.parts.process import worked
from pointage.desk.sheets.parts.table import formula_facts, formula_table
from pointage.desk.wording.amounts import count, mass
from pointage.documents.blocks import (
    Block,
    PrintedLines,
    PrintedMargin,
    PrintedMethod,
    PrintedNotes,
    PrintedTerms,
    Sheet,
)
from pointage.formula.formula import Formula
from pointage.language import say

ALWAYS = ("percent", "hydration", "yield", "prefermented")


def handout_sheet(
    batch: BenchBatch, present: PlainKitchen, now: datetime, address: str = ""
) -> Sheet:
    """The sheet. Raises InputError."""
    formula = batch.formula
    found = trade_table(formula, present.kitchen, batch.pieces, batch.piece_g)
    blocks = tuple(_blocks(formula, formula_table(found)))
    pieces = say(
        "{pieces} of {mass}", pieces=count(batch.pieces, "piece"), mass=mass(batch.piece_g)
    )  # fmt: skip
    # First what is written from the left: figures after Arabic or Hebrew would stand before it.
    lead = f"{pieces}. {formula.about}" if formula.about else pieces
    facts = formula_facts(found, formula)
    return framed(
        formula.name, lead, blocks, present, now,
        facts=facts, address=address, rights=formula.rights,
    )  # fmt: skip


def _blocks(formula: Formula, table: Block) -> Iterator[Block]:
    yield table
    steps = list(worked(formula))
    if steps:
        whys = [each.why for each in steps]
        rows = tuple(
            PrintedMargin(each.title, each.text, "" if each.why in whys[:n] else each.why)
            for n, each in enumerate(steps)  # two levains have one why
        )
        yield PrintedMethod(say("Method"), rows, say("Why"))
    yield PrintedTerms(say("Words"), glossary(_used(formula, [each.key for each in steps])))
    if formula.cautions:
        yield PrintedNotes("", formula.cautions, marked=True)
    yield PrintedLines(say("Notes"), 4)


def _used(formula: Formula, steps: list[str]) -> set[str]:
    """The keys of the words on the sheet."""
    used = {*ALWAYS, *steps, *(stage.kind.value for stage in formula.stages)}
    if formula.levain is not None:
        used |= {"culture", "ripe"}
    if formula.process is not None:
        used |= {"rise", "crumb", formula.process.shape}
        if "score" in formula.process.bake_note.lower():
            used.add("score")
    return used
