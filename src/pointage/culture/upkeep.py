"""Upkeep: how a culture is fed in a rhythm, in proportions and amounts that a person would use."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta
from enum import StrEnum
from fractions import Fraction
from itertools import pairwise
from math import ceil, sqrt

import numpy as np

from pointage.culture.mature import mature
from pointage.errors import InputError
from pointage.language import say
from pointage.mixture.course import Course
from pointage.mixture.flours import FlourRecord
from pointage.mixture.hold import hold
from pointage.mixture.inverse import Fresh, ripens_after
from pointage.mixture.mixture import Mixture
from pointage.mixture.temperature.surroundings import Surroundings
from pointage.mixture.traits import Traits
from pointage.rounding import round_to_total

STICKS = Fraction(105, 100)  # what clings to tub and spoon
SETTLES = 6
"""Feeds after which a rhythm has forgotten how it began: each dilutes what was before."""
PARTS = (1, 2, 3, 4, 5, 6, 8, 10)
"""Fresh flour for one part of seed, as bakers feed; with less seed than a tenth it is slow and
easily spoiled (common practice, no source)."""
FIT = 0.8  # of the rise of a culture in its prime, fed the same: ours
SURE = 0.5  # share of members that must be as fit
LATE_H = 1.0
"""By so much later than the next feed it may be ripe: nobody feeds to the minute (ours)."""
LEAST_STEPS = 10
"""Steps of the scale that the least of a feed is at least: so it is weighed to a tenth (ours)."""
LEAST_SEED_G = Fraction(5)
"""Less is hard to find in the jar: ours."""


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
class WeighedFeed:
    """A feed as it is weighed, in grams."""

    seed_g: Fraction
    flours_g: Mapping[str, Fraction]
    water_g: Fraction

    @property
    def flour_g(self) -> Fraction:
        """Fresh flour of all kinds."""
        return sum(self.flours_g.values(), Fraction())

    @property
    def fresh_g(self) -> Fraction:
        """Fresh flour and water."""
        return self.flour_g + self.water_g

    @property
    def total_g(self) -> Fraction:
        """What there is after it."""
        return self.seed_g + self.fresh_g


@dataclass(frozen=True, slots=True)
class Upkeep:
    """A rhythm worked out. parts: fresh flour for one part of seed.

    ripe_h: hours after a feed from and until which the middle member is ripe, until None where it
    is so at the next feed still. odds: that it is ripe when the next feed or build is due. fit: the
    share of members that rise as they should.
    """

    rhythm: Rhythm
    parts: int
    ripe_h: tuple[float, float | None]
    odds: float
    fit: float
    feed: WeighedFeed

    @property
    def spare_g(self) -> Fraction:
        """What there is beside the seed at the next feed, for builds; discarded when none is."""
        return self.feed.total_g / STICKS - self.feed.seed_g


class Unkept(StrEnum):
    """Why a rhythm keeps no culture."""

    SLOW = "slow"  # it has not risen when it is fed again, so that it gets thinner and thinner
    WEAK = "weak"  # it stands hungry for so long that it rises less and less
    JAR = "jar"  # the least feed that is enough is more than the jar holds


def upkeep(
    flours: Mapping[str, float],
    hydration: float,
    rhythm: Rhythm,
    traits: Traits,
    *,
    needed_g: Fraction,
    step_g: Fraction = Fraction(1),
    most_g: Fraction | None = None,
    record: FlourRecord | None = None,
) -> Upkeep | Unkept:
    """The proportions and the smallest amounts that keep a culture in `rhythm`, or why none do.

    Of PARTS the one whose ripeness falls nearest to the next feed; where every one is ripe before
    it, the leanest. The culture is taken as that very rhythm leaves it. needed_g: the most that
    builds take from it at once. most_g: what its jar takes, None for any. step_g: of the scale.
    record: what the flours are together; None for what the tables have of them. Raises InputError.
    """
    if needed_g < 0:
        raise InputError("needed", f"{float(needed_g):g} g", say("0 g or more"))
    prime = mature(flours, hydration, traits, record)
    fresh = Fresh(
        {kind: 100.0 * share for kind, share in flours.items()},
        100.0 * hydration,
        rhythm.celsius,
        record=record,
    )
    why = Unkept.SLOW
    leanest = _nearest(prime, fresh, rhythm, traits)
    for parts in [each for each in PARTS if each <= leanest][::-1]:
        asked = feed_for(needed_g, parts, flours, hydration, step_g=step_g, most_g=most_g)
        if asked is None:
            return Unkept.JAR
        ripe_h, odds, fit = _settled(prime, fresh, rhythm, traits, 1.0 / parts)
        if ripe_h[0] > rhythm.every_h + LATE_H:
            continue  # as the rhythm leaves it, it is slower than in its prime: more seed
        if fit >= SURE:
            end = ripe_h[1] if np.isfinite(ripe_h[1]) else None
            return Upkeep(rhythm, parts, (ripe_h[0], end), odds, fit, asked)
        why = Unkept.WEAK
    return why


def _settled(
    prime: Mixture, fresh: Fresh, rhythm: Rhythm, traits: Traits, share: float
) -> tuple[tuple[float, float], float, float]:
    """The middle member's ripe hours once the rhythm has settled, and odds of ripe and fit."""
    culture = kept(prime, fresh, rhythm, traits, share=share)
    course = _after_feed(culture, fresh, rhythm, traits, share)
    best = _after_feed(prime, fresh, rhythm, traits, share).rise.max(axis=1) - 1.0
    fit = float(np.mean(course.rise.max(axis=1) - 1.0 >= FIT * best))
    late = [np.where(np.isnan(each), np.inf, each) for each in course.ripe()]
    odds = float(np.mean((late[0] <= rhythm.every_h) & (late[1] >= rhythm.every_h)))
    begin, end = (float(np.median(each)) for each in late)
    return (begin, end), odds, fit


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


