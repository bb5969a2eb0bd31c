"""Our forecast of tubes of dough: the engine's courses, and what other doughs' tubes say of them.

The traits are the shipped ones, as `draw_traits` draws them. What a file of heights does not hold
has priors here (`Priors`): temperature, flour, seed, how far the tube's walls carry the dough, and
the height of the highest point in px, for which starting height and px per rise are lacking.

`pool` draws lots, each one setting of temperature, flour, seed and walls, and in each lot many
cultures. `learn` weighs lots and heights by whole tubes of other doughs; within a lot all cultures
stay as likely as they were shipped. `of_batch` goes on to the other doughs that stood in the same
batch, with one room, one flour and one camera. `forecast` weighs courses by a tube's first readings
and carries them on from the last.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, fields, replace
from datetime import UTC, datetime

import numpy as np
from numpy.typing import NDArray

from pointage.culture.mature import feed, mature
from pointage.mixture.hold import hold
from pointage.mixture.learning.surface import systematic
from pointage.mixture.temperature.surroundings import Constant
from pointage.mixture.traits import Traits, draw_traits, median_traits

Floats = NDArray[np.float64]
Singles = NDArray[np.float32]
"""Enough for courses and likelihoods, of which there are many."""

LOTS = 6000
LOT = 12
HOURS = 40.0
ROW_MIN = 30
NEVER_RISE = 0.1  # a course that rises less is left out, for it has no shape
KEEPS = 0.95  # of the highest point: a series stops once its dough has fallen 5 %
HEIGHTS = np.geomspace(60.0, 450.0, 13)  # px at the highest point
STEPS = 4  # of expectation and maximisation: few, since the tubes are few
UNLEARNED = 0.1  # weight that stays spread over all lots, whatever the other tubes say
LEAST_SPREAD = 0.2  # of the height's logarithm
OTHERS = 5.0  # tubes' worth of all batches together, beside those of the tube's own batch
PICKED = 8000
AT_ONCE = 4096  # courses, so few that what is made of them stays in the processor

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
    walls: tuple[float, float] = (1.0, 4.0)  # gas held, over what a dough without walls holds; log
    height_px: tuple[float, float] = (180.0, 0.4)  # median of the highest point, and log spread


@dataclass(frozen=True, eq=False)
class Pool:
    """Courses of the engine, as shares of their highest rise, one a column; the lot of each.

    hours: of the rows.
    """

    hours: Floats
    shape: Singles
    lot: NDArray[np.intp]

    def each(self, lots: Floats) -> Singles:
        """Of each course, its share of its lot's odds."""
        several = np.maximum(np.bincount(self.lot, minlength=len(lots)), 1)
        return np.asarray((lots / several)[self.lot], np.float32)

    def by_lot(self, likely: Singles) -> Singles:
        """Of a `likelihood`, the mean over the courses of each lot, (LOTS, HEIGHTS)."""
        several = np.maximum(np.bincount(self.lot, minlength=LOTS), 1)
        found = [np.bincount(self.lot, each, minlength=LOTS) / several for each in likely]
        return np.asarray(np.stack(found, axis=1), np.float32)


@dataclass(frozen=True, eq=False)
class Population:
    """What is believed before a tube is seen.

    lots: the odds of each lot; height: middle and spread of the logarithm of the highest point.
    """

    lots: Floats
    height: tuple[float, float]

    def heights(self) -> Singles:
        """The odds of each of HEIGHTS."""
        middle, spread = self.height
        odds = np.exp(-0.5 * ((np.log(HEIGHTS) - middle) / spread) ** 2)
        return np.asarray(odds / odds.sum(), np.float32)


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
    places = np.array([(rng.permutation(LOTS) + rng.random(LOTS)) / LOTS for _ in range(4)])
    rises = []
    for lot, (warm, much, brown, held) in enumerate(places.T):
        celsius = float(priors.celsius[0] + warm * (priors.celsius[1] - priors.celsius[0]))
        share = _logarithmic(priors.seed, much)
        kind = "wheat-white" if brown < priors.white else "wheat-whole"
        culture = mature({kind: 1.0}, 1.0, median_traits())
        dough = feed(culture, 100 * share, {kind: 100.0}, 75.0, celsius)
        traits = Traits(*(getattr(drawn, f.name)[lot::LOTS] for f in fields(Traits)))
        walled = replace(traits, retention=traits.retention * _logarithmic(priors.walls, held))
        course = hold(dough, Constant(celsius), start, HOURS, walled, every_min=ROW_MIN)
        rises.append((course.rise - 1.0).astype(np.float32))
    shape = np.maximum(np.concatenate(rises).T, 0.0)
    shape = np.maximum(shape, KEEPS * np.maximum.accumulate(shape))
    top = shape.max(axis=0)
    rose = top > NEVER_RISE
    lots = np.repeat(np.arange(LOTS), LOT)[rose]
    return Pool(course.hours, np.ascontiguousarray(shape[:, rose] / top[rose]), lots)


def _logarithmic(limits: tuple[float, float], place: float) -> float:
    return float(limits[0] * (limits[1] / limits[0]) ** place)


