"""`pointage label`: what a bread contains."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import UTC, datetime
from typing import TYPE_CHECKING, Annotated, Any

from pointage.cli.declared import Argument, Option
from pointage.language import say, within

if TYPE_CHECKING:
    from pointage.desk.formulas.label import LabelAnswer


def label(
    formula: Annotated[str, Argument(metavar="FORMULA.toml", help="The formula's file.")],
    *,
    style: Annotated[str, Option(help="Whose rules it is rounded by: us or eu.")] = "us",
    pieces: Annotated[
        str | None, Option(help="How many pieces; the formula's own if left out.")
    ] = None,
    piece: Annotated[
        str | None, Option(help="The mass of a piece before baking, such as 900g.")
    ] = None,
    serving: Annotated[str | None, Option(help="A serving of bread, such as 50g.")] = None,
    loss: Annotated[
        str | None,
        Option(help="The loss in the oven, such as 12% of the dough; the usual if left out."),
    ] = None,
    may_contain: Annotated[
        list[str] | None,
        Option(
            help="An allergen it may contain by accident, such as nuts or sesame; may be repeated."
        ),
    ] = None,
    json: Annotated[bool, Option("--json", help="Print one JSON object.")] = False,
) -> None:
    """Show the nutrition and allergens of a formula's bread.

    Uses the formula's own figures of its flours, else those of the sacks in use.
    """
    from pointage.cli.files import read_text
    from pointage.cli.options import as_options
    from pointage.cli.table import print_json
    from pointage.desk.at_hand import sacks_at_hand
    from pointage.desk.formulas.label import label as label_of
    from pointage.desk.formulas.label import read_asked
    from pointage.errors import Faults
    from pointage.formula.file.read import read_formula
    from pointage.quantities import parse_count

    faults = Faults()
    count = faults.maybe(parse_count, pieces, "--pieces")
    made = faults.take(read_formula, faults.take(read_text, formula, "FORMULA.toml"), formula)
    given: Any = {"style": style, "piece": piece, "serving": serving, "loss": loss}
    named = tuple(may_contain or ())
    with faults, as_options(**given, may_contain=may_contain):
        read_asked(**given, may_contain=named)
    faults.check()
    flours = sacks_at_hand(datetime.now(UTC))
    found = label_of(made, **given, pieces=count, may_contain=named, flours=flours)
    if json:
        print_json(found.as_json())
    else:
        _print(found)


def _print(found: LabelAnswer) -> None:
    from pointage.cli.table import grams, table
    from pointage.cli.terminal import harmless
    from pointage.desk.formulas.label import percent_text

    lost = percent_text(found.loss)
    if not found.loss_given:
        lost = say("{loss}, as is usual for such a piece", loss=lost)
    print(
        say(
            "{name}, {pieces} of {dough}: a piece of bread is {bread} when the oven takes {loss}\n",
            name=harmless(found.name),
            pieces=found.pieces,
            dough=grams(float(found.piece_g), 1),
            bread=grams(float(found.bread_g), 1),
            loss=lost,
        )
    )
    shares = any(row.share for row in found.panel)
    serving = grams(float(found.serving_g), 1)
    heads = ["", say("in 100 g"), say("in {serving}", serving=serving)]
    rows = [
        [("  " if row.line.part else "") + say(row.line.name), row.per_100_g, row.per_serving]
        + ([row.share or ""] if shares else [])
        for row in found.panel
    ]
    print(table([*heads, say("daily value")] if shares else heads, rows))
    listed = (
        say(each.label).upper() if each.allergens else within(say(each.label))
        for each in found.listed
    )
    print("\n" + say("Ingredients: {names}.", names=", ".join(listed)))
    if found.contains:
        print(say("Contains: {names}.", names=_listed(found.contains)))
    else:
        print(say("Contains: no allergen that must be named."))
    if found.may_contain:
        print(say("May contain: {names}.", names=_listed(found.may_contain)))
    for caution in found.cautions:
        print(say("Caution: {caution}", caution=caution))


def _listed(allergens: Sequence[str]) -> str:
    return ", ".join(say(each) for each in allergens)
