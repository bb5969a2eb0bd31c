"""Forecast the rest of real tubes of dough from their first part, a dough left out at a time.

`python -m benchmarks.learning FILE.csv`

The file has the columns tube, dough, hours, height_px (change of height since the start). A tube's
name begins with that of its batch ("3-122-a-3" is of batch 3; without a hyphen none is known). Each
tube is forecast from its own first points, its length not being used, by three methods: ours
(benchmarks/tubes.py: the shipped traits, and of what the file lacks what the whole tubes of all
*other* doughs say, those of its batch above all), persistence of the last slope, and a modified
Gompertz curve by least squares (Zwietering 1990, Appl Environ Microbiol 56:1875-1881).

One JSON object is printed: the priors of what the file lacks; and for each part the median over
tubes of the mean absolute error over the rest of the tube, in px; `ratio`, ours over the better of
the other two; `coverage_80`, the share of the rest inside our 80 % band, mean over tubes;
`interval_95` of each, from doughs drawn anew with their tubes (percentiles of RESAMPLES); and
`mean`, the same errors and ratio with the mean over tubes, which a few bad tubes move more.

Tubes for which it was made: Landis E. A. et al. 2021, eLife 10:e61644, figure 4 source data 3
(CC BY 4.0, from memory).
"""

from __future__ import annotations

import csv
import json
import sys
from collections.abc import Callable
from dataclasses import asdict, dataclass
from pathlib import Path

import numpy as np

from benchmarks.tubes import Floats, Pool, Priors, forecast, learn, likelihood, of_batch, pool

PARTS = {"first_third": 3, "first_half": 2}
METHODS = ("ours", "slope", "gompertz")
FEWEST = 6  # readings of a tube: a third of them makes a line
RESAMPLES = 2000


@dataclass(frozen=True, eq=False)
class Tube:
    """Hours and heights in px of one tube, the dough that rose in it, and its batch, if known."""

    batch: str
    dough: str
    hours: Floats
    height: Floats


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


def tubes(path: Path) -> list[Tube]:
    """The tubes of a file. ValueError, in a line, where it is not such a file."""
    rows: dict[tuple[str, str], list[tuple[float, float]]] = {}
    with path.open(encoding="utf-8", newline="") as file:
        reader = csv.DictReader(file)
        for row in reader:
            try:
                point = float(row["hours"]), float(row["height_px"])
                rows.setdefault((row["tube"], row["dough"]), []).append(point)
            except (KeyError, TypeError, ValueError):
                raise ValueError(f"line {reader.line_num}: no such row") from None
            if not np.isfinite(point).all():
                raise ValueError(f"line {reader.line_num}: not finite")
    for (tube, _), points in rows.items():
        if len(points) < FEWEST:
            raise ValueError(f"tube {tube}: {len(points)} readings; give at least {FEWEST}")
    if not rows:
        raise ValueError("no tubes")
    return [
        Tube(tube.rpartition("-")[0].partition("-")[0], dough, *np.array(sorted(points)).T)
        for (tube, dough), points in rows.items()
    ]


def compare(found: list[Tube], priors: Priors, courses: Pool) -> dict[str, object]:
    """The figures for a set of tubes."""
    whole = [courses.by_lot(likelihood(courses, tube.hours, tube.height)) for tube in found]
    doughs = sorted({tube.dough for tube in found})
    figures = {name: np.zeros((len(found), len(METHODS) + 1)) for name in PARTS}
    for dough in doughs:
        others = [each for each in zip(found, whole, strict=True) if each[0].dough != dough]
        of_all = learn(priors, courses, [like for _, like in others])
        for number, tube in enumerate(found):
            if tube.dough != dough:
                continue
            beside = [like for other, like in others if tube.batch and other.batch == tube.batch]
            population = of_batch(of_all, beside)
            for name, part in PARTS.items():
                cut = len(tube.hours) // part
                known, rest = (tube.hours[:cut], tube.height[:cut]), tube.hours[cut:]
                truth = tube.height[cut:]
                ours = forecast(courses, population, *known, rest)
                guesses = (ours.middle, slope(*known, rest), gompertz(*known, rest))
                figures[name][number] = (
                    *(np.abs(guess - truth).mean() for guess in guesses),
                    ((ours.low <= truth) & (truth <= ours.high)).mean(),
                )
    of_dough = [[i for i, t in enumerate(found) if t.dough == dough] for dough in doughs]
    parts = {name: _summary(table, of_dough) for name, table in figures.items()}
    return {"tubes": len(found), "doughs": len(doughs), "priors": asdict(priors), **parts}


def _summary(table: Floats, of_dough: list[list[int]]) -> dict[str, object]:
    """Middles over the tubes, with intervals from doughs drawn anew."""
    rng = np.random.default_rng(3)
    drawn = []
    for _ in range(RESAMPLES):
        doughs = rng.integers(len(of_dough), size=len(of_dough))
        again = table[[tube for dough in doughs for tube in of_dough[dough]]]
        drawn.append(_middles(again, np.median))
    low, high = np.percentile(drawn, (2.5, 97.5), axis=0)
    names = (*METHODS, "ratio", "coverage_80")
    middles = _middles(table, np.median)
    digits = (1, 1, 1, 2, 3)
    return {
        **{n: round(float(m), d) for n, m, d in zip(names, middles, digits, strict=True)},
        "interval_95": {
            n: [round(float(a), d), round(float(b), d)]
            for n, a, b, d in zip(names, low, high, digits, strict=True)
        },
        "mean": {
            n: round(float(m), d)
            for n, m, d in zip(names[:-1], _middles(table, np.mean), digits, strict=False)
        },
    }


def _middles(table: Floats, middle: Callable[..., Floats]) -> list[float]:
    """Errors of METHODS, the ratio of ours to the better of the others, coverage."""
    errors = middle(table[:, :-1], axis=0)
    return [*errors, errors[0] / min(errors[1:]), float(table[:, -1].mean())]


def main(arguments: list[str]) -> int:
    if len(arguments) != 1 or not Path(arguments[0]).is_file():
        print("give one CSV file with tube, dough, hours, height_px", file=sys.stderr)
        return 2
    try:
        found = tubes(Path(arguments[0]))
    except ValueError as error:
        print(f"{arguments[0]}: {error}", file=sys.stderr)
        return 2
    priors = Priors()
    print(json.dumps(compare(found, priors, pool(priors))))
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
