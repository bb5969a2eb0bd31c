"""Forecast the rest of real tubes of dough from their first part.

`python -m benchmarks.learning FILE.csv`

The file has the columns tube, dough, hours, height_px (change of height since the start). Each tube
is forecast from its own first points alone, its length not being told, by three methods: ours,
persistence of the last slope, and a modified Gompertz curve by least squares (Zwietering 1990,
Appl Environ Microbiol 56:1875-1881). One JSON object is printed: the median over tubes of the mean
absolute error over the rest of the tube, in px, and the share of the rest inside our 80 % band.

Ours: courses of the engine drawn from priors that are wide in what such a file does not tell
(temperature, seed, flour, culture, px per unit of rise), each weighed by how well it follows the
first points. On a logarithmic scale, log(height + offset), a tube strays from its course by an
error that lasts some hours. Those that are picked are carried on from the last reading. The
constants of `Population` are of all tubes together; none belongs to a tube or a dough.

Tubes for which it was made: Landis E. A. et al. 2021, eLife 10:e61644, figure 4 source data 3
(CC BY 4.0, from memory).
"""

from __future__ import annotations

import csv
import json
import sys
from collections.abc import Mapping
from dataclasses import dataclass, field, fields
from datetime import UTC, datetime
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from pointage.culture.mature import feed, mature
from pointage.data import load
from pointage.mixture.hold import hold
from pointage.mixture.learning.surface import systematic
from pointage.mixture.surroundings import Constant
from pointage.mixture.traits import Traits, draw_traits, median_traits

Floats = NDArray[np.float64]

PARTS = {"first_third": 3, "first_half": 2}
LOTS = 200
LOT = 100
HOURS = 40.0
ROW_MIN = 30
HEIGHTS = 4
PICKED = 2000
NEVER_RISE = 0.1  # a course that rises less is left out, for it has no shape


@dataclass(frozen=True, slots=True)
class Population:
    """What is believed of tubes in general, before one is seen. Ours, in round numbers."""

    celsius: tuple[float, float] = (18.0, 26.0)
    seed: tuple[float, float] = (0.003, 0.1)  # of the fresh flour, on a logarithmic scale
    widened: float = 2.0  # times the spread of the traits: these are of other kitchens
    # Median over that of the prior, and log spread. A small stiff dough in a narrow tube makes less
    # gas, is held by the walls and falls late; cultures differ twofold in gas (Houn & Hsu 2013).
    traits: Mapping[str, tuple[float, float]] = field(
        default_factory=lambda: {
            "yeast_doubling_h": (1.0, 0.2),
            "yeast_gas": (0.5, 0.6),
            "retention": (1.5, 0.4),
            "weakening": (0.3, 0.8),
        }
    )
    height: tuple[float, float] = (180.0, 0.4)  # px at the highest, and its log spread
    blanks: float = 0.03  # share of tubes that hardly rise: a tenth as high
    keeps: float = 0.95  # of the highest point; the series stop there
    offset: float = 6.0  # px; below it a height is mostly reading error
    stray: float = 0.2  # lasting error of log(height + offset)
    stray_h: float = 6.0  # how long it lasts
    reading: float = 0.08  # passing error of log(height + offset)
    ahead: float = 0.2  # log error of what is still to come
    ahead_h: float = 3.0  # hours in which that error is there in full
    walk: float = 4.0  # px of unforeseen change, times the square root of hours


@dataclass(frozen=True, eq=False)
class Pool:
    """Courses of the engine, as shares of their highest rise, on common hours."""

    hours: Floats
    shape: Floats


@dataclass(frozen=True, eq=False)
class Forecast:
    """The middle and the edges of the 80 % band, px."""

    low: Floats
    middle: Floats
    high: Floats


