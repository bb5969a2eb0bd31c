"""What mixing warms a dough by, learned from the doughs of the kitchen's own thermometer."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import exp, log1p, sqrt

NOISE_K = 0.8  # thermometer, flour and room together: common practice, no source
FREEDOM = 3.0  # of Student's t: one wild reading in a few is borne
GRID_K = 0.05
FARTHEST = 6.0  # spreads of what was believed
WIDEST = 8.0  # noises about what was seen

LEAST_SPREAD_K = 1.5
RELATIVE_SPREAD = 0.4


@dataclass(frozen=True, slots=True)
class Friction:
    """What mixing warms a dough by: kelvin, the spread of what is believed, and doughs seen."""

    kelvin: float
    spread_k: float
    doughs: int = 0


def before_any_dough(kelvin: float) -> Friction:
    """What is believed of a figure that the kitchen's file gives, or that a way of mixing does."""
    return Friction(kelvin, max(LEAST_SPREAD_K, RELATIVE_SPREAD * kelvin))


def learn_friction(believed: Friction, seen: Sequence[float]) -> Friction:
    """Belief about the friction after doughs that came out so many kelvin above their balance.

    Mean and spread of p(f) ∝ N(f; believed)·Π t₃((sᵢ − f) / 0.8 K), summed over a grid of 0.05 K.
    Student's t has heavy tails, so one wild reading among several moves little.

    Units: K throughout.
    Range: believed.spread_k above 0; readings as they come, also below zero (a cold bowl).
    Source: Bayes' rule; the noise and the freedom of t are ours.
    """
    if not seen:
        return believed
    reach = FARTHEST * believed.spread_k
    low = min(believed.kelvin - reach, min(seen) - WIDEST * NOISE_K)
    high = max(believed.kelvin + reach, max(seen) + WIDEST * NOISE_K)
    grid = [low + i * GRID_K for i in range(int((high - low) / GRID_K) + 2)]
    logs = [_log_odds(f, believed, seen) for f in grid]
    top = max(logs)
    weights = [exp(each - top) for each in logs]
    total = sum(weights)
    mean = sum(f * w for f, w in zip(grid, weights, strict=True)) / total
    variance = sum((f - mean) ** 2 * w for f, w in zip(grid, weights, strict=True)) / total
    return Friction(mean, sqrt(variance), believed.doughs + len(seen))


def _log_odds(f: float, believed: Friction, seen: Sequence[float]) -> float:
    prior = -0.5 * ((f - believed.kelvin) / believed.spread_k) ** 2
    fit = sum(log1p(((s - f) / NOISE_K) ** 2 / FREEDOM) for s in seen)
    return prior - 0.5 * (FREEDOM + 1.0) * fit