def feed_for(
    needed_g: Fraction,
    parts: int,
    flours: Mapping[str, float],
    hydration: float,
    *,
    step_g: Fraction = Fraction(1),
    most_g: Fraction | None = None,
    least_g: Fraction = Fraction(0),
) -> WeighedFeed | None:
    """The smallest feed of one part of seed to `parts` of flour that leaves what is needed.

    From needed + seed ≤ total / STICKS, the seed rounded up to what is easily weighed. least_g: of
    seed besides. None where it is more than `most_g`, what the jar takes. Grams.
    """
    wet = Fraction(hydration).limit_denominator(1000)
    grown = 1 + parts * (1 + wet)  # grams after a feed for each of seed
    seed = max(needed_g * STICKS / (grown - STICKS), LEAST_SEED_G, LEAST_STEPS * step_g, least_g)
    seed = easily_weighed(seed, step_g)
    flour = seed * parts
    exact = {f"flour {kind}": flour * Fraction(part).limit_denominator(1000)
             for kind, part in flours.items()}  # fmt: skip
    rounded = round_to_total({**exact, "water": flour * wet}, max(step_g, Fraction(1)))
    found = WeighedFeed(seed, {kind: rounded[f"flour {kind}"] for kind in flours}, rounded["water"])
    return None if most_g is not None and found.total_g > most_g else found


def easily_weighed(grams: Fraction, step_g: Fraction) -> Fraction:
    """Grams rounded up as a person would say them: to 1 g below 10, to 5 below 100, else to 10;
    never finer than the scale."""
    coarse = 1 if grams < 10 else 5 if grams < 100 else 10
    step = max(step_g, Fraction(coarse))
    step = ceil(step / step_g) * step_g
    return Fraction(ceil(grams / step)) * step


def _nearest(prime: Mixture, fresh: Fresh, rhythm: Rhythm, traits: Traits) -> int:
    """The parts whose ripeness falls nearest to the next feed; the most seed where none do.

    That is by the logarithm of the share of seed, so it is enough to know between which two shares
    halfway from one of PARTS to the next it falls there.
    """
    leaner = PARTS[::-1]
    halfway = [1.0 / sqrt(more * less) for more, less in pairwise(leaner)]
    late = ripens_after(
        prime,
        fresh,
        rhythm.place,
        start=rhythm.first,
        ripe_at=rhythm.first + timedelta(hours=rhythm.every_h),
        traits=traits,
        shares=halfway,
    )
    in_time = np.append(late <= rhythm.every_h, True)
    return leaner[int(np.argmax(in_time))]


def _after_feed(
    culture: Mixture, fresh: Fresh, rhythm: Rhythm, traits: Traits, share: float
) -> Course:
    """From a feed on, past the next, so that what comes late is seen."""
    mixed = fresh.with_seed(culture, share)
    return hold(mixed, rhythm.place, rhythm.first, 2 * rhythm.every_h + 6.0, traits, every_min=30)
