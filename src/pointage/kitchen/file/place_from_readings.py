"""A place built from what its thermometer said: a few readings, or a log.

The history is T = m + a·cos ωt + b·sin ωt by the clock, and c·cos νd + e·sin νd by the date where a
log is long enough. Its numbers come from regularised least squares: the mean is free, the others
have the prior of the place's kind (data/parameters/places.toml), so that what was not measured
stays as such places are. What is left over makes the spread.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import tzinfo
from math import atan2, cos, hypot, pi, sin, sqrt
from zoneinfo import ZoneInfo

import numpy as np
from numpy.typing import NDArray

from pointage.data import load
from pointage.errors import Complaint, InputError
from pointage.kitchen.kitchen import PlaceKind
from pointage.kitchen.log.clock import from_utc
from pointage.language import say
from pointage.mixture.temperature.surroundings import (
    DAYS_OF_A_YEAR,
    Constant,
    Daily,
    Seasonal,
    Straying,
    Surroundings,
)

Floats = NDArray[np.float64]

PRIOR_DAYS = 4.0
"""The prior of the spread counts as so many days seen (ours)."""
SEASON_DAYS = 180.0
"""A log shorter than this says nothing of the year."""
HARDLY = 0.05  # K: a swing that no thermometer shows
WARM_PLACE_C = (21.0, 32.0)
"""A warm place: common practice, no source."""


@dataclass(frozen=True, slots=True)
class ClockReading:
    """A thermometer's reading: the hour of the place's clock (7.5 is half past seven) and °C."""

    hour: float
    celsius: float


@dataclass(frozen=True, slots=True)
class PlaceHistory:
    """A place in a few numbers: °C, K, hours of the clock and days from 1 January.

    swing and yearly are half distances from coldest to warmest, of a day and of a year's daily
    means; spread_k is the standard deviation of a day about all that.
    """

    mean_c: float
    swing_k: float
    warmest_h: float
    spread_k: float
    yearly_k: float = 0.0
    warmest_day: float = 0.0

    def surroundings(self, zone: tzinfo, name: str) -> Straying:
        """The place as the engine holds a mixture in it."""
        history: Surroundings = Constant(self.mean_c)
        if self.swing_k or self.yearly_k:
            day = Daily(self.mean_c, self.swing_k, self.warmest_h, zone)
            history = Seasonal(day, self.yearly_k, self.warmest_day) if self.yearly_k else day
        return Straying(history, self.spread_k, name)


def usual_spread(kind: PlaceKind) -> float:
    """The spread in kelvin of a place of this kind of which nothing more is known."""
    return float(load("parameters/places.toml")[kind]["spread"])


def is_warm_place(celsius: float) -> bool:
    """Whether bakers would call a place of this mean a warm one: 21 to 32 °C, common practice."""
    low, high = WARM_PLACE_C
    return low <= celsius <= high


def place_from_readings(readings: Sequence[ClockReading], kind: PlaceKind) -> PlaceHistory:
    """The history of a place from readings by the clock, any number from one up.

    One reading shifts the shape that such places have through itself. The spread takes readings as
    of different days: s² = (4·s₀² + Σr²)/(4 + n − p), with p the numbers that they have determined.
    Raises InputError when there is none.
    """
    if not readings:
        raise InputError(
            "readings", Complaint(say("none")), say("at least one clock time and temperature")
        )
    prior = load("parameters/places.toml")[kind]
    hours = np.array([each.hour for each in readings])
    celsius = np.array([each.celsius for each in readings])
    noise = hypot(prior["reading"], prior["spread"])
    fitted = _fit(hours, None, celsius, noise, prior)
    spread = _spread(fitted.left, len(readings) - fitted.determined, prior["spread"])
    return fitted.history(spread, prior)


def place_from_log(
    seconds: Floats, celsius: Floats, zone: ZoneInfo, kind: PlaceKind
) -> PlaceHistory:
    """The history of a place from a log: instants in seconds since 1970 (UTC), and °C.

    Means of each hour are fitted, so that a thermostat's cycle averages out; a log of half a year
    or more shows the season too. The spread is that of the daily means about the history.
    Raises InputError when there is no reading.
    """
    if not len(seconds):
        raise InputError("log", Complaint(say("no readings")), say("at least one"))
    prior = load("parameters/places.toml")[kind]
    local = from_utc(seconds, zone)
    # Each hour counts once, however often it was read.
    hour, place = np.unique(np.floor(local / 3600.0), return_inverse=True)
    times = np.bincount(place)
    means = np.bincount(place, celsius) / times
    middle = np.bincount(place, local) / times / 3600.0
    days = middle / 24.0
    dated = days if days[-1] - days[0] >= SEASON_DAYS else None
    fitted = _fit(middle % 24.0, dated, means, prior["reading"], prior)
    _, day = np.unique(np.floor(hour / 24.0), return_inverse=True)
    left = np.bincount(day, fitted.left) / np.bincount(day)
    used = 1.0 if dated is None else 3.0
    return fitted.history(_spread(left, len(left) - used, prior["spread"]), prior)


@dataclass(frozen=True, eq=False)
class _Fitted:
    """The numbers of the history, what they leave over, and how many the readings determined."""

    numbers: Floats
    left: Floats
    determined: float

    def history(self, spread: float, prior: dict[str, float]) -> PlaceHistory:
        mean, along, across, *year = (float(each) for each in self.numbers)
        swing, hour = hypot(along, across), 24 * atan2(across, along) / (2 * pi) % 24
        if swing < HARDLY:
            swing, hour = 0.0, prior["warmest"]
        yearly, day = 0.0, 0.0
        if year and hypot(*year) >= HARDLY:
            yearly, day = hypot(*year), atan2(year[1], year[0]) / (2 * pi) % 1.0 * DAYS_OF_A_YEAR
        return PlaceHistory(mean, swing, hour, spread, yearly, day)


def _fit(
    hours: Floats, days: Floats | None, celsius: Floats, noise: float, prior: dict[str, float]
) -> _Fitted:
    """min Σ (T − X·β)²/noise² + Σ (β − β₀)²/s², the mean without a prior."""
    angle = 2 * pi * hours / 24
    columns = [np.ones(len(hours)), np.cos(angle), np.sin(angle)]
    turn = 2 * pi * prior["warmest"] / 24
    usual = [0.0, prior["swing"] * cos(turn), prior["swing"] * sin(turn)]
    firmness = [0.0] + 2 * [(noise / prior["swing_spread"]) ** 2]
    if days is not None:
        angle = 2 * pi * days / DAYS_OF_A_YEAR
        columns += [np.cos(angle), np.sin(angle)]
        usual += [0.0, 0.0]
        firmness += 2 * [(noise / prior["yearly"]) ** 2]
    x = np.stack(columns, axis=1)
    beta = np.array(usual)
    seen = x.T @ x
    normal = seen + np.diag(firmness)
    beta = beta + np.linalg.solve(normal, x.T @ (celsius - x @ beta))
    return _Fitted(beta, celsius - x @ beta, float(np.trace(np.linalg.solve(normal, seen))))


def _spread(left: Floats, freedom: float, usual: float) -> float:
    """What the prior says and what is left over, each by its weight."""
    total = PRIOR_DAYS * usual**2 + float(left @ left)
    return sqrt(total / (PRIOR_DAYS + max(freedom, 0.0)))
