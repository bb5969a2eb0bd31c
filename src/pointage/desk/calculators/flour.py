"""Flour arithmetic for a mill's sheet in hand: a blend of two, a moisture basis, a type's ash."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from pointage.bounds import HEAVIEST_G
from pointage.errors import Faults, InputError
from pointage.formula.flour.sheet import (
    Blend,
    Sheet,
    blend,
    share_for,
)
from pointage.formula.flour.types import FlourType, flour_type, types_of_ash
from pointage.quantities import split_number
from pointage.science.flour_analysis import (
    AS_IS_14,
    DRY,
    liquefaction,
    on_basis,
)

FIGURES = ("ash", "protein", "falling")


@dataclass(frozen=True, slots=True)
class BlendAnswer:
    """A blend and the national types its ash comes nearest to.

    share_one: percent of the first flour, by mass, when a figure was wanted and it was found.
    """

    blend: Blend
    types: tuple[FlourType, ...]
    share_one: float | None = None


def blend_two(typed: Mapping[str, str]) -> BlendAnswer:
    """The blend of two flours from the fields of a form.

    one-grams, one-moisture, one-ash, one-protein, one-falling, and the same of two: ash and protein
    in percent of dry matter, falling number in seconds, empty where it is not known. wanted and
    figure (ash, protein or falling): the shares are found for that, and the grams keep their sum.
    Raises InputError and RangeError.
    """
    faults = Faults()
    take = faults.take
    sheets = {which: take(_sheet, typed, which) for which in ("one", "two")}
    one, two = (take(_needed, typed, f"{which}-grams", HEAVIEST_G) for which in sheets)
    wanted = take(_number, typed, "wanted", 1000)
    faults.check()
    share = None
    if wanted is not None:
        share = _share(sheets["one"], sheets["two"], typed.get("figure", "ash"), wanted)
        one, two = (one + two) * share, (one + two) * (1 - share)
    found = blend([(sheets["one"], one), (sheets["two"], two)])
    types = () if found.ash_dry is None else types_of_ash(found.ash_dry)
    return BlendAnswer(found, types, None if share is None else 100 * share)


@dataclass(frozen=True, slots=True)
class Converted:
    """A percent at another moisture."""

    value: float
    moisture: float


def convert(typed: Mapping[str, str]) -> Converted:
    """Fields value, from and to: a percent at one moisture, told at another."""
    faults = Faults()
    value = faults.take(_needed, typed, "value", 100)
    moisture, wanted = (faults.take(_number, typed, each, 40) for each in ("from", "to"))
    faults.check()
    to = AS_IS_14 if wanted is None else wanted
    return Converted(on_basis(value, DRY if moisture is None else moisture, to), to)


def types(typed: Mapping[str, str]) -> tuple[FlourType, ...]:
    """Fields type and grain: the types elsewhere that a type's ash, or an ash, comes nearest to."""
    text = typed.get("type", "").strip()
    grain = typed.get("grain", "wheat")
    if grain not in ("wheat", "rye"):
        raise InputError("grain", repr(grain), "wheat or rye")
    try:
        known = flour_type(text, grain, "type")
    except InputError as error:
        try:
            ash = float(split_number(text, "type", "an ash such as 0.65")[0])
        except InputError:
            raise error from None
        if not 0.2 <= ash <= 3:
            raise error from None
        return types_of_ash(ash, grain)
    others = types_of_ash(known.middle, grain)
    return (known, *(each for each in others if each.country != known.country))


def _sheet(typed: Mapping[str, str], which: str) -> Sheet:
    faults = Faults()
    moisture, ash, protein, falling = (
        faults.take(_number, typed, f"{which}-{figure}", most)
        for figure, most in (("moisture", 40), ("ash", 5), ("protein", 90), ("falling", 900))
    )
    faults.check()
    return Sheet(AS_IS_14 if moisture is None else moisture, ash, protein, falling)


def _share(one: Sheet, two: Sheet, figure: str, wanted: float) -> float:
    """The share of mass of `one`, by dry matter or by liquefaction number."""
    if figure not in FIGURES:
        raise InputError("figure", repr(figure), "ash, protein or falling")
    if figure == "falling":
        first, second = (_known(each.falling_s) for each in (one, two))
        low, high = sorted((first, second))
        if not low <= wanted <= high:
            raise InputError("wanted", f"{wanted:g} s", f"between the two, {low:g} and {high:g} s")
        wanted, first, second = map(liquefaction, (wanted, first, second))
        return share_for(wanted, first, second, "wanted")
    first, second = (_known(getattr(each, figure)) for each in (one, two))
    dry = share_for(wanted, first, second, "wanted")
    mass_one, mass_two = dry / (100 - one.moisture), (1 - dry) / (100 - two.moisture)
    return mass_one / (mass_one + mass_two)


def _known(value: float | None) -> float:
    if value is None:
        raise InputError("wanted", "nothing", "a number")
    return value


def _needed(typed: Mapping[str, str], field: str, most: float) -> float:
    value = _number(typed, field, most)
    if value is None:
        raise InputError(field, "nothing", "a number")
    return value


def _number(typed: Mapping[str, str], field: str, most: float) -> float | None:
    text = typed.get(field, "").strip()
    if not text:
        return None
    number, unit = split_number(text, field, f"a number up to {most:g}")
    if unit not in ("", "%", "g", "s") or not 0 <= number <= most:
        raise InputError(field, repr(text), f"a number from 0 to {most:g}")
    return float(number)
