"""The ladder: what the display must say after each pour, and what an over-pour does to the rest."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from enum import StrEnum
from fractions import Fraction
from typing import Literal, get_args

from pointage.errors import InputError
from pointage.language import say
from pointage.rounding import round_to_step

Keep = Literal["ratios", "total"]
KEEPS: tuple[Keep, ...] = get_args(Keep)


class PourKind(StrEnum):
    """What a pour names. UNKNOWN: a part of an old plan that nothing known is called."""

    INGREDIENT = "ingredient"
    CULTURE = "culture"
    STAGE = "stage"
    UNKNOWN = "unknown"


class PourState(StrEnum):
    """How a culture or a stage is when it is poured. KEPT: old dough, from an earlier batch."""

    PLAIN = ""
    RIPE = "ripe"
    KEPT = "kept"


@dataclass(frozen=True, slots=True)
class Pour:
    """One pour of a ladder: what, how much, and what the display must then read (tare included).

    name: the identifier of an ingredient ("wheat-white"), the name of a culture or of a stage of
    the formula.
    """

    kind: PourKind
    name: str
    grams: float
    display_g: float = 0.0
    temperature_c: float | None = None
    state: PourState = PourState.PLAIN


@dataclass(frozen=True, slots=True)
class Ladder:
    """The running scale readings of a mix, in pouring order, starting from the vessel's tare.

    step_g is the step of the scale it is written for.
    """

    vessel: str
    tare_g: float
    step_g: float
    pours: tuple[Pour, ...]


@dataclass(frozen=True, slots=True)
class Corrected:
    """A ladder after a pour that missed its reading.

    ladder: with the pour as it was, and the later ones corrected. factor: the batch over the one
    that was planned, 1 when the total is kept. short: earlier pours that now fall short of their
    proportion, with the grams each of them lacks.
    """

    ladder: Ladder
    factor: float
    short: tuple[tuple[Pour, float], ...] = ()


def ladder(vessel: str, tare_g: float, step_g: float, pours: Sequence[Pour]) -> Ladder:
    """The ladder of `pours`, whose own display readings are worked out anew.

    Each reading is the tare and all grams so far, rounded once to the step, so that no error of
    rounding grows from pour to pour.
    """
    reading = _exact(tare_g)
    found = []
    for pour in pours:
        reading += _exact(pour.grams)
        found.append(replace(pour, display_g=float(round_to_step(reading, _exact(step_g)))))
    return Ladder(vessel, tare_g, step_g, tuple(found))


def corrected(
    planned: Ladder, pour_index: int, display_g: float, keep: Keep = "ratios"
) -> Corrected:
    """`planned` after pour `pour_index` (from 0) ended at `display_g` instead of its reading.

    "ratios": the later pours grow as this one did, so the mix keeps its percentages and the batch
    is larger; what lies in the bowl already cannot grow, and is in `short`. "total": the later
    pours shrink, all by the same factor, so that the batch weighs what was planned. A pour that
    stays below its reading is corrected the same way. Raises InputError, field "display", for a
    reading not above the one before, and for one above the end of the batch when the total is to
    be kept.
    """
    shown = _exact(display_g)
    before = _exact(planned.pours[pour_index - 1].display_g if pour_index else planned.tare_g)
    this = planned.pours[pour_index]
    later = planned.pours[pour_index + 1 :]
    if shown < before or (shown == before and this.grams > 0):
        raise InputError(
            "display",
            f"{display_g:g} g",
            say("more than {before:g} g, which it read before", before=float(before)),
        )
    grams = shown - before
    end = _exact(planned.pours[-1].display_g)
    if keep == "total":
        growth = Fraction(1)
        to_come = sum((_exact(pour.grams) for pour in later), Fraction())
        if shown > end or (shown != end and not to_come):
            expected = say(
                "{end:g} g at most, so that the batch weighs what was planned", end=float(end)
            )
            raise InputError("display", f"{display_g:g} g", expected)
        factor = (end - shown) / to_come if to_come else growth
    else:
        growth = factor = grams / _exact(this.grams) if this.grams else Fraction(1)
    pours = [*planned.pours[:pour_index]]
    pours.append(replace(this, grams=float(grams), display_g=float(shown)))
    reading, last = shown, shown
    for pour in later:
        reading += factor * _exact(pour.grams)
        # `shown` may lie off the step, above what a small pour then rounds to.
        rounded = max(round_to_step(reading, _exact(planned.step_g)), last)
        pours.append(replace(pour, grams=float(rounded - last), display_g=float(rounded)))
        last = rounded
    short = tuple(
        (pour, float((growth - 1) * _exact(pour.grams)))
        for pour in planned.pours[:pour_index]
        if growth > 1 and pour.grams > 0
    )
    return Corrected(replace(planned, pours=tuple(pours)), float(growth), short)


def _exact(grams: float) -> Fraction:
    """The decimal that was meant: 0.1 is a tenth."""
    return Fraction(str(grams))
