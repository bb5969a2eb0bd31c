"""Is a band honest? Learn from simulated daybooks whose truth is known.

`python -m benchmarks.honesty [REPLICATES [SPREAD]]` prints one JSON object. In each replicate the
true traits are drawn from the priors; a few feeds at various temperatures, each a mix with a pace
of its own, are read with errors, now and then grossly wrong ones; the first feeds are learned from,
and the rise of the next forecast. Asked is how often the true course lies in the 80 % band of the
forecast (75 to 85 % is honest), how far its middle is off, and whether the true traits' ranks among
the posterior members are uniform (simulation-based calibration; `rank_chance` is the chance of so
uneven a histogram by luck). SPREAD: how far the place strays from its history at each feed, in K;
learning knows that it does, not by how much.

`misfit`: the same coverage where the truth is not as the learner assumes (`MISFITS`), after 0, 1, 3
and 10 feeds learned from, each with the error of the band's middle.
"""

from __future__ import annotations

import json
import sys
from collections.abc import Mapping
from dataclasses import dataclass, field, fields, replace
from datetime import UTC, datetime, timedelta

import numpy as np
from numpy.typing import NDArray

from pointage.culture.mature import feed, mature
from pointage.data import load
from pointage.mixture.hold import hold
from pointage.mixture.learning.observation import (
    Acidity,
    MixtureTemperature,
    Observation,
    PeakedAt,
    Rise,
)
from pointage.mixture.learning.surface import STRAY_ERRORS, STRAYS
from pointage.mixture.learning.update import NAMES, Watched, learn
from pointage.mixture.mixture import Mixture
from pointage.mixture.temperature.surroundings import Constant, Daily, Straying
from pointage.mixture.traits import Traits, draw_priors, draw_traits, in_a_mix, median_traits

Floats = NDArray[np.float64]

START = datetime(2026, 1, 5, 7, 0, tzinfo=UTC)
FEED_EVERY_H = 12.0
FORECAST_H = (2.0, 4.0, 6.0, 8.0, 10.0, 12.0)
BINS = 10
AFTER_FEEDS = (0, 1, 3, 10)
A_MISFIT_EVERY = 4
"""Of the replicates, one in so many is run for each misfit, whose ten feeds are dear."""


@dataclass(frozen=True, slots=True)
class Misfit:
    """A truth that the learner does not assume.

    traits: times what was drawn; warmer_k: the room over what is believed of it; idle_h: how long
    the seed stood ripe before each feed, unknown to the learner; typos: share of readings a third
    of what they should be; step: to which readings of rise are rounded.
    """

    traits: Mapping[str, float] = field(default_factory=dict)
    warmer_k: float = 0.0
    idle_h: float = 0.0
    typos: float = 0.0
    step: float = 0.0


AS_ASSUMED = Misfit()
MISFITS = {
    "as assumed": AS_ASSUMED,
    "slow": Misfit({"yeast_doubling_h": 1.6, "bacteria_doubling_h": 1.6}),
    "quick": Misfit({"yeast_doubling_h": 0.6, "bacteria_doubling_h": 0.6}),
    "gassy": Misfit({"yeast_gas": 1.7}),
    "weak": Misfit({"retention": 0.7, "weakening": 2.0}),
    "warm room told as cool": Misfit(warmer_k=2.5),
    "seed in another state": Misfit(idle_h=30.0),
    "a typo in ten": Misfit(typos=0.1),
    "read to a quarter": Misfit(step=0.25),
}


@dataclass(frozen=True, eq=False)
class Daybook:
    """Feeds of one culture in one place, and the truth.

    truth: its lasting traits; feeds: as they are believed to be; true: as they were, with the
    traits as each mix had them.
    """

    truth: Traits
    feeds: tuple[Watched, ...]
    true: tuple[tuple[Watched, Traits], ...]


@dataclass(frozen=True, eq=False)
class Outcome:
    """One replicate: ranks of the true traits (0 to 1), and of the true rises; errors of rise."""

    traits: Floats
    rises: Floats
    error: float
    error_untaught: float


