"""Our forecast of tubes of dough: the engine's courses, and what other doughs' tubes say of them.

The traits are the shipped ones, as `draw_traits` draws them. What a file of heights does not hold
has priors here (`Priors`): temperature, flour, seed, and the height of the highest point in px, for
which starting height and px per rise are lacking.

`pool` draws lots, each one setting of temperature, flour and seed, and in each lot many cultures.
`learn` weighs lots and heights by whole tubes of other doughs; within a lot all cultures stay as
likely as they were shipped. `forecast` weighs courses by a tube's first readings and carries them
on from the last.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, fields
from datetime import UTC, datetime

import numpy as np
from numpy.typing import NDArray

from pointage.culture.mature import feed, mature
from pointage.mixture.hold import hold
from pointage.mixture.learning.surface import systematic
from pointage.mixture.temperature.surroundings import Constant
from pointage.mixture.traits import Traits, draw_traits, median_traits

Floats = NDArray[np.float64]

LOTS = 800
LOT = 12
HOURS = 40.0
ROW_MIN = 30
NEVER_RISE = 0.1  # a course that rises less is left out, for it has no shape
KEEPS = 0.95  # of the highest point: a series stops once its dough has fallen 5 %
HEIGHTS = np.geomspace(60.0, 450.0, 13)  # px at the highest point
STEPS = 4  # of expectation and maximisation: few, since the tubes are few
UNLEARNED = 0.1  # weight that stays spread over all lots, whatever the other tubes say
LEAST_SPREAD = 0.2  # of the height's logarithm
PICKED = 2000

# How a tube strays from its course, in log(height + OFFSET). Ours, in round numbers.
OFFSET = 6.0  # px; below it a height is mostly reading error
STRAY, STRAY_H = 0.25, 6.0  # an error that lasts, and how many hours
READING = 0.08  # an error that passes
AHEAD, AHEAD_H = 0.3, 6.0  # error of what is still to come, and hours until it is there in full
WALK = 4.0  # px of unforeseen change, times the square root of hours


@dataclass(frozen=True, slots=True)
class Priors:
    """What is believed of the things the file lacks, before a tube is seen. Ours."""

    celsius: tuple[float, float] = (16.0, 27.0)
    seed: tuple[float, float] = (0.002, 0.1)  # of the fresh flour, even on a logarithmic scale
    white: float = 0.7  # odds of white wheat flour; else whole wheat
    height_px: tuple[float, float] = (180.0, 0.4)  # median of the highest point, and log spread


@dataclass(frozen=True, eq=False)
class Pool:
    """Courses of the engine, as shares of their highest rise, on common hours; the lot of each."""

    hours: Floats
    shape: Floats
    lot: NDArray[np.intp]


@dataclass(frozen=True, eq=False)
class Population:
    """Log odds of each course and of each of HEIGHTS, before a tube is seen."""

    course: Floats
    height: Floats


@dataclass(frozen=True, eq=False)
class Forecast:
    """The mean and the edges of the 80 % band, px."""

    low: Floats
    middle: Floats
    high: Floats


def pool(priors: Priors, seed: int = 1) -> Pool:
    """LOTS settings of what the file lacks; LOT cultures of the shipped priors in each."""
    rng = np.random.default_rng(seed)
    drawn = draw_traits(LOTS * LOT, seed)
    start = datetime(2026, 1, 1, tzinfo=UTC)
    places = np.array([(rng.permutation(LOTS) + rng.random(LOTS)) / LOTS for _ in range(3)])
    rises = []
    for lot, (warm, much, brown) in enumerate(places.T):
        celsius = float(priors.celsius[0] + warm * (priors.celsius[1] - priors.celsius[0]))
        share = float(priors.seed[0] * (priors.seed[1] / priors.seed[0]) ** much)
        kind = "wheat-white" if brown < priors.white else "wheat-whole"
        culture = mature({kind: 1.0}, 1.0, median_traits())
        dough = feed(culture, 100 * share, {kind: 100.0}, 75.0, celsius)
        traits = Traits(*(getattr(drawn, f.name)[lot::LOTS] for f in fields(Traits)))
        course = hold(dough, Constant(celsius), start, HOURS, traits, every_min=ROW_MIN)
        rises.append(course.rise - 1.0)
    shape = np.maximum(np.concatenate(rises), 0.0)
    shape = np.maximum(shape, KEEPS * np.maximum.accumulate(shape, axis=1))
    top = shape.max(axis=1)
    rose = top > NEVER_RISE
    lots = np.repeat(np.arange(LOTS), LOT)[rose]
    return Pool(course.hours, shape[rose] / top[rose, None], lots)


def log_likelihood(courses: Pool, hours: Floats, height: Floats) -> Floats:
    """Of these readings, for each course and each of HEIGHTS: normal errors, one that lasts."""
    seen = _thinned(hours)
    t, y = hours[seen], np.log(np.maximum(height[seen], 0.0) + OFFSET)
    lasting = STRAY**2 * np.exp(-np.abs(t[:, None] - t[None, :]) / STRAY_H)
    root = np.linalg.inv(np.linalg.cholesky(lasting + READING**2 * np.eye(len(t)))).T
    shape = _at(courses, t)
    each = [-0.5 * (((y - np.log(px * shape + OFFSET)) @ root) ** 2).sum(axis=1) for px in HEIGHTS]
    return np.stack(each, axis=1)


def learn(priors: Priors, courses: Pool, others: Sequence[Floats]) -> Population:
    """The population by the `log_likelihood` of other doughs' whole tubes; the priors for none."""
    size = np.bincount(courses.lot, minlength=int(courses.lot.max()) + 1)
    lots = np.where(size > 0, 1.0, 0.0)
    even = lots = lots / lots.sum()
    middle, spread = np.log(priors.height_px[0]), priors.height_px[1]
    for step in range(STEPS + 1):
        population = Population(
            np.log((lots / np.maximum(size, 1))[courses.lot]),
            -0.5 * ((np.log(HEIGHTS) - middle) / spread) ** 2,
        )
        if step == STEPS or not others:
            break
        found = np.zeros((len(courses.lot), len(HEIGHTS)))
        for tube in others:
            found += _odds(population, tube) / len(others)
        by_lot = np.bincount(courses.lot, found.sum(axis=1), minlength=len(size))
        lots = (1 - UNLEARNED) * by_lot + UNLEARNED * even
        by_height = found.sum(axis=0)
        middle = by_height @ np.log(HEIGHTS)
        spread = max(float(by_height @ (np.log(HEIGHTS) - middle) ** 2) ** 0.5, LEAST_SPREAD)
    return population


