"""A response surface: what the engine says of each observation, as a smooth function of the traits.

Running the engine is dear and the traits are few, so a second-order polynomial is fitted by least
squares to the gaps (see `observation`) that the engine gave for some members. New members are
drawn from what prior and surface together say; the engine then judges them. What the surface leaves
unexplained counts as error of its own, so that a rough surface draws widely.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

STRAYS = 0.04
"""Share of observations that are wrong: misread, mistyped, or of another jar (ours)."""
STRAY_ERRORS = 8.0
"""A wrong reading is spread over so many times its error; a wrong sign says nothing (ours)."""
FREEDOM = 6.0
"""Degrees of freedom of a right reading's error: now and then one is three errors off (ours)."""
T_AT_NOUGHT = -0.0415
"""Logarithm of the density at nought of Student's t with FREEDOM over the normal's."""
ASTRAY = np.linspace(-3.0, 3.0, 13)
"""Offsets of a place, in its spreads, over which a history's likelihood is averaged …"""
ASTRAY_ROUGHLY = np.linspace(-2.5, 2.5, 5)
"""… and fewer for the surface, which only proposes."""
PACES = np.array([-3.0, -1.5, 0.0, 1.5, 3.0])
"""Paces of a mix, in their spreads, at which the engine is run: what a slow mix lacks is not what a
quick one gains."""
PACED = np.linspace(-3.0, 3.0, 13)
"""Paces over which a history's likelihood is averaged, so near each other that three readings of
a mix do not fall between two of them …"""
PACED_ROUGHLY = np.linspace(-2.5, 2.5, 5)
"""… and fewer for the surface."""
RARE = 3.2
"""Spreads from the middle beyond which a pair of an offset and a pace is left out."""
SIGN, SURE, SURE_SIGN = 1, 2, 3
"""Sorts of gaps for the compiled likelihood; 0 is one that has two sides and may be a slip."""
SIDE, SPARE = 8, 5
"""In its scratch: members side by side, and rows beside those of the gaps."""
RIDGE = 1e-3
MOVES = 4
ROWS = 12


