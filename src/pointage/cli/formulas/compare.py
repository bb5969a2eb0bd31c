"""`pointage compare`: two formulas side by side."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import TYPE_CHECKING, Annotated

from pointage.cli.declared import Argument, KitchenFile, Option
from pointage.language import say, written

if TYPE_CHECKING:
    from pointage.formula.compare import Comparison

NOTHING = "–"


def compare(
    before: Annotated[str, Argument(metavar="BEFORE.toml", help="A formula's file.")],
    after: Annotated[str, Argument(metavar="AFTER.toml", help="The other formula's file.")],
    *,
    kitchen: KitchenFile = None,
    json: Annotated[bool, Option("--json", help="Print one JSON object.")] = False,
) -> None:
    """Show what changed between two formulas.

    In percent of the flour, and in the result.
    """
    from pointage.cli.files import read_kitchen_text, read_text
    from pointage.cli.table import print_json
    from pointage.errors import Faults

    faults = Faults()
    texts = (
        faults.take(read_text, before, "BEFORE.toml"),
        faults.take(read_text, after, "AFTER.toml"),
    )
    kitchen_text = faults.maybe(read_kitchen_text, kitchen, "--kitchen")
    from pointage.desk.at_hand import at_hand  # the engine, once the files are read
    from pointage.desk.formulas.compare import compare_texts, comparison_json

    now = datetime.now(UTC)
    here = faults.take(at_hand, now, kitchen_text, kitchen)
    found = compare_texts(texts, (before, after), here, now, faults)
    if json:
        print_json(comparison_json(found))
    else:
        _print(found)


def _print(found: Comparison) -> None:
    from pointage.cli.table import table
    from pointage.quantities import print_number
    from pointage.shown import degrees_sign, in_degrees

    def number(value: object) -> str:
        if value is None:
            return NOTHING
        return value if isinstance(value, str) else written(print_number(float(str(value)), 2))

    def signed(value: float) -> str:
        return ("+" if value > 0 else "") + number(value).replace("-", "−")

    def percent(value: float | None) -> str:
        return NOTHING if value is None else written(print_number(value, 2))

    names = [found.before, found.after]
    if found.before == found.after:
        names = [say("before"), say("after")]
    for heading, changes in (
        (say("total formula, % of flour"), found.total),
        (say("stages"), found.stages),
    ):
        rows = [
            [
                f"{each.stage}: {each.name}" if each.stage else each.name,
                percent(None if each.before is None else float(each.before)),
                percent(None if each.after is None else float(each.after)),
                signed(float(each.difference)) if each.difference else "",
            ]
            for each in changes
        ]
        if rows:
            print(table([heading, *names, say("change")], rows) + "\n")
    rows = []
    for each in (each for each in found.consequences if each.is_changed):
        unit, pair = each.unit, [each.before, each.after]
        if unit == "°C":
            unit = degrees_sign()
            pair = [in_degrees(it) if isinstance(it, int | float) else it for it in pair]
        rows.append([f"{say(each.name)} {unit}".strip(), *map(number, pair)])
    if rows:
        print(table([say("what follows"), *names], rows))
    if found.is_same:
        print(say("Nothing is different."))