def pool(population: Population, seed: int = 1) -> Pool:
    """LOTS mixes of one temperature, seed and flour each; LOT cultures in each."""
    rng = np.random.default_rng(seed)
    drawn = _cultures(population, draw_traits(LOTS * LOT, seed))
    start = datetime(2026, 1, 1, tzinfo=UTC)
    places = [(rng.permutation(LOTS) + rng.random(LOTS)) / LOTS for _ in range(3)]
    shapes = []
    for lot in range(LOTS):
        warm, much, brown = (float(each[lot]) for each in places)
        celsius = population.celsius[0] + warm * (population.celsius[1] - population.celsius[0])
        seed_share = population.seed[0] * (population.seed[1] / population.seed[0]) ** much
        kind = "wheat-white" if brown < 0.7 else "wheat-whole"
        culture = mature({kind: 1.0}, 1.0, median_traits())
        dough = feed(culture, 100 * seed_share, {kind: 100.0}, 75.0, celsius)
        traits = Traits(*(getattr(drawn, f.name)[lot::LOTS] for f in fields(Traits)))
        course = hold(dough, Constant(celsius), start, HOURS, traits, every_min=ROW_MIN)
        shapes.append(course.rise - 1.0)
    shape = np.maximum(np.concatenate(shapes), 0.0)
    shape = np.maximum(shape, population.keeps * np.maximum.accumulate(shape, axis=1))
    top = shape.max(axis=1, keepdims=True)
    return Pool(course.hours, (shape / np.maximum(top, NEVER_RISE))[top[:, 0] > NEVER_RISE])


def _cultures(population: Population, drawn: Traits) -> Traits:
    """The priors' members moved and spread as they are believed to be here."""
    columns = []
    for name, prior in load("parameters/traits.toml").items():
        shift, spread = population.traits.get(name, (1.0, population.widened * prior["spread"]))
        z = np.log(getattr(drawn, name) / prior["median"]) / prior["spread"]
        columns.append((name, prior["median"] * shift * np.exp(spread * z)))
    return Traits(**dict(columns))


