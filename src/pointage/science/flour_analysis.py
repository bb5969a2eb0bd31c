"""What a mill's laboratory measures of a flour: moisture bases, and the falling number."""

from __future__ import annotations

from pointage.errors import RangeError
from pointage.language import mark

DRY = 0.0
AS_IS_14 = 14.0  # the basis of most mills' sheets
NITROGEN_TO_PROTEIN = 5.7  # wheat and its flour: ISO 20483; from memory

LIQUEFACTION, LEAST_FALLING_S = 6000.0, 50.0
MOST_FALLING_S = 900.0  # an inert flour hardly reads more
LOWEST_FALLING_S = 62.0  # the instrument's own time of stirring; from memory


def on_basis(percent: float, moisture: float, wanted: float = DRY) -> float:
    """A percent at one moisture as it would be at another: x × (100 − wanted) / (100 − moisture).

    Units: percent of the flour at its moisture; moistures in percent.
    Range: moistures 0 to 40, percent 0 to 100; RangeError outside. At its own moisture a percent
    comes back exactly as it was.
    Source: conservation of the dry matter.
    """
    for name, value in ((mark("moisture"), moisture), (mark("wanted moisture"), wanted)):
        if not 0 <= value <= 40:
            raise RangeError(name, value, 0.0, 40.0, "%")
    if not 0 <= percent <= 100:
        raise RangeError("percent", percent, 0.0, 100.0, "%")
    return percent * ((100 - wanted) / (100 - moisture))


def protein_of(nitrogen: float) -> float:
    """Protein of wheat from Kjeldahl's nitrogen, N × 5.7.

    Units: both in percent, on the same basis.
    Range: wheat and its near kin; other grains have factors of their own.
    Source: ISO 20483; from memory.
    """
    return NITROGEN_TO_PROTEIN * nitrogen


def liquefaction(falling_s: float) -> float:
    """The liquefaction number 6000 / (FN − 50), which adds up in a blend as FN does not.

    Units: falling number in seconds; a pure number out, in proportion to the flour's amylase.
    Range: falling numbers 62 to 900 s; RangeError outside.
    Source: Perten 1964; from memory.
    """
    if not LOWEST_FALLING_S <= falling_s <= MOST_FALLING_S:
        raise RangeError("falling number", falling_s, LOWEST_FALLING_S, MOST_FALLING_S, "s")
    return LIQUEFACTION / (falling_s - LEAST_FALLING_S)


def falling_number(liquefaction_number: float) -> float:
    """The falling number of a liquefaction number, the inverse of `liquefaction`.

    Units: a pure number in; seconds out.
    Range: above 0.
    Source: Perten 1964; from memory.
    """
    return LIQUEFACTION / liquefaction_number + LEAST_FALLING_S


def amylase_ratio(falling_s: float, reference_s: float) -> float:
    """How much more amylase a flour has than one of another falling number, LN / LN_reference.

    Units: seconds in; a ratio out, 1 at the reference, falling as the falling number rises.
    Range: falling numbers 62 to 900 s; RangeError outside. Above 400 s the instrument hardly tells
    flours apart.
    Source: Perten 1964, the liquefaction number as a measure of alpha-amylase; from memory.
    """
    return liquefaction(falling_s) / liquefaction(reference_s)