def likelihood(courses: Pool, hours: Floats, height: Floats) -> Singles:
    """Of these readings, for each course and each of HEIGHTS; 1 for the likeliest of all.

    Normal errors in log(height + OFFSET), one of which lasts.
    """
    seen = _thinned(hours)
    t, y = hours[seen], np.log(np.maximum(height[seen], 0.0) + OFFSET).astype(np.float32)
    lasting = STRAY**2 * np.exp(-np.abs(t[:, None] - t[None, :]) / STRAY_H)
    root = np.linalg.inv(np.linalg.cholesky(lasting + READING**2 * np.eye(len(t))))
    whiten, wanted = root.astype(np.float32), (root @ y).astype(np.float32)[:, None]
    found = np.empty((len(HEIGHTS), courses.shape.shape[1]), np.float32)
    for begin in range(0, found.shape[1], AT_ONCE):
        lot = slice(begin, begin + AT_ONCE)
        shape = _at(courses, t, lot)
        for row, px in zip(found, HEIGHTS.tolist(), strict=True):
            gaps = whiten @ np.log(px * shape + OFFSET) - wanted
            row[lot] = -0.5 * np.einsum("ij,ij->j", gaps, gaps)
    return np.asarray(np.exp(found - found.max()), np.float32)


def learn(priors: Priors, courses: Pool, others: Sequence[Singles]) -> Population:
    """The population by other doughs' whole tubes, each `by_lot`; the priors for none."""
    even = np.bincount(courses.lot, minlength=LOTS) > 0
    even = even / even.sum()
    population = Population(even, (float(np.log(priors.height_px[0])), priors.height_px[1]))
    for _ in range(STEPS if others else 0):
        lots, height = _found(population, others)
        middle = float(height @ np.log(HEIGHTS))
        spread = max(float(height @ (np.log(HEIGHTS) - middle) ** 2) ** 0.5, LEAST_SPREAD)
        population = Population((1 - UNLEARNED) * lots + UNLEARNED * even, (middle, spread))
    return population


def of_batch(population: Population, beside: Sequence[Singles]) -> Population:
    """The same for one batch, by other doughs' tubes that stood in it, each `by_lot`.

    They count one each, the population as OTHERS tubes. The spread of heights remains.
    """
    if not beside:
        return population
    lots, height = _found(population, beside)
    own = len(beside) / (len(beside) + OTHERS)
    middle, spread = population.height
    return Population(
        own * lots + (1 - own) * population.lots,
        (own * float(height @ np.log(HEIGHTS)) + (1 - own) * middle, spread),
    )


def _found(population: Population, tubes: Sequence[Singles]) -> tuple[Floats, Floats]:
    """The odds of each lot and of each of HEIGHTS, mean over tubes."""
    height = population.heights()
    lots, heights = np.zeros(LOTS), np.zeros(len(HEIGHTS))
    for tube in tubes:  # both sums of one table, which need not be made
        by_lot, by_height = population.lots * (tube @ height), height * (population.lots @ tube)
        lots += by_lot / by_lot.sum() / len(tubes)
        heights += by_height / by_height.sum() / len(tubes)
    return lots, heights


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
    odds = likelihood(courses, hours, height) * courses.each(population.lots)
    odds *= population.heights()[:, None]
    chosen = systematic(odds.T.ravel().astype(float), PICKED, rng)
    course, level = np.divmod(chosen, len(HEIGHTS))
    between = np.log(HEIGHTS[1] / HEIGHTS[0]) * (rng.random(PICKED) - 0.5)
    tops = HEIGHTS[level] * np.exp(between)

    # What was picked, carried on from the last reading.
    now = hours[-1]
    ahead = np.unique(np.append(wanted[:: max(1, len(wanted) // 40)], wanted[-1]))
    rows = tops[:, None] * _at(courses, np.append(now, ahead), course).T + OFFSET
    strays = AHEAD * (1.0 - np.exp(-(ahead - now) / AHEAD_H))
    carried = (height[-1] + OFFSET) * rows[:, 1:] / rows[:, :1]
    # Drawn in pairs of opposite signs, neighbours of one course as a rule: so the mean is steadier.
    signs = np.array([[1.0], [-1.0]])
    noise = (rng.standard_normal((PICKED // 2, 1, 1 + len(ahead))) * signs).reshape(PICKED, -1)
    steps = WALK * np.sqrt(np.diff(np.append(now, ahead))) * noise[:, 1:]
    drawn = carried * np.exp(strays * noise[:, :1]) - OFFSET + np.cumsum(steps, axis=1)
    drawn = np.maximum(drawn, KEEPS**2 * height.max())
    low, high = np.percentile(drawn, (10, 90), axis=0)
    return Forecast(*(np.interp(wanted, ahead, each) for each in (low, drawn.mean(axis=0), high)))


def _thinned(hours: Floats) -> NDArray[np.intp]:
    """The last reading and those whole hours before it: readings are medians of an hour."""
    back = np.arange(hours[-1], -1e-9, -1.0)[::-1]
    return np.unique(np.abs(hours[None, :] - back[:, None]).argmin(axis=1))


def _at(courses: Pool, hours: Floats, chosen: NDArray[np.intp] | slice = slice(None)) -> Singles:
    """The shapes of the courses chosen, along straight lines between rows."""
    place = np.clip(hours / courses.hours[1], 0, len(courses.hours) - 1.000001)
    row = place.astype(int)
    part = (place - row).astype(np.float32)[:, None]
    shape = courses.shape[:, chosen]
    return np.asarray(shape[row] * (1 - part) + shape[row + 1] * part)