def forecast(
    courses: Pool,
    believed: Population,
    hours: Floats,
    height: Floats,
    wanted: Floats,
    *,
    seed: int = 2,
) -> Forecast:
    """Heights at `wanted` hours from the readings so far, with an 80 % band."""
    rng = np.random.default_rng(seed)
    offset, now = believed.offset, hours[-1]
    seen = _thinned(hours)
    t, y = hours[seen], np.log(np.maximum(height[seen], 0.0) + offset)

    # Each course with several heights: likelihood under a normal error that lasts.
    middle, spread = believed.height
    course = np.tile(np.arange(len(courses.shape)), HEIGHTS)
    tops = middle * np.exp(spread * rng.standard_normal(len(course)))
    tops = np.where(rng.random(len(course)) < believed.blanks, 0.1 * tops, tops)
    left = y - np.log(tops[:, None] * _at(courses, t)[course] + offset)
    lasting = believed.stray**2 * np.exp(-np.abs(t[:, None] - t[None, :]) / believed.stray_h)
    root = np.linalg.cholesky(lasting + believed.reading**2 * np.eye(len(t)))
    log_weight = -0.5 * ((left @ np.linalg.inv(root).T) ** 2).sum(axis=1)
    chosen = systematic(np.exp(log_weight - log_weight.max()), PICKED, rng)

    # What was picked, carried on from the last reading.
    ahead = np.unique(np.append(wanted[:: max(1, len(wanted) // 40)], wanted[-1]))
    rows = tops[chosen, None] * _at(courses, np.append(now, ahead))[course[chosen]] + offset
    grown = 1.0 - np.exp(-(ahead - now) / believed.ahead_h)
    ratio = rows[:, 1:] / rows[:, :1]
    ratio *= np.exp(believed.ahead * grown * rng.standard_normal((PICKED, 1)))
    steps = np.sqrt(np.diff(np.append(now, ahead))) * rng.standard_normal((PICKED, len(ahead)))
    drawn = (height[-1] + offset) * ratio - offset + believed.walk * np.cumsum(steps, axis=1)
    drawn = np.maximum(drawn, believed.keeps**2 * height.max())
    bands = np.percentile(drawn, (10, 50, 90), axis=0)
    return Forecast(*(np.interp(wanted, ahead, each) for each in bands))


def _thinned(hours: Floats) -> NDArray[np.intp]:
    """The last reading and those whole hours before it: readings are medians of an hour."""
    back = np.arange(hours[-1], -1e-9, -1.0)[::-1]
    return np.unique(np.abs(hours[None, :] - back[:, None]).argmin(axis=1))


def _at(courses: Pool, hours: Floats) -> Floats:
    place = np.clip(hours / courses.hours[1], 0, len(courses.hours) - 1.000001)
    row = place.astype(int)
    part = place - row
    return np.asarray(courses.shape[:, row] * (1 - part) + courses.shape[:, row + 1] * part)


def slope(hours: Floats, height: Floats, wanted: Floats) -> Floats:
    """The straight line of the last hour, carried on from the last reading."""
    last = hours >= hours[-1] - 1.01
    steep = np.polyfit(hours[last], height[last], 1)[0]
    return np.asarray(height[-1] + steep * (wanted - hours[-1]))


def gompertz(hours: Floats, height: Floats, wanted: Floats) -> Floats:
    """A·exp{−exp[μe/A·(λ − t) + 1]}, Zwietering 1990, fitted to the readings by least squares."""
    from scipy.optimize import curve_fit

    def curve(t: Floats, most: float, rate: float, lag: float) -> Floats:
        inner = np.clip(rate * np.e / most * (lag - t) + 1.0, -50.0, 50.0)
        return np.asarray(most * np.exp(-np.exp(inner)))

    limits = ((1.0, 0.01, 0.0), (500.0, 200.0, 48.0))  # px, px/h, h
    guess = np.clip((max(2 * float(height.max()), 50.0), 10.0, float(hours[-1]) / 2), *limits)
    try:
        found, _ = curve_fit(curve, hours, height, p0=guess, bounds=limits, max_nfev=5000)
    except RuntimeError:  # it does not settle
        return np.full(len(wanted), float(height[-1]))
    return curve(wanted, *found)


def tubes(path: Path) -> dict[str, tuple[Floats, Floats]]:
    """Hours and heights of each tube of a file."""
    rows: dict[str, list[tuple[float, float]]] = {}
    with path.open(encoding="utf-8", newline="") as file:
        for row in csv.DictReader(file):
            point = float(row["hours"]), float(row["height_px"])
            rows.setdefault(row["tube"], []).append(point)
    return {name: (np.array(p)[:, 0], np.array(p)[:, 1]) for name, p in rows.items()}


def compare(
    found: dict[str, tuple[Floats, Floats]], population: Population, courses: Pool
) -> dict[str, object]:
    """The figures for a set of tubes."""
    answer: dict[str, object] = {"tubes": len(found)}
    for name, part in PARTS.items():
        errors: dict[str, list[float]] = {"ours": [], "slope": [], "gompertz": []}
        inside: list[float] = []
        for hours, height in found.values():
            cut = max(len(hours) // part, 2)
            known, rest, truth = (hours[:cut], height[:cut]), hours[cut:], height[cut:]
            ours = forecast(courses, population, *known, rest)
            for method, guess in (
                ("ours", ours.middle),
                ("slope", slope(*known, rest)),
                ("gompertz", gompertz(*known, rest)),
            ):
                errors[method].append(float(np.abs(guess - truth).mean()))
            inside.append(float(((ours.low <= truth) & (truth <= ours.high)).mean()))
        figures = {method: round(float(np.median(each)), 1) for method, each in errors.items()}
        answer[name] = {**figures, "coverage_80": round(float(np.mean(inside)), 3)}
    return answer


def main(arguments: list[str]) -> int:
    if len(arguments) != 1 or not Path(arguments[0]).is_file():
        print("give one CSV file with tube, dough, hours, height_px", file=sys.stderr)
        return 2
    population = Population()
    print(json.dumps(compare(tubes(Path(arguments[0])), population, pool(population))))
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
