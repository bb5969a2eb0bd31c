"""Members of a young culture's ensemble: drawn, and drawn anew about those that fit what was seen.

What was seen may lie at the edge of what the first members do. Then a handful of them carries all
the weight and the days ahead hang on chance; so others are drawn about that handful, each weighed
by prior over proposal, which leaves the odds what they are (importance sampling).
"""

from __future__ import annotations

from dataclasses import dataclass, fields

import numpy as np

from pointage.culture.young import Chances, Floats, draw_chances
from pointage.data import load
from pointage.mixture.learning.surface import effective_share
from pointage.mixture.traits import Traits, draw_lasting

ENOUGH = 25.0
"""So many members that count are enough for odds to a tenth (ours)."""
FROM_PRIOR = 0.3  # share of those drawn anew that come from the prior, so that no weight is wild
SHRUNK = 4.0  # so many members that count are half believed, each trait for itself
NARROWEST = 0.5  # of the prior's spread


@dataclass(frozen=True, eq=False)
class Members:
    """Cultures and what their flour brings, and each one's weight before anything was seen."""

    traits: Traits
    chances: Chances
    weights: Floats


def first_members(number: int, seed: int) -> Members:
    """Drawn from the priors, all alike in weight."""
    return Members(
        draw_lasting(number, seed), draw_chances(number, seed + 1), np.full(number, 1.0 / number)
    )


def counting(weights: Floats) -> float:
    """How many members count: (Σw)² / Σw²."""
    return effective_share(weights) * len(weights)


def drawn_anew(members: Members, weights: Floats, seed: int) -> Members:
    """As many members, most of them about those that `weights` favour; none is one of the old.

    Each logarithm is drawn from FROM_PRIOR·prior + (1 − FROM_PRIOR)·normal, whose mean and spread
    are those of the favoured, drawn toward the prior's; the new weights are prior over that.
    """
    medians, spreads = _priors()
    z = (np.log(_columns(members)) - medians[:, None]) / spreads[:, None]
    rng = np.random.default_rng(seed)
    count = counting(weights)
    mean = (z @ weights) * count / (count + SHRUNK)
    var = ((z - (z @ weights)[:, None]) ** 2) @ weights
    width = np.clip(np.sqrt(var * count / (count + SHRUNK) + SHRUNK / (count + SHRUNK)),
                    NARROWEST, 1.0)  # fmt: skip
    new = rng.standard_normal(z.shape)
    about = rng.random(z.shape[1]) >= FROM_PRIOR
    new = np.where(about, mean[:, None] + width[:, None] * new, new)
    prior = -0.5 * (new**2).sum(axis=0)
    at = (new - mean[:, None]) / width[:, None]
    proposal = -0.5 * (at**2).sum(axis=0) - np.log(width).sum()
    mixed = np.logaddexp(np.log(FROM_PRIOR) + prior, np.log1p(-FROM_PRIOR) + proposal)
    weighed = np.exp(prior - mixed)
    values = np.exp(medians[:, None] + spreads[:, None] * new)
    of_traits = len(fields(Traits))
    return Members(
        Traits(*values[:of_traits]), Chances(*values[of_traits:]), weighed / weighed.sum()
    )


def _columns(members: Members) -> Floats:
    parts = (members.traits, members.chances)
    return np.array([getattr(part, f.name) for part in parts for f in fields(part)])


def _priors() -> tuple[Floats, Floats]:
    """Logarithm of the median, and spread, of each column."""
    tables = [
        load(f"parameters/{name}.toml")[f.name]
        for name, kind in (("traits", Traits), ("young", Chances))
        for f in fields(kind)
    ]
    return (
        np.log([float(each["median"]) for each in tables]),
        np.array([float(each["spread"]) for each in tables]),
    )
