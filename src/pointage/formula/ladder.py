"""The ladder: what the display must say after each pour, and what an over-pour does to the rest."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from enum import StrEnum
from fractions import Fraction
from typing import Literal, get_args

from pointage.errors import InputError
from pointage.formula.ingredients import ingredient
from pointage.language import say, written
from pointage.quantities import print_number
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
class Bowl:
    """An empty vessel: its name and its tare in grams."""

    vessel: str
    tare_g: float


@dataclass(frozen=True, slots=True)
class Ladder:
    """The running scale readings of a mix, in pouring order, starting from the vessel's tare.

    step_g is the step of the scale it is written for. more: the further bowls of a batch that is
    mixed in several, each an equal part; `pours` has those of one bowl after the other, and each
    bowl's readings start from its own tare.
    """

    vessel: str
    tare_g: float
    step_g: float
    pours: tuple[Pour, ...]
    more: tuple[Bowl, ...] = ()

    @property
    def bowls(self) -> tuple[Bowl, ...]:
        """Every vessel, in the order in which they are filled."""
        return (Bowl(self.vessel, self.tare_g), *self.more)

    @property
    def each(self) -> int:
        """Pours into each bowl."""
        return len(self.pours) // len(self.bowls)

    def begins(self, pour: int) -> Bowl | None:
        """The bowl that pour number `pour` is the first of; None where it is not."""
        return None if pour % self.each else self.bowls[pour // self.each]

    def before(self, pour: int) -> float:
        """What the display reads before a pour."""
        bowl = self.begins(pour)
        return self.pours[pour - 1].display_g if bowl is None else bowl.tare_g

    def ends(self, pour: int) -> int:
        """The number after the last pour of its bowl."""
        return self.each * (pour // self.each + 1)


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


def ladder(
    vessel: str, tare_g: float, step_g: float, pours: Sequence[Pour], more: tuple[Bowl, ...] = ()
) -> Ladder:
    """The ladder of `pours`, whose own display readings are worked out anew.

    Each reading is the tare and all grams so far, rounded once to the step, so that no error of
    rounding grows from pour to pour. more: as of `Ladder`; `pours` are then those of all bowls.
    """
    empty = Ladder(vessel, tare_g, step_g, tuple(pours), more)
    reading = Fraction()
    found = []
    for number, pour in enumerate(pours):
        bowl = empty.begins(number)
        reading = _exact(pour.grams) + (reading if bowl is None else _exact(bowl.tare_g))
        found.append(replace(pour, display_g=float(round_to_step(reading, _exact(step_g)))))
    return replace(empty, pours=tuple(found))


def in_bowls(pours: Sequence[Pour], bowls: int, step_g: float) -> list[Pour]:
    """`pours` shared out among so many bowls, equal to a step of the scale, the total kept."""
    found = []
    step = _exact(step_g)
    for bowl in range(bowls):
        for pour in pours:
            upto = [round_to_step(_exact(pour.grams) * n / bowls, step) for n in (bowl, bowl + 1)]
            found.append(replace(pour, grams=float(upto[1] - upto[0])))
    return found


def corrected(
    planned: Ladder, pour_index: int, display_g: float, keep: Keep = "ratios"
) -> Corrected:
    """`planned` after pour `pour_index` (from 0) ended at `display_g` instead of its reading.

    "ratios": the later pours grow as this one did, so the mix keeps its percentages and the batch
    is larger; what lies in the bowl already cannot grow, and is in `short`. "total": the later
    pours shrink, all by the same factor, so that the batch weighs what was planned. A pour that
    stays below its reading is corrected the same way. Raises InputError, field "display", for a
    reading not above the one before, and for one above the end of the batch when the total is to
    be kept. In several bowls all of this is of the one that is being filled.
    """
    shown = _exact(display_g)
    before = _exact(planned.before(pour_index))
    this = planned.pours[pour_index]
    last_of_bowl = planned.ends(pour_index)
    first_of_bowl = last_of_bowl - planned.each
    later = planned.pours[pour_index + 1 : last_of_bowl]
    if shown < before or (shown == before and this.grams > 0):
        raise InputError(
            "display",
            _reading(display_g),
            say("more than {before}, which it read before", before=_reading(before)),
        )
    grams = shown - before
    end = _exact(planned.pours[last_of_bowl - 1].display_g)
    if keep == "total":
        growth = Fraction(1)
        to_come = sum((_exact(pour.grams) for pour in later), Fraction())
        if shown > end or (shown != end and not to_come):
            expected = say(
                "{end} at most, so that the batch weighs what was planned", end=_reading(end)
            )
            raise InputError("display", _reading(display_g), expected)
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
    pours += planned.pours[last_of_bowl:]
    short = tuple(
        (pour, float((growth - 1) * _exact(pour.grams)))
        for pour in planned.pours[first_of_bowl:pour_index]
        if growth > 1 and pour.grams > 0
    )
    return Corrected(replace(planned, pours=tuple(pours)), float(growth), short)


def _exact(grams: float) -> Fraction:
    """The decimal that was meant: 0.1 is a tenth."""
    return Fraction(str(grams))


def _reading(grams: float | Fraction) -> str:
    """In the digits of a display: grams, however many."""
    return f"{written(print_number(float(grams), 3))} g"


def feed_of(ladder: Ladder | None) -> tuple[float, dict[str, float], float]:
    """Seed, flours by name and water of the feed that a ladder makes, in grams."""
    seed, water = 0.0, 0.0
    flours: dict[str, float] = {}
    for pour in () if ladder is None else ladder.pours:
        if pour.kind is PourKind.CULTURE:
            seed += pour.grams
        elif pour.kind is PourKind.INGREDIENT and pour.name == "water":
            water += pour.grams
        elif pour.kind is PourKind.INGREDIENT and ingredient(pour.name).kind == "flour":
            flours[pour.name] = flours.get(pour.name, 0.0) + pour.grams
    return seed, flours, water