def write_daybook(
    seed: int,
    feeds: int,
    readings: int,
    spread_k: float = 0.0,
    misfit: Misfit = AS_ASSUMED,
) -> Daybook:
    """A culture of the priors, fed `feeds` times and looked at `readings` times each."""
    rng = np.random.default_rng([seed, 1])
    priors = load("parameters/traits.toml")
    drawn = Traits(
        *draw_priors([priors[f.name] for f in fields(Traits)], 1, int(rng.integers(2**31)))
    )
    drawn = replace(drawn, **{n: by * getattr(drawn, n) for n, by in misfit.traits.items()})
    kept = mature({"wheat-white": 1.0}, 1.0, median_traits())
    off = np.random.default_rng([seed, 2])
    book, truths = [], []
    for number in range(feeds):
        start = START + timedelta(hours=FEED_EVERY_H * number)
        flour = {"wheat-white": 100.0}
        seed_g, mix_c = float(rng.choice([20.0, 50.0, 100.0])), float(rng.uniform(18, 28))
        fed = feed(kept, seed_g, flour, 90.0, mix_c)
        place = Daily(float(rng.uniform(19, 26)), 2.0, 15.0, UTC)
        strayed = place.mean + misfit.warmer_k + spread_k * off.standard_normal()
        true = replace(place, mean=strayed)
        as_mixed = feed(_stood(kept, misfit.idle_h), seed_g, flour, 90.0, mix_c)
        traits = in_a_mix(drawn, rng.standard_normal(1))
        unread = Watched(as_mixed, true, start, (), "shelf")
        seen = _seen(rng, unread, traits, readings, misfit)
        known = Straying(place, spread_k, "shelf") if spread_k else place
        book.append(Watched(fed, known, start, seen, "shelf"))
        truths.append((unread, traits))
    return Daybook(drawn, tuple(book), tuple(truths))


def _stood(culture: Mixture, hours: float) -> Mixture:
    """A culture that was left to stand."""
    if not hours:
        return culture
    return hold(culture, Constant(25.0), START, hours, median_traits(), every_min=60).final


def _seen(
    rng: np.random.Generator, of: Watched, truth: Traits, readings: int, misfit: Misfit
) -> tuple[Observation, ...]:
    """Readings with their errors, a share of them wrong, and at times when it peaked."""
    course = hold(of.mixture, of.surroundings, of.start, 24.0, truth, every_min=30)

    def error() -> float:
        wide = STRAY_ERRORS if rng.random() < STRAYS else 1.0
        return float(wide * rng.standard_normal())

    seen: list[Observation] = []
    for hours in np.sort(rng.uniform(0.5, FEED_EVERY_H, readings)):
        at = of.start + timedelta(hours=float(hours))
        kind = rng.choice(["rise", "rise", "rise", "temperature", "ph"])
        if kind == "rise":
            true = float(Rise(at, 1.0).expected(course)[0])
            read = true + Rise(at, 1.0).error * error()
            read = read / 3.0 if rng.random() < misfit.typos else read
            read = round(read / misfit.step) * misfit.step if misfit.step else read
            seen.append(Rise(at, max(read, 0.3)))
        elif kind == "temperature":
            exact = float(np.interp(hours, course.hours, course.temperature[0]))
            seen.append(MixtureTemperature(at, exact + 0.7 * error()))
        else:
            exact = float(np.interp(hours, course.hours, course.ph[0]))
            seen.append(Acidity(at, float(np.clip(exact + 0.12 * error(), 2.5, 8.0))))
    peak = float(course.peak_h()[0])
    if np.isfinite(peak) and rng.random() < 0.3:
        seen.append(PeakedAt(of.start + timedelta(hours=max(peak + 0.75 * error(), 0.1))))
    return tuple(seen)


def replicate(seed: int, feeds: int = 5, readings: int = 4, spread_k: float = 0.0) -> Outcome:
    """Write a daybook, learn from all but its last feed, forecast that."""
    book = write_daybook(seed, feeds, readings, spread_k)
    believed = learn(None, book.feeds[:-1], seed)
    last = book.feeds[-1]
    true = _rises(*book.true[-1])[0]
    drawn = believed.at("shelf")
    taught = _rises(last, drawn)
    untaught = _rises(last, draw_traits(200, seed))
    ranks = [
        float((getattr(believed.lasting, f.name) < getattr(book.truth, f.name)[0]).mean())
        for f in fields(Traits)
    ]
    return Outcome(
        np.array(ranks),
        (taught < true).mean(axis=0),
        float(np.abs(np.median(taught, axis=0) - true).mean()),
        float(np.abs(np.median(untaught, axis=0) - true).mean()),
    )


