"""Surroundings: what the thermometer of a place would read, now and later.

A place is a temperature history. It may be constant (a fridge), follow the day (a kitchen that is
coldest before dawn) and the year, or be a logged series. All answer one question: the temperatures
at a row of instants. `straying` answers it for an ensemble, whose members each have their own idea
of how far a place is off its history today.
"""

from __future__ import annotations

import zlib
from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import UTC, datetime, timedelta, tzinfo
from functools import cache
from statistics import NormalDist
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

Celsius = NDArray[np.float64]

DAYS_OF_A_YEAR = 365.2425
STEADY_CLOCK_H = 20 * 24.0
"""No zone changes its clocks there and back again within so many hours."""


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
        angle = 2 * np.pi * (clock_hours(start, hours, self.zone) - self.warmest) / 24
        return np.asarray(self.mean + self.swing * np.cos(angle), dtype=np.float64)


@dataclass(frozen=True, slots=True)
class Seasonal:
    """A place that follows the year as well: T = day(t) + yearly·cos(2π (date − warmest)/365.24).

    day: the place in a mean season. yearly in °C is half the distance from the coldest day's mean
    to the warmest's; warmest_day counts from 1 January, which is 0.
    """

    day: Daily
    yearly: float
    warmest_day: float

    def temperatures(self, start: datetime, hours: Celsius) -> Celsius:
        begun = datetime(start.year, 1, 1, tzinfo=UTC)
        date = ((start - begun).total_seconds() / 3600 + hours) / 24
        angle = 2 * np.pi * (date - self.warmest_day) / DAYS_OF_A_YEAR
        return self.day.temperatures(start, hours) + self.yearly * np.cos(angle)


@dataclass(frozen=True, eq=False, slots=True)
class Straying:
    """A place that strays from its history: an offset that lasts through a hold.

    The offset is normal with standard deviation spread_k in kelvin; a single member, the likeliest,
    has none. place: its name, so that members keep their offset from hold to hold in one place and
    get another elsewhere. offsets: when they are known better, one a member.
    """

    history: Surroundings
    spread_k: float
    place: str = ""
    offsets: Celsius | None = None

    def temperatures(self, start: datetime, hours: Celsius) -> Celsius:
        """The history itself, which is the middle of what may be."""
        found = self.history.temperatures(start, hours)
        return found if self.offsets is None else found + np.median(self.offsets)

    def of_members(self, members: int) -> Celsius:
        """The offsets in kelvin: evenly spread, the same at every call.

        As many as were learned come back as they were; any other number is taken evenly from them.
        """
        if self.offsets is not None:
            if members == len(self.offsets):
                return self.offsets
            return np.quantile(self.offsets, (np.arange(members) + 0.5) / members)
        return np.asarray(self.spread_k * _scores(self.place, members))


@cache
def _scores(place: str, members: int) -> Celsius:
    """Standard normal, evenly spread, shuffled by the place's name."""
    inverse = NormalDist().inv_cdf
    rng = np.random.default_rng([zlib.crc32(place.encode()), members])
    return rng.permutation([inverse((i + 0.5) / members) for i in range(members)])


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


@dataclass(frozen=True, slots=True)
class Later:
    """A place as it is so many hours after the instant it is asked for."""

    place: Surroundings
    hours: float

    def temperatures(self, start: datetime, hours: Celsius) -> Celsius:
        return self.place.temperatures(start + timedelta(hours=self.hours), hours)


def clock_hours(start: datetime, hours: Celsius, zone: tzinfo) -> Celsius:
    """What a clock in `zone` shows, in hours from the midnight before `start`, at each of `hours`.

    Where the clocks change, so does this.
    """
    local = start.astimezone(zone)
    shown = local.hour + local.minute / 60 + local.second / 3600 + hours
    first, last = (start + timedelta(hours=float(end)) for end in (hours.min(), hours.max()))
    before = _offset_h(start, zone)
    steady = last - first < timedelta(hours=STEADY_CLOCK_H)
    if steady and _offset_h(first, zone) == before == _offset_h(last, zone):
        return np.asarray(shown, dtype=np.float64)
    moved = [_offset_h(start + timedelta(hours=float(h)), zone) - before for h in hours]
    return np.asarray(shown + np.array(moved), dtype=np.float64)


def _offset_h(instant: datetime, zone: tzinfo) -> float:
    offset = instant.astimezone(zone).utcoffset()
    return offset.total_seconds() / 3600 if offset else 0.0


def spread_of(place: Surroundings) -> float:
    """How far a place strays from its history, in kelvin: the first where there are several."""
    if isinstance(place, Stepped):
        return spread_of(place.moves[0][1])
    if isinstance(place, Later):
        return spread_of(place.place)
    return place.spread_k if isinstance(place, Straying) else 0.0


def alike(one: Surroundings, other: Surroundings) -> bool:
    """Whether two places have the same history and stray from it in the same way."""
    if isinstance(one, Straying) and isinstance(other, Straying):
        known = (one.offsets, other.offsets)
        return (
            (one.history, one.spread_k, one.place) == (other.history, other.spread_k, other.place)
            and known == (None, None)
        )  # fmt: skip
    return one == other


def of_some(place: Surroundings, members: int, chosen: NDArray[np.intp]) -> Surroundings:
    """The place for some of an ensemble alone, each straying as it does among all `members`."""
    if isinstance(place, Straying) and members > 1:
        return replace(place, offsets=place.of_members(members)[chosen])
    return place


def straying(place: Surroundings, start: datetime, hours: Celsius, members: int) -> Celsius:
    """°C for an ensemble: a single row where all members agree, else one a member.

    A mixture moved from place to place strays in each as that place does.
    """
    if isinstance(place, Stepped):
        found = straying(place.moves[0][1], start, hours, members)
        for moved, after in place.moves[1:]:
            later = hours >= (moved - start).total_seconds() / 3600
            found = np.where(later, straying(after, start, hours, members), found)
        return found
    if isinstance(place, Later):
        return straying(place.place, start + timedelta(hours=place.hours), hours, members)
    middle = place.temperatures(start, hours)[None, :]
    if not isinstance(place, Straying) or members == 1:
        return middle
    if place.offsets is None and place.spread_k == 0:
        return middle
    return place.history.temperatures(start, hours) + place.of_members(members)[:, None]
