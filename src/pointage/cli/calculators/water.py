"""`pointage water`: the water temperature for a mix."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

from pointage.cli.declared import Option
from pointage.language import say

if TYPE_CHECKING:
    from pointage.desk.calculators.water import WaterAnswer


def water(
    *,
    target: Annotated[str, Option(help="The wanted temperature of the mix, such as 25C or 77F.")],
    water: Annotated[str, Option(help="The mass of the water, such as 600g.")],
    part: Annotated[
        list[str] | None,
        Option(
            metavar="KIND:MASS@TEMPERATURE",
            help="What else goes in, such as flour:600g@18C; may be repeated. Kinds: flour; "
            "seed, levain, soaker and dough (half flour, half water; levain/60 has 60 % of water "
            "to its flour); ice; any ingredient by name. What is wet and below 0C is frozen.",
        ),
    ] = None,
    vessel: Annotated[
        str | None,
        Option(
            metavar="KIND:MASS@TEMPERATURE",
            help="The vessel, such as glass:900g@18C. "
            "Kinds: glass, steel, plastic, ceramic, wood, aluminium, iron.",
        ),
    ] = None,
    friction: Annotated[
        str | None,
        Option(
            help="How much mixing warms the dough, such as 2C by a thermometer. The "
            "factor method subtracts the same figure."
        ),
    ] = None,
    mixing: Annotated[
        list[str] | None,
        Option(
            metavar="WAY:TIME",
            help="Instead of --friction, how it is mixed, such as hand:10min; may be repeated. "
            "Ways: hand, hand-folds, spiral-slow, spiral-fast, planetary, food-processor. The heat "
            "of wetting the flour is then counted too.",
        ),
    ] = None,
    tap: Annotated[
        str | None,
        Option(help="How cold the tap runs, such as 10C; then the ice is calculated too."),
    ] = None,
    room: Annotated[
        str | None,
        Option(
            help="The room, for the factor method; without it, the flour's temperature is used."
        ),
    ] = None,
    scald: Annotated[
        bool, Option("--scald", help="The mix has no yeast: the water may be boiling.")
    ] = False,
    altitude: Annotated[
        str, Option(help="The height above the sea, such as 1500m, where water boils sooner.")
    ] = "0m",
    moisture: Annotated[
        str | None,
        Option(help="How damp the flour is, such as 15.5 (percent); the usual if left out."),
    ] = None,
    json: Annotated[bool, Option("--json", help="Print one JSON object.")] = False,
) -> None:
    """Find the water temperature that brings a dough to target."""
    from pointage.cli.table import print_json
    from pointage.desk.calculators.water import water_for

    answer = water_for(
        target,
        water,
        part or [],
        vessel=vessel,
        friction=friction,
        mixing=mixing or [],
        tap=tap,
        room=room,
        scald=scald,
        altitude=altitude,
        moisture=moisture,
    )
    if json:
        print_json(answer.as_json())
    else:
        _print(answer)


def _print(answer: WaterAnswer) -> None:
    from pointage.quantities import print_number
    from pointage.shown import warmth

    print(say("water  {warmth}", warmth=warmth(answer.water_temperature_c)))
    if answer.factor_method_c is not None:
        by_factors = warmth(answer.factor_method_c)
        print(say("       {warmth} by the factor method", warmth=by_factors))
    if answer.ice_g:
        rest = float(answer.water_g) - answer.ice_g
        print(
            say(
                "ice    {ice} g, and {rest} g from the tap",
                ice=print_number(answer.ice_g),
                rest=print_number(rest),
            )
        )
    print(answer.why)
    for warning in answer.warnings:
        print(say("Warning: {warning}.", warning=warning))