def _rises(of: Watched, traits: Traits) -> Floats:
    hours = max(FORECAST_H)
    course = hold(of.mixture, of.surroundings, of.start, hours, traits, every_min=30)
    rows = [int(np.abs(course.hours - each).argmin()) for each in FORECAST_H]
    return course.rise[:, rows]


def misfits(replicates: int) -> dict[str, dict[str, dict[str, float]]]:
    """Coverage of the 80 % band, and error of its middle, by misfit and feeds learned from."""
    answer: dict[str, dict[str, dict[str, float]]] = {}
    for name, misfit in MISFITS.items():
        ranks: dict[int, list[Floats]] = {feeds: [] for feeds in AFTER_FEEDS}
        errors: dict[int, list[float]] = {feeds: [] for feeds in AFTER_FEEDS}
        for seed in range(replicates):
            book = write_daybook(seed, max(AFTER_FEEDS) + 1, 4, misfit=misfit)
            true = _rises(*book.true[-1])[0]
            for feeds in AFTER_FEEDS:
                believed = learn(None, book.feeds[:feeds], seed)
                found = _rises(book.feeds[-1], believed.at("shelf"))
                ranks[feeds].append((found < true).mean(axis=0))
                errors[feeds].append(float(np.abs(np.median(found, axis=0) - true).mean()))
        answer[name] = {
            f"after {feeds}": {
                "coverage_80": round(coverage(np.array(ranks[feeds])), 3),
                "error": round(float(np.mean(errors[feeds])), 3),
            }
            for feeds in AFTER_FEEDS
        }
    return answer


def coverage(ranks: Floats) -> float:
    """Share of ranks within the middle 80 %."""
    return float(((ranks >= 0.1) & (ranks <= 0.9)).mean())


def evenness(ranks: Floats, bins: int = BINS) -> float:
    """Chi-square of the ranks' histogram against a level one, over its degrees of freedom."""
    counts, _ = np.histogram(ranks, bins=bins, range=(0.0, 1.0))
    expected = len(ranks) / bins
    return float(((counts - expected) ** 2 / expected).sum() / (bins - 1))


def chance(ranks: Floats, bins: int = BINS) -> float:
    """The chance that level ranks give so uneven a histogram, by drawing 4000 of them."""
    rng = np.random.default_rng(0)
    drawn = rng.multinomial(len(ranks), np.full(bins, 1 / bins), size=4000)
    expected = len(ranks) / bins
    uneven = ((drawn - expected) ** 2 / expected).sum(axis=1) / (bins - 1)
    return float((uneven >= evenness(ranks, bins)).mean())


def main(arguments: list[str]) -> int:
    try:
        replicates = int(arguments[0]) if arguments else 200
        spread_k = float(arguments[1]) if len(arguments) > 1 else 0.0
    except ValueError:
        given = " ".join(arguments)
        print(f"replicates: {given} cannot be used; give a whole number", file=sys.stderr)
        return 2
    outcomes = [replicate(seed, spread_k=spread_k) for seed in range(replicates)]
    traits = np.array([each.traits for each in outcomes])
    answer = {
        "replicates": replicates,
        "spread_k": spread_k,
        "coverage_80_of_rise": round(coverage(np.array([each.rises for each in outcomes])), 3),
        "coverage_80_of_traits": round(coverage(traits), 3),
        "rank_chance": {n: round(chance(traits[:, i]), 3) for i, n in enumerate(NAMES)},
        "mean_error_of_rise": round(float(np.mean([each.error for each in outcomes])), 3),
        "untaught": round(float(np.mean([each.error_untaught for each in outcomes])), 3),
        "misfit": misfits(max(replicates // A_MISFIT_EVERY, 1)),
    }
    print(json.dumps(answer))
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