@dataclass(frozen=True, eq=False)
class Judge:
    """How likely observations are for given gaps, robust to a few that are wrong.

    Each observation owns one or two columns of gaps, side by side. Its likelihood is
    (1 − ε)·fits + ε·stray, with fits = Π exp(−z²/2) or Π 1/(1 + exp(−z)).

    A place may have strayed from its history on the day, and each mix has a pace of its own: two
    normal numbers that nobody knows, over both of which the likelihood of a history's observations
    is averaged. place: what one spread of the first adds to each gap, (gaps); pace: what each of
    PACES adds, (5, gaps), straight lines between; history: the number of the history that each
    observation is of; sure: which are no slips for certain, their errors normal; nodes, log_odds:
    the pairs that stand for all, (k, 2).
    """

    one_sided: NDArray[np.bool_]
    first: NDArray[np.intp]
    place: Floats
    pace: Floats
    history: NDArray[np.intp]
    sure: NDArray[np.bool_]
    nodes: Floats
    log_odds: Floats

    @classmethod
    def of(
        cls,
        one_sided: NDArray[np.bool_],
        first: NDArray[np.intp],
        shifts: tuple[Floats, Floats],
        history: NDArray[np.intp],
        sure: NDArray[np.bool_],
    ) -> Judge:
        """The judge of these observations, by the finer nodes. shifts: `place` and `pace`."""
        place, pace = shifts
        nodes, log_odds = _nodes(bool(place.any()), ASTRAY, PACED)
        return cls(one_sided, first, place, pace, history, sure, nodes, log_odds)

    def roughly(self) -> Judge:
        """The same with fewer nodes."""
        nodes, log_odds = _nodes(bool(self.place.any()), ASTRAY_ROUGHLY, PACED_ROUGHLY)
        return replace(self, nodes=nodes, log_odds=log_odds)

    def parts(self, gaps: Floats, own: Floats | float = 0.0) -> tuple[Floats, Floats]:
        """Log of both terms, (…, observations); own: variance of the gaps themselves."""
        scale, broad = np.sqrt(1.0 + own), STRAY_ERRORS**2 + own
        level = np.log(scale)
        z = gaps / scale
        np.clip(z, -700.0, 700.0, out=z)
        fits = np.log1p(z * z / FREEDOM)
        fits *= -0.5 * (FREEDOM + 1.0)
        fits += T_AT_NOUGHT
        fits -= level
        sure = np.repeat(self.sure, np.diff(self.first, append=gaps.shape[-1]))
        if sure.any():
            fits[..., sure] = -0.5 * z[..., sure] ** 2 - np.broadcast_to(level, sure.shape)[sure]
        stray = gaps * gaps
        stray *= -0.5 / broad
        stray -= 0.5 * np.log(broad)
        signs = self.one_sided
        if signs.any():
            fits[..., signs] = -np.logaddexp(0.0, -z[..., signs])
            stray[..., signs] = np.log(0.5)
        good, bad = fits, stray
        if len(self.first) < gaps.shape[-1]:  # some observations own two columns
            good, bad = (np.add.reduceat(each, self.first, axis=-1) for each in (fits, stray))
        slip = np.where(self.sure, 0.0, STRAYS)
        with np.errstate(divide="ignore"):
            good += np.log1p(-slip)
            bad += np.log(slip)
        return good, bad

    def log_likelihood(self, gaps: Floats, own: Floats | float = 0.0) -> Floats:
        """Of all observations together, one a member."""
        from pointage.mixture.compiled import averaged  # it is not for --help

        return averaged(self._at_nodes(gaps, own), self.log_odds)

    def stray_odds(self, gaps: Floats) -> Floats:
        """The odds that each observation is wrong, averaged over equally likely members."""
        odds = np.zeros(len(self.first))
        for node, moved in zip(self.node_odds(gaps), self.moved, strict=True):
            good, bad = self.parts(gaps + moved)
            each = np.exp(bad - _log_sum(good, bad))
            odds += (node[:, self.history] * each).mean(axis=0)
        return odds

    @cached_property
    def moved(self) -> Floats:
        """What each node adds to each gap, (nodes, gaps)."""
        shares = [np.interp(self.nodes[:, 1], PACES, one) for one in np.eye(len(PACES))]
        return np.asarray(np.outer(self.nodes[:, 0], self.place) + np.array(shares).T @ self.pace)

    def node_odds(self, gaps: Floats) -> Floats:
        """The odds of each node, (nodes, members, histories), which sum to 1 over nodes."""
        by_node = self._by_node(gaps)
        odds = np.exp(by_node - by_node.max(axis=0))
        return np.asarray(odds / odds.sum(axis=0))

    def drawn(self, gaps: Floats, rng: np.random.Generator) -> Floats:
        """Offset and pace of each member in each history, (members, histories, 2), in spreads."""
        reached = np.cumsum(self.node_odds(gaps), axis=0)
        picked = (reached < rng.random(reached.shape[1:])).sum(axis=0).clip(max=len(self.nodes) - 1)
        widths = [_gap(self.nodes[:, latent]) for latent in range(2)]
        jitter = (rng.random((*picked.shape, 2)) - 0.5) * np.array(widths)
        return np.asarray(self.nodes[picked] + jitter)

    def _by_node(self, gaps: Floats) -> Floats:
        """Log of prior and likelihood at each node, (nodes, members, histories)."""
        return np.moveaxis(self._at_nodes(gaps, 0.0) + self.log_odds, 2, 0)

    def _at_nodes(self, gaps: Floats, own: Floats | float) -> Floats:
        """Log of the likelihood of each history at each node, (members, histories, nodes).

        The same as `parts` says of each observation, added up, by compiled code.
        """
        from pointage.mixture.compiled import history_likelihoods  # it is not for --help

        scale, broad = np.sqrt(1.0 + own), STRAY_ERRORS**2 + own
        facts = np.empty((4, gaps.shape[1]))
        facts[0], facts[1] = 1.0 / scale, np.exp(T_AT_NOUGHT) / scale
        facts[2], facts[3] = -0.5 / broad, 1.0 / np.sqrt(broad)
        return history_likelihoods(gaps, self.moved, facts, self._sorts, self._ends, slip=STRAYS)

    @cached_property
    def _sorts(self) -> NDArray[np.int64]:
        """What kind of gap each column holds."""
        sure = np.repeat(self.sure, np.diff(self.first, append=len(self.one_sided)))
        return np.where(sure, SURE, 0) + np.where(self.one_sided, SIGN, 0)

    @cached_property
    def _ends(self) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
        """Where each observation's columns begin, and each history's observations; and the end."""
        starts = np.flatnonzero(np.diff(self.history, prepend=-1))
        firsts = np.append(self.first, len(self.one_sided)).astype(np.int64)
        return firsts, np.append(starts, len(self.history)).astype(np.int64)


def _log_sum(a: Floats, b: Floats) -> Floats:
    """log(exp a + exp b), of which a is finite: numpy's own is four times as slow."""
    apart = -np.abs(a - b)
    np.exp(apart, out=apart)
    np.log1p(apart, out=apart)
    apart += np.maximum(a, b)
    return apart


def _nodes(strays: bool, offsets: Floats, paces: Floats) -> tuple[Floats, Floats]:
    """Pairs of a place's offset and a mix's pace, with the logarithms of their weights."""
    places = offsets if strays else np.zeros(1)
    pairs = np.stack(np.meshgrid(places, paces, indexing="ij"), axis=-1).reshape(-1, 2)
    far = (pairs**2).sum(axis=1)
    pairs, far = pairs[far <= RARE**2], far[far <= RARE**2]
    return pairs, -0.5 * far - np.log(np.exp(-0.5 * far).sum())


def _gap(values: Floats) -> float:
    """The usual distance between different values; 0 for one alone."""
    different = np.unique(values)
    return float(np.median(np.diff(different))) if len(different) > 1 else 0.0


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
