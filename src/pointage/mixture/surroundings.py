"""Surroundings: what the thermometer of a place would read, now and later.

A place is a temperature history. It may be constant (a fridge), follow the day (a kitchen that is
coldest before dawn) or be a logged series. All answer one question: the temperatures at a row of
instants.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, tzinfo
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

Celsius = NDArray[np.float64]


class Surroundings(Protocol):
    """Anything that knows its temperature at an instant."""

    def temperatures(self, start: datetime, hours: Celsius) -> Celsius:
        """°C at `start` plus each of `hours`; `start` is an aware datetime."""
        ...


@dataclass(frozen=True, slots=True)
class Constant:
    """A place that stays at one temperature, in °C."""

    celsius: float

    def temperatures(self, start: datetime, hours: Celsius) -> Celsius:
        return np.full(len(hours), self.celsius)


@dataclass(frozen=True, slots=True)
class Daily:
    """A place that follows the day: T = mean + swing·cos(2π (clock − warmest)/24).

    mean, swing in °C (swing is half the distance from coldest to warmest), warmest as an hour of
    the local clock in `zone`.
    """

    mean: float
    swing: float
    warmest: float
    zone: tzinfo

    def temperatures(self, start: datetime, hours: Celsius) -> Celsius:
        local = start.astimezone(self.zone)
        clock = local.hour + local.minute / 60 + local.second / 3600
        angle = 2 * np.pi * (clock + hours - self.warmest) / 24
        return np.asarray(self.mean + self.swing * np.cos(angle), dtype=np.float64)


@dataclass(frozen=True, slots=True)
class Logged:
    """A logged series: °C at instants in ascending order, straight lines between.

    Before the first and after the last reading the nearest one holds.
    """

    instants: Sequence[datetime]
    celsius: Sequence[float]

    def temperatures(self, start: datetime, hours: Celsius) -> Celsius:
        known = np.array([(i - start).total_seconds() / 3600 for i in self.instants])
        return np.asarray(np.interp(hours, known, np.asarray(self.celsius, dtype=np.float64)))


@dataclass(frozen=True, slots=True)
class Stepped:
    """A mixture moved from place to place: each place's own temperatures from an instant on.

    moves: instants in ascending order, each with the place it is moved to then. Before the first
    the first place holds.
    """

    moves: Sequence[tuple[datetime, Surroundings]]

    def temperatures(self, start: datetime, hours: Celsius) -> Celsius:
        found = self.moves[0][1].temperatures(start, hours)
        for moved, place in self.moves[1:]:
            later = hours >= (moved - start).total_seconds() / 3600
            found = np.where(later, place.temperatures(start, hours), found)
        return found
