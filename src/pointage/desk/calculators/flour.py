"""Flour arithmetic for a mill's sheet in hand: a blend of two, a moisture basis, a type's ash."""

from __future__ import annotations

from dataclasses import dataclass

from pointage.errors import MISSING, InputError
from pointage.formula.flour.sheet import (
    Blend,
    MillSheet,
    blend,
    share_for,
)
from pointage.formula.flour.types import FlourType, flour_type, types_of_ash
from pointage.language import say
from pointage.science.flour_analysis import liquefaction, on_basis

FIGURES = ("ash", "protein", "falling")


@dataclass(frozen=True, slots=True)
class BlendAnswer:
    """A blend and the national types its ash comes nearest to.

    share_one: percent of the first flour, by mass, when a figure was wanted and it was found.
    """

    blend: Blend
    types: tuple[FlourType, ...]
    share_one: float | None = None


def blend_two(
    one: tuple[MillSheet, float],
    two: tuple[MillSheet, float],
    figure: str = "ash",
    wanted: float | None = None,
) -> BlendAnswer:
    """The blend of two flours, each with its grams.

    wanted, figure (ash, protein or falling): the shares are found for that, and the grams keep
    their sum. Raises InputError, field "wanted", "figure" or "blend".
    """
    share = None
    if wanted is not None:
        share = _share(one[0], two[0], figure, wanted)
        total = one[1] + two[1]
        one, two = (one[0], total * share), (two[0], total * (1 - share))
    found = blend([one, two])
    types = () if found.ash_dry is None else types_of_ash(found.ash_dry)
    return BlendAnswer(found, types, None if share is None else 100 * share)


@dataclass(frozen=True, slots=True)
class Converted:
    """A percent at another moisture."""

    value: float
    moisture: float


def convert(value: float, moisture: float, wanted: float) -> Converted:
    """A percent at one moisture, in percent, as it is at another; of dry matter at 0."""
    return Converted(on_basis(value, moisture, wanted), wanted)


def types(called: str, ash: float | None = None, grain: str = "wheat") -> tuple[FlourType, ...]:
    """The types elsewhere that a type's ash comes nearest to; of an ash, in percent of the dry
    matter, where no type is called so. Raises InputError, field "type" or "grain"."""
    if grain not in ("wheat", "rye"):
        raise InputError("grain", repr(grain), say("wheat or rye"))
    try:
        known = flour_type(called, grain, "type")
    except InputError:
        if ash is None:
            raise
        return types_of_ash(ash, grain)
    others = types_of_ash(known.middle, grain)
    return (known, *(each for each in others if each.country != known.country))


def _share(one: MillSheet, two: MillSheet, figure: str, wanted: float) -> float:
    """The share of mass of `one`, by dry matter or by liquefaction number."""
    if figure not in FIGURES:
        raise InputError("figure", repr(figure), say("ash, protein or falling"))
    if figure == "falling":
        first, second = (_known(each.falling_s) for each in (one, two))
        low, high = sorted((first, second))
        if not low <= wanted <= high:
            raise InputError(
                "wanted",
                f"{wanted:g} s",
                say("between the two, {low:g} and {high:g} s", low=low, high=high),
            )
        wanted, first, second = map(liquefaction, (wanted, first, second))
        return share_for(wanted, first, second, "wanted")
    first, second = (_known(getattr(each, figure)) for each in (one, two))
    dry = share_for(wanted, first, second, "wanted")
    mass_one, mass_two = dry / (100 - one.moisture), (1 - dry) / (100 - two.moisture)
    return mass_one / (mass_one + mass_two)


def _known(value: float | None) -> float:
    if value is None:
        raise InputError("wanted", MISSING, say("a number"))
    return value
