"""`pointage plan`: the whole way back from bread that is ready."""

from __future__ import annotations

from typing import Annotated

from pointage.cli.declared import Argument, KitchenFile, Option, PlannedFrom


def plan(
    formula: Annotated[str, Argument(metavar="FORMULA.toml", help="The formula's file.")],
    *,
    ready: Annotated[str, Option(help="When bread is out of the oven, such as 2026-12-05T09:00.")],
    zone: Annotated[
        str | None, Option(help="The time zone, such as Europe/Dublin; else the kitchen's.")
    ] = None,
    kitchen: KitchenFile = None,
    pieces: Annotated[str | None, Option(help="How many pieces; else the formula's.")] = None,
    piece: Annotated[
        str | None, Option(help="The mass of a piece before baking; else the formula's.")
    ] = None,
    now: PlannedFrom = None,
    lean: Annotated[
        list[str] | None,
        Option(help="Where there is a choice: early, night, waste or chores, or early=strongly."),
    ] = None,
    json: Annotated[bool, Option("--json", help="Print one JSON object.")] = False,
) -> None:
    """Plan a bake back from when the bread is to be ready.

    Its feeds, levain, mix, proof and bake.
    """
    from pointage.cli.bakes.timetable import print_plan
    from pointage.cli.files import read_kitchen_text, read_text
    from pointage.cli.options import as_options
    from pointage.cli.table import print_json
    from pointage.errors import Faults

    faults = Faults()
    text = faults.take(read_text, formula, "FORMULA.toml")
    kitchen_text = faults.maybe(read_kitchen_text, kitchen, "--kitchen")
    from pointage.desk.bakes.plan import plan_json, plan_text  # the engine, once the files are read
    from pointage.desk.week.lean import chosen_for, read_leans

    with as_options(ready=ready, pieces=pieces, piece=piece):
        answer = plan_text(
            formula_text=text,
            source=formula,
            ready=ready,
            zone=zone,
            kitchen_text=kitchen_text,
            kitchen_source=kitchen,
            pieces=pieces,
            piece=piece,
            now=now,
            lean=lean or (),
            faults=faults,
        )
    if json:
        print_json(plan_json(answer, read_leans(lean or (), "--lean")))
    else:
        print_plan(answer, chosen_for(read_leans(lean or (), "--lean")))
