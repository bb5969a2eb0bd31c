"""A response surface: what the engine says of each observation, as a smooth function of the traits.

Running the engine is dear and the traits are few, so a second-order polynomial is fitted by least
squares to the gaps (see `observation`) that the engine gave for some members. New members are
drawn from what prior and surface together say; the engine then judges them. What the surface leaves
unexplained counts as error of its own, so that a rough surface draws widely.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

STRAYS = 0.04
"""Share of observations that are wrong: misread, mistyped, or of another jar (ours)."""
STRAY_ERRORS = 8.0
"""A wrong reading is spread over so many times its error; a wrong sign says nothing (ours)."""
ASTRAY = np.linspace(-3.0, 3.0, 13)
"""Offsets of a place, in its spreads, over which a history's likelihood is averaged …"""
ASTRAY_ROUGHLY = np.linspace(-2.5, 2.5, 6)
"""… and fewer for the surface, which only proposes."""
RIDGE = 1e-3
MOVES = 4
ROWS = 12


@dataclass(frozen=True, eq=False)
class Judge:
    """How likely observations are for given gaps, robust to a few that are wrong.

    Each observation owns one or two columns of gaps, side by side. Its likelihood is
    (1 − ε)·fits + ε·stray, with fits = Π exp(−z²/2) or Π 1/(1 + exp(−z)).

    A place may have strayed from its history on the day, by a normal number of its spreads that
    nobody knows: the likelihood of a history's observations is averaged over it. slopes: what one
    spread adds to each gap; history: the number of the history that each observation is of.
    """

    one_sided: NDArray[np.bool_]
    first: NDArray[np.intp]
    slopes: Floats | None = None
    history: NDArray[np.intp] | None = None
    astray: Floats = field(default_factory=lambda: ASTRAY)

    def roughly(self) -> Judge:
        """The same with fewer offsets of a place."""
        return replace(self, astray=ASTRAY_ROUGHLY)

    def parts(self, gaps: Floats, own: Floats | float = 0.0) -> tuple[Floats, Floats]:
        """Log of both terms, (members, observations); own: variance of the gaps themselves."""
        width = 1.0 + own
        scale = np.sqrt(width)
        z = np.clip(gaps / scale, -700.0, 700.0)
        broad = STRAY_ERRORS**2 + own
        fits = -0.5 * z * z - np.log(scale)
        stray = gaps * gaps * (-0.5 / broad) - 0.5 * np.log(broad)
        signs = self.one_sided
        fits[:, signs] = -np.logaddexp(0.0, -z[:, signs])
        stray[:, signs] = np.log(0.5)
        good, bad = fits, stray
        if len(self.first) < gaps.shape[1]:  # some observations own two columns
            good, bad = (np.add.reduceat(each, self.first, axis=1) for each in (fits, stray))
        return np.log1p(-STRAYS) + good, np.log(STRAYS) + bad

    def log_likelihood(self, gaps: Floats, own: Floats | float = 0.0) -> Floats:
        """Of all observations together, one a member."""
        if self.slopes is None:
            return np.asarray(np.logaddexp(*self.parts(gaps, own)).sum(axis=1))
        by_offset = self._by_offset(gaps, own)
        most = by_offset.max(axis=0)
        return np.asarray((most + np.log(np.exp(by_offset - most).sum(axis=0))).sum(axis=1))

    def stray_odds(self, gaps: Floats) -> Floats:
        """The odds that each observation is wrong, averaged over equally likely members."""
        if self.slopes is None or self.history is None:
            good, bad = self.parts(gaps)
            return np.asarray(np.exp(bad - np.logaddexp(good, bad)).mean(axis=0))
        odds = np.zeros(len(self.first))
        for weight, offset in zip(self.offset_odds(gaps), self.astray, strict=True):
            good, bad = self.parts(gaps + offset * self.slopes)
            each = np.exp(bad - np.logaddexp(good, bad))
            odds += (weight[:, self.history] * each).mean(axis=0)
        return odds

    def offset_odds(self, gaps: Floats) -> Floats:
        """The odds of each offset, (offsets, members, histories), which sum to 1 over offsets."""
        by_offset = self._by_offset(gaps, 0.0)
        odds = np.exp(by_offset - by_offset.max(axis=0))
        return np.asarray(odds / odds.sum(axis=0))

    def _by_offset(self, gaps: Floats, own: Floats | float) -> Floats:
        """Log of prior and likelihood at each offset, (offsets, members, histories)."""
        assert self.slopes is not None
        assert self.history is not None
        starts = np.flatnonzero(np.diff(self.history, prepend=-1))
        prior = np.exp(-0.5 * self.astray**2)
        return np.stack(
            [
                np.add.reduceat(
                    np.logaddexp(*self.parts(gaps + offset * self.slopes, own)), starts, axis=1
                )
                + log_odds
                for offset, log_odds in zip(self.astray, np.log(prior / prior.sum()), strict=True)
            ]
        )


