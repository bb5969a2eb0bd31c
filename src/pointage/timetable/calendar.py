"""The calendar of a plan: instants on a grid, and whether hands are free then."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import UTC, datetime, timedelta
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from pointage.kitchen.awake import sleep_spans as sleep_spans  # noqa: PLC0414
from pointage.kitchen.kitchen import Kitchen

GRID_MIN = 15
GRID = timedelta(minutes=GRID_MIN)


def floor_to_grid(instant: datetime) -> datetime:
    """The last grid instant not after `instant`; every zone's offset is a multiple of the grid."""
    instant = instant.astimezone(UTC)
    return instant.replace(
        minute=instant.minute - instant.minute % GRID_MIN, second=0, microsecond=0
    )


def ceil_to_grid(instant: datetime) -> datetime:
    """The first grid instant not before `instant`."""
    floor = floor_to_grid(instant)
    return floor if floor == instant else floor + GRID


@dataclass(frozen=True, slots=True)
class Calendar:
    """Grid instants between `first` and `last` (UTC), and the spells when nobody can be asked.

    sleepless: whether the sleeping hours are left out of account (to see what they cost).
    """

    first: datetime
    last: datetime
    blocked: tuple[tuple[datetime, datetime], ...]

    def instants(self, step: int = 1) -> list[datetime]:
        """The grid instants, or every `step`th."""
        count = int((self.last - self.first) / GRID)
        return [self.first + i * GRID for i in range(0, count + 1, step)]

    def free(self, start: datetime, minutes: float) -> bool:
        """Whether hands are free from `start` for `minutes`."""
        end = start + timedelta(minutes=minutes)
        for since, until in self.blocked:  # noqa: SIM110, a generator takes twice as long
            if start < until and end > since:
                return False
        return True

    def free_on_grid(self, minutes: float) -> NDArray[np.bool_]:
        """Of each grid instant, whether hands are free from it on for `minutes`."""
        return _free_on_grid(self, minutes)

    def also(self, taken: Sequence[tuple[datetime, datetime]]) -> Calendar:
        """This calendar with more spells when hands are taken."""
        return replace(self, blocked=(*self.blocked, *taken))


@lru_cache(maxsize=64)  # asked for each feed of a search
def _free_on_grid(calendar: Calendar, minutes: float) -> NDArray[np.bool_]:
    free = np.ones((calendar.last - calendar.first) // GRID + 1, dtype=bool)
    for since, until in calendar.blocked:
        low = (since - timedelta(minutes=minutes) - calendar.first) // GRID + 1
        high = -((calendar.first - until) // GRID)
        free[max(low, 0) : max(high, 0)] = False
    return free


def calendar_of(
    kitchen: Kitchen,
    first: datetime,
    last: datetime,
    taken: Sequence[tuple[datetime, datetime]] = (),
    *,
    sleepless: bool = False,
) -> Calendar:
    """The calendar of a kitchen between two instants; taken: spells when hands are at other work.

    Sleep is a span of the local clock, so on a night when the clocks change it is an hour shorter
    or longer in fact, as it is for the sleeper.
    """
    first, last = ceil_to_grid(first), floor_to_grid(last)
    blocked = [] if sleepless else list(sleep_spans(kitchen, first, last))
    blocked += [span for span in (*kitchen.hours.away, *taken) if span[1] > first]
    return Calendar(first, last, tuple(sorted(blocked)))