def _odds(population: Population, tube: Floats) -> Floats:
    """Of each course and height together, given a tube's `log_likelihood`."""
    together = tube + population.course[:, None] + population.height[None, :]
    odds = np.exp(together - together.max())
    return np.asarray(odds / odds.sum())


def forecast(
    courses: Pool,
    population: Population,
    hours: Floats,
    height: Floats,
    wanted: Floats,
    *,
    seed: int = 2,
) -> Forecast:
    """Heights at `wanted` hours from the readings so far, with an 80 % band."""
    rng = np.random.default_rng(seed)
    odds = _odds(population, log_likelihood(courses, hours, height))
    course, level = np.divmod(systematic(odds.ravel(), PICKED, rng), len(HEIGHTS))
    between = np.log(HEIGHTS[1] / HEIGHTS[0]) * (rng.random(PICKED) - 0.5)
    tops = HEIGHTS[level] * np.exp(between)

    # What was picked, carried on from the last reading.
    now = hours[-1]
    ahead = np.unique(np.append(wanted[:: max(1, len(wanted) // 40)], wanted[-1]))
    rows = tops[:, None] * _at(courses, np.append(now, ahead))[course] + OFFSET
    grown = 1.0 - np.exp(-(ahead - now) / AHEAD_H)
    ratio = rows[:, 1:] / rows[:, :1]
    ratio *= np.exp(AHEAD * grown * rng.standard_normal((PICKED, 1)))
    steps = np.sqrt(np.diff(np.append(now, ahead))) * rng.standard_normal((PICKED, len(ahead)))
    drawn = (height[-1] + OFFSET) * ratio - OFFSET + WALK * np.cumsum(steps, axis=1)
    drawn = np.maximum(drawn, KEEPS**2 * height.max())
    low, high = np.percentile(drawn, (10, 90), axis=0)
    return Forecast(*(np.interp(wanted, ahead, each) for each in (low, drawn.mean(axis=0), high)))


def _thinned(hours: Floats) -> NDArray[np.intp]:
    """The last reading and those whole hours before it: readings are medians of an hour."""
    back = np.arange(hours[-1], -1e-9, -1.0)[::-1]
    return np.unique(np.abs(hours[None, :] - back[:, None]).argmin(axis=1))


def _at(courses: Pool, hours: Floats) -> Floats:
    place = np.clip(hours / courses.hours[1], 0, len(courses.hours) - 1.000001)
    row = place.astype(int)
    part = place - row
    return np.asarray(courses.shape[:, row] * (1 - part) + courses.shape[:, row + 1] * part)
