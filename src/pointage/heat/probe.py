"""A time constant from a probe's readings of what stands in a vessel."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import exp, log
from typing import TYPE_CHECKING

import numpy as np

from pointage.errors import InputError
from pointage.language import say

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Array = NDArray[np.float64]

SHORTEST_H, LONGEST_H = 0.05, 100.0
TRIED = 241
WIDE = 6.0  # spreads to either side that the second look covers
FEWEST = 4
LEAST_ERROR_K = 0.05
"""No probe is better; without it readings that fit by chance would seem too sure (ours)."""
EDGE = 0.01


@dataclass(frozen=True, slots=True)
class Followed:
    """Hours of the time constant, and the spread (standard deviation) of its logarithm.

    A spread of 0.1 is about ± 10 %. error_k: how far readings are from the curve, one standard
    deviation. around_c: the surroundings, where they had to be found as well. bounded: whether the
    readings fix it from both sides; if not, `hours` is only what is left of not knowing.
    """

    hours: float
    spread: float
    error_k: float
    around_c: float | None
    bounded: bool


def followed(
    hours: Sequence[float], celsius: Sequence[float], around: Sequence[float] | None = None
) -> Followed:
    """The time constant of T' = (A − T)/τ that readings show, with its spread.

    hours: of the readings, rising; celsius: of the mass; around: of its surroundings at the same
    times, straight lines between, or None where they were steady and nobody measured them. For each
    of many τ the start (and the steady surroundings) are fitted by least squares. τ is then weighed
    by what is left over, the readings' error being unknown (Student's t), with a τ twice as long as
    likely beforehand. Range: 0.05 to 100 h. Raises InputError for fewer than four readings, rows of
    unlike length, hours that do not rise, or what is no number.
    """
    t, y = (np.asarray(each, dtype=np.float64) for each in (hours, celsius))
    a = None if around is None else np.asarray(around, dtype=np.float64)
    _check(t, y, a)
    low, high = log(SHORTEST_H), log(LONGEST_H)
    logs = np.linspace(low, high, TRIED)
    likely, _, _ = _weighed(logs, t, y, a)
    bounded = bool(max(likely[0], likely[-1]) < EDGE * likely.max())
    middle, spread = _moments(logs, likely)
    reach = WIDE * max(spread, float(logs[1] - logs[0]))
    logs = np.linspace(max(low, middle - reach), min(high, middle + reach), TRIED)
    likely, left, known = _weighed(logs, t, y, a)
    middle, spread = _moments(logs, likely)
    best = int(likely.argmax())
    return Followed(
        hours=exp(middle),
        spread=spread,
        error_k=float(np.sqrt(left[best] / _free(t, a))),
        around_c=None if a is not None else float(known[best]),
        bounded=bounded,
    )


def _free(t: Array, a: Array | None) -> int:
    """Readings beyond what is fitted: τ, the start, and the surroundings if need be."""
    return len(t) - (3 if a is None else 2)


def _weighed(logs: Array, t: Array, y: Array, a: Array | None) -> tuple[Array, Array, Array]:
    """The odds of each τ; the squares it leaves over; and the surroundings that go with it."""
    columns, driven = _curves(np.exp(logs), t, a)
    wanted = y[:, None] - driven
    normal = np.einsum("int,jnt->tij", columns, columns) + 1e-9 * np.eye(len(columns))
    known = np.linalg.solve(normal, np.einsum("int,nt->ti", columns, wanted)[..., None])[..., 0]
    rest = wanted - np.einsum("int,ti->nt", columns, known)
    left = (rest**2).sum(axis=0)
    free = _free(t, a)
    odds = -0.5 * (free + 1) * np.log(left + (free + 1) * LEAST_ERROR_K**2)
    likely = np.exp(odds - odds.max())
    return likely / likely.sum(), left, known[:, -1]


def _curves(tau: Array, t: Array, a: Array | None) -> tuple[Array, Array]:
    """What is fitted, (unknowns, readings, τ): a start that fades, surroundings that come in.

    And what surroundings that are known make of a start at 0 °C, exact for straight lines:
    T₁ = A₁ + (T₀ − A₀)·e^(−x) + (A₀ − A₁)·(1 − e^(−x))/x, with x = Δt/τ.
    """
    fades = np.exp(-(t - t[0])[:, None] / tau)
    if a is None:
        return np.stack([fades, 1.0 - fades]), np.zeros_like(fades)
    driven = np.zeros_like(fades)
    for i in range(1, len(t)):
        x = (t[i] - t[i - 1]) / tau
        keep = np.exp(-x)
        driven[i] = a[i] + (driven[i - 1] - a[i - 1]) * keep + (a[i - 1] - a[i]) * (1.0 - keep) / x
    return fades[None], driven


def _moments(logs: Array, likely: Array) -> tuple[float, float]:
    middle = float(likely @ logs)
    return middle, float(np.sqrt(likely @ (logs - middle) ** 2))


def _check(t: Array, y: Array, a: Array | None) -> None:
    rows = (t, y) if a is None else (t, y, a)
    if len({len(each) for each in rows}) > 1:
        lengths = ", ".join(str(len(each)) for each in rows)
        raise InputError("readings", lengths, say("the same number of each"))
    if len(t) < FEWEST:
        raise InputError("readings", len(t), say("{fewest} or more", fewest=FEWEST))
    if not all(np.isfinite(each).all() for each in rows):
        raise InputError("readings", say("one that is not a number"), say("numbers"))
    if not (np.diff(t) > 0).all():
        raise InputError(
            "readings", say("hours out of order"), say("each later than the one before")
        )
