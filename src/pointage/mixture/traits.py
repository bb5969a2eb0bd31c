"""What differs from culture to culture: a few traits with priors, drawn as an ensemble."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, fields, replace
from statistics import NormalDist

import numpy as np
from numpy.typing import NDArray

from pointage.data import load

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Traits:
    """One value a member of each trait; data/parameters/traits.toml gives meaning and prior."""

    yeast_doubling_h: Floats
    bacteria_doubling_h: Floats
    yeast_gas: Floats
    acid: Floats
    retention: Floats
    weakening: Floats
    wakefulness: Floats
    drowsing: Floats
    dying: Floats
    warming: Floats
    heat_odds: Floats

    @property
    def heat_bearing(self) -> Floats:
        """The share of the yeast that answers to heat as the heat-bearing kind does, 0 to 1."""
        return self.heat_odds / (1.0 + self.heat_odds)

    def __len__(self) -> int:
        return len(self.yeast_gas)

    def median(self) -> Traits:
        """A single member with the median of each trait."""
        return Traits(*(np.array([np.median(getattr(self, f.name))]) for f in fields(self)))

    def some(self, members: int) -> Traits:
        """So many of the members, evenly taken, each whole; all where there are no more."""
        if members >= len(self):
            return self
        chosen = np.linspace(0, len(self) - 1, members).round().astype(int)
        return self.only(chosen)

    def only(self, chosen: NDArray[np.intp]) -> Traits:
        """The members of these numbers."""
        return Traits(*(getattr(self, f.name)[chosen] for f in fields(self)))


def median_traits() -> Traits:
    """A single member with the median of every prior."""
    priors = load("parameters/traits.toml")
    return Traits(*(np.array([priors[f.name]["median"]]) for f in fields(Traits)))


def draw_traits(members: int, seed: int) -> Traits:
    """An ensemble from the priors: a Latin hypercube, so that few members already cover them.

    Each member is a culture in a mix of its own, whose pace is drawn too (`in_a_mix`).
    """
    *columns, pace = draw_priors([*_tables(), {"median": 1.0, "spread": 1.0}], members, seed)
    return in_a_mix(Traits(*columns), np.log(pace))


def draw_lasting(members: int, seed: int) -> Traits:
    """As `draw_traits`, without a mix's pace: cultures over many mixes."""
    return Traits(*draw_priors(_tables(), members, seed))


def _tables() -> list[Mapping[str, float]]:
    priors = load("parameters/traits.toml")
    return [priors[f.name] for f in fields(Traits)]


def in_a_mix(traits: Traits, paces: Floats) -> Traits:
    """What the lasting traits of cultures come to in one mix of each.

    paces: by how many spreads (data/parameters/mix.toml) the mix is quicker than is usual for its
    culture; all its cells are quicker alike.
    """
    slower = np.exp(-float(load("parameters/mix.toml")["pace"]["spread"]) * paces)
    return replace(
        traits,
        yeast_doubling_h=traits.yeast_doubling_h * slower,
        bacteria_doubling_h=traits.bacteria_doubling_h * slower,
    )


def draw_priors(priors: Sequence[Mapping[str, float]], members: int, seed: int) -> list[Floats]:
    """A Latin hypercube of `members` draws from log-normal priors, each a median and a spread."""
    rng = np.random.default_rng(seed)
    normal = np.vectorize(NormalDist().inv_cdf)
    columns = []
    for prior in priors:
        places = (rng.permutation(members) + rng.random(members)) / members
        columns.append(prior["median"] * np.exp(prior["spread"] * normal(places)))
    return columns
