"""Vigour: what a culture does after a feed that is always the same; and over months, by weeks."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta

import numpy as np
from numpy.typing import NDArray

from pointage.culture.mature import feed, mature
from pointage.mixture.course import Band, band
from pointage.mixture.hold import hold
from pointage.mixture.learning.update import Watched, learn
from pointage.mixture.temperature.surroundings import Constant
from pointage.mixture.traits import Traits

WINDOW = timedelta(weeks=4)
EVERY = timedelta(weeks=2)
TRIED_ON = {"wheat-white": 1.0}
TRIED_C = 25.0
LONGEST_H = 30.0
_ANY_DAY = datetime(2026, 1, 1, tzinfo=UTC)
FEWEST = 3
"""So many things seen say enough of a culture for a point (ours)."""


@dataclass(frozen=True, slots=True)
class Window:
    """A spell of weeks, `until` left out."""

    since: datetime
    until: datetime

    @property
    def middle(self) -> datetime:
        """The instant that its point stands for."""
        return self.since + (self.until - self.since) / 2


@dataclass(frozen=True, slots=True)
class Vigour:
    """Hours to its height (`to_peak_h`), as learned from the `mixes` of a window alone."""

    window: Window
    to_peak_h: Band
    mixes: int


def windows(first: datetime, last: datetime) -> list[Window]:
    """Windows of WINDOW, one every EVERY, the last ending just after `last`; oldest first."""
    found = []
    until = last + timedelta(minutes=1)
    while until > first and until - first > WINDOW / 4:
        found.append(Window(until - WINDOW, until))
        until -= EVERY
    return found[::-1]


def vigour_in(window: Window, histories: Sequence[Watched], seed: int) -> Vigour | None:
    """What the mixes begun in a window say of the culture, from the priors; None: too little.

    The same seed gives the same answer.
    """
    within = [each for each in histories if window.since <= each.start < window.until]
    if sum(len(each.seen) for each in within) < FEWEST:
        return None
    posterior = learn(None, within, seed)
    return Vigour(window, band(to_peak_h(posterior.lasting)), len(within))


def to_peak_h(traits: Traits) -> NDArray[np.float64]:
    """Hours from a feed of 1:2:2 to the highest rise, one a member; the longest looked at if later.

    Always of white wheat at 100 % hydration and 25 °C, fed to a culture in its prime: what a
    culture does, so that two of them, or one over months, can be set side by side.
    """
    culture = mature(TRIED_ON, 1.0, traits)
    fed = feed(
        culture, 50.0, {kind: 100.0 * part for kind, part in TRIED_ON.items()}, 100.0, TRIED_C
    )
    course = hold(fed, Constant(TRIED_C), _ANY_DAY, LONGEST_H, traits, every_min=30)
    found = course.peak_h()
    return np.asarray(np.where(np.isnan(found), LONGEST_H, found))
