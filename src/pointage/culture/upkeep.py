"""Upkeep: the seed that has a culture ripe when it is wanted, and the smallest that is enough."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta
from fractions import Fraction
from math import ceil

from pointage.culture.mature import mature
from pointage.errors import InputError
from pointage.language import say
from pointage.mixture.flours import FlourRecord
from pointage.mixture.hold import hold
from pointage.mixture.inverse import (
    Fresh,
    OutOfReach,
    Solved,
    seed_share,
)
from pointage.mixture.mixture import Mixture
from pointage.mixture.temperature.surroundings import Surroundings
from pointage.mixture.traits import Traits
from pointage.rounding import round_to_total

STICKS = Fraction(105, 100)  # what clings to tub and spoon
SETTLES = 6
"""Feeds after which a rhythm has forgotten how it began: each dilutes what was before."""
NEAR = 0.02  # two turns of the search agree within so much of the seed share
TURNS = 3


@dataclass(frozen=True, slots=True)
class Rhythm:
    """How a culture is kept: fed every so many hours from `first` on, in one place."""

    every_h: float
    place: Surroundings
    first: datetime
    celsius: float

    def __post_init__(self) -> None:
        if not 4.0 <= self.every_h <= 168.0:
            raise InputError("every", f"{self.every_h:g} h", say("4 to 168 hours between feeds"))


@dataclass(frozen=True, slots=True)
class Upkeep:
    """A rhythm worked out. Each feed: `seed_g` kept, `flours_g` and `water_g` added.

    seed_share: seed over fresh flour; odds: that it is ripe when the next feed or build is due.
    spare_g: what there is beside the seed at the next feed, for builds; poured off when none is.
    """

    rhythm: Rhythm
    seed_share: float
    odds: float
    seed_g: Fraction
    flours_g: Mapping[str, Fraction]
    water_g: Fraction
    spare_g: Fraction

    @property
    def total_g(self) -> Fraction:
        """Grams after a feed."""
        return self.seed_g + sum(self.flours_g.values(), Fraction()) + self.water_g

    @property
    def flour_a_week_g(self) -> Fraction:
        """Flour that the rhythm takes in a week."""
        feeds = Fraction(168) / Fraction(self.rhythm.every_h).limit_denominator(100)
        return sum(self.flours_g.values(), Fraction()) * feeds


def upkeep(
    flours: Mapping[str, float],
    hydration: float,
    rhythm: Rhythm,
    traits: Traits,
    *,
    needed_g: Fraction,
    step_g: Fraction = Fraction(1),
    least_seed_g: Fraction = Fraction(5),
    record: FlourRecord | None = None,
) -> Upkeep | OutOfReach:
    """The seed share and the smallest amounts that keep a culture in `rhythm`.

    The culture is taken as that very rhythm leaves it: the share is sought, the rhythm run until it
    settles, and the share sought again. needed_g: the most that builds take from it at once.
    least_seed_g: less is hard to weigh and to find in the tub (ours). record: what the flours are
    together; None for what the tables have of them. Raises InputError.
    """
    if needed_g < 0:
        raise InputError("needed", f"{float(needed_g):g} g", say("0 g or more"))
    culture = mature(flours, hydration, traits, record)
    fresh = Fresh(
        {kind: 100.0 * share for kind, share in flours.items()},
        100.0 * hydration,
        rhythm.celsius,
        record=record,
    )
    answer = Solved(0.0, 0.0)
    for _ in range(TURNS):
        found = seed_share(
            culture,
            fresh,
            rhythm.place,
            start=rhythm.first,
            ripe_at=rhythm.first + timedelta(hours=rhythm.every_h),
            traits=traits,
        )
        if isinstance(found, OutOfReach):
            return found
        settled = abs(found.value - answer.value) < NEAR * found.value
        answer = found
        if settled:
            break
        culture = kept(culture, fresh, rhythm, traits, share=answer.value)
    return _amounts(
        flours,
        hydration,
        rhythm,
        found=answer,
        needed_g=needed_g,
        step_g=step_g,
        least_seed_g=least_seed_g,
    )


def kept(
    culture: Mixture,
    fresh: Fresh,
    rhythm: Rhythm,
    traits: Traits,
    *,
    share: float,
    feeds: int = SETTLES,
) -> Mixture:
    """The culture after so many feeds of a rhythm, as it is when the next is due."""
    at = rhythm.first
    for _ in range(feeds):
        course = hold(
            fresh.with_seed(culture, share), rhythm.place, at, rhythm.every_h, traits, every_min=60
        )
        culture = course.final
        at += timedelta(hours=rhythm.every_h)
    return culture


def _amounts(
    flours: Mapping[str, float],
    hydration: float,
    rhythm: Rhythm,
    *,
    found: Solved,
    needed_g: Fraction,
    step_g: Fraction,
    least_seed_g: Fraction,
) -> Upkeep:
    """The smallest feed whose product is the next seed, what is needed, and what sticks."""
    share = Fraction(found.value).limit_denominator(1000)
    wet = Fraction(hydration).limit_denominator(1000)
    grown = (share + 1 + wet) / share  # grams after a feed for each of seed
    seed = max(needed_g * STICKS / (grown - STICKS), least_seed_g)
    seed = Fraction(ceil(seed / step_g)) * step_g
    flour = seed / share
    exact = {f"flour {kind}": flour * Fraction(part).limit_denominator(1000)
             for kind, part in flours.items()}  # fmt: skip
    rounded = round_to_total({**exact, "water": flour * wet}, step_g)
    flours_g = {kind: rounded[f"flour {kind}"] for kind in flours}
    total = seed + sum(rounded.values(), Fraction())
    return Upkeep(
        rhythm, found.value, found.odds, seed, flours_g, rounded["water"], total / STICKS - seed
    )
