"""The cold rest: how long a culture holds in the fridge, and the feeds that wake it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import datetime, timedelta

import numpy as np
from numpy.typing import NDArray

from pointage.culture.mature import mature
from pointage.mixture.course import Band, Course, band
from pointage.mixture.flours import FlourRecord
from pointage.mixture.hold import LN_2, hold
from pointage.mixture.inverse import Fresh
from pointage.mixture.mixture import Mixture
from pointage.mixture.state import S
from pointage.mixture.temperature.surroundings import Surroundings, of_some
from pointage.mixture.traits import Traits

Floats = NDArray[np.float64]

LONGEST_D = 42
HALF_H = 12.0 * LONGEST_D
ROW_MIN = 180
LONG_LAG_H = 4.0
FEW_YEASTS = 0.3
"""A culture wants more than one feed to wake when its yeast would take longer than this to begin at
25 °C, or fewer than this share of it are left: ours, so that a chilled culture keeps two to three
weeks (common practice, no source)."""
AWAKE = 0.8  # of the rise of a culture in its prime, fed the same: ours
WAKING_SHARE = 0.5
WAKING_H = 12.0
SLOW_WAKING_H = 24.0
"""Between waking feeds where a culture in its prime would not be at its height after twelve hours:
fed before, it gets thinner with each (ours)."""
JUDGED_H = 36.0  # the rise of a slow culture comes after the next feed is due: ours
MOST_WAKING = 4
WOKEN = 0.8  # share of members


@dataclass(frozen=True, slots=True)
class Rest:
    """A way to put a culture to rest: chilled so many hours after its feed.

    days: how long it holds in the cold, 10, 50 and 90 %; rise: how far it had risen when chilled,
    the middle member's. rested: as it is after some days of it, by their number.
    """

    warm_h: float
    days: Band
    rise: float
    rested: Mapping[float, Mixture] = field(default_factory=dict, repr=False, compare=False)


@dataclass(frozen=True, slots=True)
class Waking:
    """Feeds that wake it, `every_h` apart. odds: the share of members awake after each."""

    odds: tuple[float, ...]
    every_h: float = WAKING_H

    @property
    def feeds(self) -> int:
        """Feeds until four members in five are awake; the most looked at where that fails."""
        return len(self.odds)


def holds_h(course: Course, traits: Traits, most: Floats | None = None) -> Floats:
    """Hours of a cold course after which one feed no longer wakes it, one a member; NaN: not in it.

    That is when its yeast would lag more than four hours at 25 °C, ln(1 + 1/q)/μ, or fewer than
    three in ten are left. most: of yeast before the course, one a member.
    """
    ready, yeast = course.states[:, :, S.YEAST_READY], course.yeast
    lag_h = np.log1p(1 / ready) * traits.yeast_doubling_h[:, None] / LN_2
    highest = np.maximum.accumulate(yeast, axis=1)
    left = yeast / (highest if most is None else np.maximum(highest, most[:, None]))
    spent = (lag_h > LONG_LAG_H) | (left < FEW_YEASTS)
    ends = course.hours[spent.argmax(axis=1)]
    return np.asarray(np.where(spent.any(axis=1), ends, np.nan))


def rests(
    fed: Mixture,
    *,
    warm: Surroundings,
    cold: Surroundings,
    start: datetime,
    traits: Traits,
    warm_hours: Sequence[float] = (0.0, 1.0, 2.0, 4.0, 6.0, 8.0),
    days: Sequence[float] = (),
) -> tuple[Rest, ...]:
    """How long a culture fed at `start` holds in the cold, by the hours it stands warm before.

    days: after which it is wanted as it is then (`Rest.rested`); at most half of LONGEST_D.
    """
    found = []
    course = hold(fed, warm, start, max(*warm_hours, 1.0), traits)
    for hours in warm_hours:
        chilled, at = course.after(hours), start + timedelta(hours=hours)
        resting = hold(chilled, cold, at, HALF_H, traits, every_min=ROW_MIN)
        held = holds_h(resting, traits)
        lasting = np.flatnonzero(np.isnan(held))
        if len(lasting):  # the others need be held no longer
            left, some = resting.final, traits.only(lasting)
            later = hold(
                replace(left, states=left.states[lasting]),
                of_some(cold, len(traits), lasting),
                at + timedelta(hours=HALF_H),
                HALF_H,
                some,
                every_min=ROW_MIN,
            )
            held[lasting] = HALF_H + holds_h(later, some, resting.yeast[lasting].max(axis=1))
        row = int(np.abs(course.hours - hours).argmin())
        rested = {each: resting.after(24.0 * each) for each in days}
        found.append(Rest(hours, band(held / 24.0), float(np.median(course.rise[:, row])), rested))
    return tuple(found)


def longest(found: Sequence[Rest]) -> Rest:
    """The rest that nine in ten times holds longest; one not seen to end counts as such."""
    return max(found, key=lambda each: LONGEST_D if np.isnan(each.days.p10) else each.days.p10)


def waking(
    rested: Mixture,
    *,
    flours: Mapping[str, float],
    hydration: float,
    place: Surroundings,
    start: datetime,
    traits: Traits,
    record: FlourRecord | None = None,
) -> Waking:
    """The feeds after which a rested culture rises as one in its prime does.

    Each feed is one part of seed to two of flour; they are twelve hours apart, or a day where it is
    too cold for that. record: what the flours are together; None for what the tables have of them.
    """
    each_time = {kind: 100.0 * share for kind, share in flours.items()}
    celsius = float(place.temperatures(start, np.zeros(1))[0])
    fresh = Fresh(each_time, 100.0 * hydration, celsius, record=record)
    best, prime = _peak(mature(flours, hydration, traits, record), fresh, start, place, traits)
    every_h = WAKING_H if np.mean(prime.peak_h() <= WAKING_H) >= WOKEN else SLOW_WAKING_H
    culture = rested
    odds: list[float] = []
    while len(odds) < MOST_WAKING and (not odds or odds[-1] < WOKEN):
        at = start + timedelta(hours=every_h * len(odds))
        peak, course = _peak(culture, fresh, at, place, traits)
        odds.append(float(np.mean(peak - 1.0 >= AWAKE * (best - 1.0))))
        culture = course.after(every_h)
    return Waking(tuple(odds), every_h)


def _peak(
    culture: Mixture, fresh: Fresh, at: datetime, place: Surroundings, traits: Traits
) -> tuple[Floats, Course]:
    """The highest rise of each member after a waking feed, and its course."""
    course = hold(fresh.with_seed(culture, WAKING_SHARE), place, at, JUDGED_H, traits)
    return np.asarray(course.rise.max(axis=1)), course
