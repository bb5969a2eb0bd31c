"""When to look: the moment at which one reading of the rise would narrow a forecast instant most.

Each member of a course says when the mixture will be as wanted, and what a reading would be at any
moment before. A reading is weighed as learning weighs it (`surface.Judge`), and the band that would
be left is averaged over the readings that the members lead one to expect. No random numbers.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from pointage.mixture.course import BAND, Course
from pointage.mixture.learning.observation import RISE_ERROR
from pointage.mixture.learning.surface import FREEDOM, STRAY_ERRORS, STRAYS, T_AT_NOUGHT

Floats = NDArray[np.float64]

READINGS = 24
"""Readings that stand for all that may be read at a moment, each as likely as the next."""
MOMENTS = 24
"""Moments that are weighed at most."""
EARLY = 33
"""So many in 100 may have come to it before the look, no more: after the fact it helps nobody. At a
third, who looks once and goes by it is least off, the wait counted (tests/mixture/test_look.py)."""
WORTH = 0.9
"""A look that leaves more than this of the band is not worth the walk (ours)."""
_OFF = np.array([-1.7822, -0.9581, -0.515, -0.1642, 0.1642, 0.515, 0.9581, 1.7822])
"""Errors of right readings, each as likely as the next: quantiles of Student's t with FREEDOM."""


@dataclass(frozen=True, slots=True)
class Look:
    """A look after `at_h` hours of a course, and half the 80 % band, in hours, that it leaves."""

    at_h: float
    half_h: float


@dataclass(frozen=True, slots=True)
class Looks:
    """half_h: half the 80 % band of the wanted time as it is, in hours. each: looks in order."""

    half_h: float
    each: tuple[Look, ...]

    @property
    def worth(self) -> tuple[Look, ...]:
        """Those that are worth it."""
        return tuple(look for look in self.each if look.half_h < WORTH * self.half_h)

    @property
    def best(self) -> Look | None:
        """The one that leaves least; None where none is worth it."""
        return min(self.worth, key=lambda look: look.half_h, default=None)


def looks(
    course: Course,
    wanted: Floats,
    *,
    earliest: float = 0.0,
    asleep: Sequence[tuple[float, float]] = (),
    error: float = RISE_ERROR,
) -> Looks | None:
    """What a reading of the rise at each moment would leave of the band of `wanted`.

    wanted: hours at which each member is as wanted; NaN where it never is. Moments are rows of the
    course from `earliest` (hours, past the start) to the EARLY percentile of `wanted`, and none
    within `asleep` (hours from and until). error: of the reading, as
    for `Rise`. Members that never come to it are left out: the band is that of when it comes, if it
    does. None where half of them never do.
    """
    comes = np.flatnonzero(~np.isnan(wanted))
    if 2 * len(comes) <= len(wanted):
        return None
    order = comes[np.argsort(wanted[comes], kind="stable")]
    at = wanted[order]
    even = np.full((1, len(at)), 1.0 / len(at))
    last, half = float(np.percentile(at, EARLY)), float(_half_bands(at, even)[0])
    hours = course.hours
    awake = ~np.any([(hours >= a) & (hours < b) for a, b in asleep] or [hours < 0], axis=0)
    rows = np.flatnonzero((hours > 0) & (hours >= earliest) & (hours <= last) & awake)
    if len(rows) > MOMENTS:
        rows = rows[np.linspace(0, len(rows) - 1, MOMENTS).round().astype(int)]
    found = _left(at, course.rise[order][:, rows].T, error).tolist()
    return Looks(half, tuple(Look(float(hours[r]), h) for r, h in zip(rows, found, strict=True)))


def _left(at: Floats, rise: Floats, error: float) -> Floats:
    """Half the band of `at` after one reading at each moment, expected over what would be read.

    at: of each member, ascending; rise: (moments, members) at the look.
    """
    moments = len(rise)
    possible = np.add.outer(rise, error * _OFF).reshape(moments, len(at) * len(_OFF))
    readings = np.quantile(possible, (np.arange(READINGS) + 0.5) / READINGS, axis=1).T
    gaps = (((rise[:, None, :] - readings[:, :, None]) / error) ** 2).reshape(
        moments * READINGS, len(at)
    )
    fits = (1 - STRAYS) * np.exp(T_AT_NOUGHT) * (1 + gaps / FREEDOM) ** (-0.5 * (FREEDOM + 1))
    weights = fits + STRAYS / STRAY_ERRORS * np.exp(-0.5 * gaps / STRAY_ERRORS**2)
    bands = _half_bands(at, weights / weights.sum(axis=1, keepdims=True))
    return np.asarray(bands.reshape(moments, READINGS).mean(axis=1))


def _half_bands(at: Floats, weights: Floats) -> Floats:
    """Half the 80 % band of members in ascending order under each row of weights, which sum to 1.

    Each member stands in the middle of its weight, with straight lines between.
    """
    reached = np.cumsum(weights, axis=1) - 0.5 * weights
    pick = np.arange(len(weights))
    edges = []
    for share in (BAND[0] / 100, BAND[-1] / 100):
        after = np.clip((reached < share).sum(axis=1), 1, len(at) - 1)
        low, high = reached[pick, after - 1], reached[pick, after]
        part = np.clip((share - low) / np.maximum(high - low, 1e-12), 0.0, 1.0)
        edges.append(at[after - 1] + part * (at[after] - at[after - 1]))
    return np.asarray((edges[1] - edges[0]) / 2)