def _terms(v: Floats, crossed: bool) -> Floats:
    columns = [np.ones((len(v), 1)), v, v * v]
    if crossed:
        columns += [v[:, i : i + 1] * v[:, i + 1 :] for i in range(v.shape[1] - 1)]
    return np.hstack(columns)


@dataclass(frozen=True, eq=False)
class Surface:
    """Gaps as a polynomial of the whitened traits about `centre`, with what it leaves over."""

    centre: Floats
    crossed: bool
    coefficients: Floats
    own: Floats
    judge: Judge

    def gaps(self, v: Floats) -> Floats:
        terms = _terms(v - self.centre, self.crossed)
        # A few rows at a time: products so small that waking other threads would cost more.
        parts = [terms[i : i + ROWS] @ self.coefficients for i in range(0, len(terms), ROWS)]
        return np.concatenate(parts)

    def log_posterior(self, v: Floats) -> Floats:
        """Up to a constant; the prior of the whitened traits is standard normal."""
        likely = self.judge.log_likelihood(self.gaps(v), self.own)
        return np.asarray(likely - 0.5 * (v * v).sum(axis=1))


def fit(v: Floats, gaps: Floats, weights: Floats, judge: Judge) -> Surface:
    """Least squares with weights and a slight ridge on all but the constant."""
    centre = np.average(v, axis=0, weights=weights)
    effective = weights.sum() ** 2 / (weights**2).sum()
    crossed = bool(effective > 1.5 * _terms(v[:1], True).shape[1])
    terms = _terms(v - centre, crossed)
    weighed = terms * weights[:, None]
    ridge = np.full(terms.shape[1], RIDGE * weights.sum())
    ridge[0] = 0.0
    normal = weighed.T @ terms
    firm = normal + np.diag(ridge)
    coefficients = np.asarray(np.linalg.solve(firm, weighed.T @ gaps), np.float64)
    left = gaps - terms @ coefficients
    used = np.trace(np.linalg.solve(firm, normal))
    freedom = max(effective - used, 0.1 * effective)
    own = (weights[:, None] * left**2).sum(axis=0) / weights.sum() * effective / freedom
    return Surface(centre, crossed, coefficients, own, judge)


def sample(
    surface: Surface, v: Floats, log_then: Floats, rng: np.random.Generator, before: Surface | None
) -> Floats:
    """Carry equally likely members of one distribution over to that of `surface`.

    Tempered sequential Monte Carlo: log p_b = (1 − b)·log_then + b·log_now, b raised so that half
    the members count at each stage; after each, they are picked anew and moved by Metropolis steps
    whose shape is the members' own covariance.
    before: the surface they come from; None for the prior.
    """

    def then(at: Floats) -> Floats:
        if before is None:
            return np.asarray(-0.5 * (at * at).sum(axis=1))
        return before.log_posterior(at)

    reached = 0.0
    old, new = log_then, surface.log_posterior(v)
    size, width = v.shape
    while reached < 1.0:
        step = _next(new - old, 1.0 - reached)
        reached = min(reached + step, 1.0)
        weights = np.exp(step * (new - old) - (step * (new - old)).max())
        pick = systematic(weights, size, rng)
        v, old, new = v[pick], old[pick], new[pick]
        spread = np.cov(v.T).reshape(width, width) + 1e-8 * np.eye(width)
        shape = np.linalg.cholesky(spread) * 2.38 / np.sqrt(width)
        stretch = 1.0
        for _ in range(MOVES if reached < 1.0 else 5 * MOVES):
            tried = v + stretch * rng.standard_normal(v.shape) @ shape.T
            old_tried, new_tried = then(tried), surface.log_posterior(tried)
            gain = (1 - reached) * (old_tried - old) + reached * (new_tried - new)
            taken = np.log(rng.random(size)) < gain
            v = np.where(taken[:, None], tried, v)
            old, new = np.where(taken, old_tried, old), np.where(taken, new_tried, new)
            stretch *= float(np.exp(taken.mean() - 0.25))
    return v


def _next(difference: Floats, most: float) -> float:
    """The largest part of the way that still lets half the members count."""

    def share(step: float) -> float:
        weights = np.exp(step * (difference - difference.max()))
        return effective_share(weights)

    if share(most) >= 0.5:
        return most
    low, high = 0.0, most
    for _ in range(30):
        middle = 0.5 * (low + high)
        low, high = (middle, high) if share(middle) >= 0.5 else (low, middle)
    return max(low, 1e-4)


def effective_share(weights: Floats) -> float:
    """(Σw)² / (n·Σw²): 1 when all count alike."""
    return float(weights.sum() ** 2 / (weights**2).sum() / len(weights))


def systematic(weights: Floats, size: int, rng: np.random.Generator) -> NDArray[np.intp]:
    """`size` picks in proportion to the weights, evenly spread."""
    places = (np.arange(size) + rng.random()) / size
    total = np.cumsum(weights / weights.sum())
    return np.minimum(np.searchsorted(total, places), len(weights) - 1)
