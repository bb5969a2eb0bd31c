"""Vigour over months: what each few weeks of a culture's mixes say of it by themselves."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from pointage.mixture.course import Band, band
from pointage.mixture.learning.update import Watched, learn

WINDOW = timedelta(weeks=4)
EVERY = timedelta(weeks=2)
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
    """Hours to double at 25 °C, as learned from the `mixes` of a window alone."""

    window: Window
    doubling_h: Band
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
    return Vigour(window, band(posterior.lasting.yeast_doubling_h), len(within))
