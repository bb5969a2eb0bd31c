"""What a mill's sheet says of a flour, on one moisture basis or another, and what a blend comes to.

Percents are of mass; falling numbers are seconds.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from pointage.errors import InputError
from pointage.language import say
from pointage.science.flour_analysis import (
    AS_IS_14,
    DRY,
    falling_number,
    liquefaction,
    on_basis,
)


@dataclass(frozen=True, slots=True)
class MillSheet:
    """What a mill says of a flour; None where it does not say.

    moisture, and ash and protein at `basis`, in percent (basis 0 is of dry matter); falling_s.
    """

    moisture: float = AS_IS_14
    ash: float | None = None
    protein: float | None = None
    falling_s: float | None = None
    basis: float = DRY


@dataclass(frozen=True, slots=True)
class Blend:
    """What a blend comes to. moisture as it is; ash and protein of dry matter; None if unknown."""

    moisture: float
    ash_dry: float | None
    protein_dry: float | None
    falling_s: float | None


def blend(parts: Sequence[tuple[MillSheet, float]]) -> Blend:
    """The blend of flours by mass as they are.

    Ash and protein add up over the dry matter, moisture over the mass, and falling numbers over the
    mass by way of the liquefaction number. Raises InputError for no flour, or less than none.
    """
    total = sum(grams for _, grams in parts)
    if total <= 0 or any(grams < 0 for _, grams in parts):
        raise InputError("blend", f"{total:g} g", say("more than 0 g of each flour"))
    dry = [(sheet, grams * (100 - sheet.moisture) / 100) for sheet, grams in parts if grams]
    moisture = 100 - 100 * sum(grams for _, grams in dry) / total
    falling = _mean([(_liquefaction(sheet), grams) for sheet, grams in parts if grams])
    return Blend(
        moisture=moisture,
        ash_dry=_mean([(_dry(sheet.ash, sheet.basis), grams) for sheet, grams in dry]),
        protein_dry=_mean([(_dry(sheet.protein, sheet.basis), grams) for sheet, grams in dry]),
        falling_s=None if falling is None else falling_number(falling),
    )


def share_for(wanted: float, one: float, other: float, what: str) -> float:
    """The share of `one` in a blend with `other` that comes to `wanted`, all of one sort.

    The values add up by mass: ash and protein of dry matter give the share of dry matter; for
    falling numbers give liquefaction numbers. Raises InputError, field `what`, for a value that no
    blend of the two has, and for two that are alike.
    """
    low, high = sorted((one, other))
    if low == high or not low <= wanted <= high:
        raise InputError(
            what,
            f"{wanted:g}",
            say("between the two flours, {low:g} and {high:g}", low=low, high=high),
        )
    return (wanted - other) / (one - other)


def _dry(percent: float | None, basis: float) -> float | None:
    return None if percent is None else on_basis(percent, basis)


def _liquefaction(sheet: MillSheet) -> float | None:
    return None if sheet.falling_s is None else liquefaction(sheet.falling_s)


def _mean(parts: Sequence[tuple[float | None, float]]) -> float | None:
    """The mean by weight; None when one of them is not known."""
    total = sum(weight for _, weight in parts)
    found = 0.0
    for value, weight in parts:
        if value is None:
            return None
        found += value * weight / total
    return found
