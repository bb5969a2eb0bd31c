"""`pointage week`: several wishes planned at once, in one kitchen."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Annotated

from pointage.cli.declared import Argument, KitchenFile, Option, PlannedFrom


def week(
    wishes: Annotated[str, Argument(metavar="WISHES.toml", help="The file of wishes.")],
    *,
    kitchen: KitchenFile = None,
    now: PlannedFrom = None,
    json: Annotated[bool, Option("--json", help="Print one JSON object.")] = False,
) -> int | None:
    """Plan several bakes at once.

    Hands, oven, fridge and baskets are shared between them.
    """
    from pointage.cli.files import read_kitchen_text, read_text
    from pointage.cli.table import print_json
    from pointage.cli.terminal import harmless
    from pointage.errors import Faults, InputErrors

    faults = Faults()
    text = faults.take(read_text, wishes, "WISHES.toml")
    kitchen_text = faults.maybe(read_kitchen_text, kitchen, "--kitchen")

    def beside(name: str, field: str) -> str:
        return read_text(str(Path(wishes).parent / name), field)

    from pointage.cli.bakes.week_text import week_lines
    from pointage.desk.week.plan import week_json, week_text

    found = week_text(
        text,
        wishes,
        beside,
        kitchen_text=kitchen_text,
        kitchen_source=kitchen,
        now=now,
        faults=faults,
    )
    wrong = found.faults
    if wrong and found.answer is None:
        raise InputErrors(wrong)
    if json:
        print_json(week_json(found))
    else:
        for line in week_lines(found):
            print(harmless(line))
    if not wrong:
        return None
    # What can be planned is; the rest is named, and whoever calls hears that it is not all.
    for fault in wrong:
        print("pointage: " + " ".join(str(fault).split()), file=sys.stderr)
    return 2
