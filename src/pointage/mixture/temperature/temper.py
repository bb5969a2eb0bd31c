"""The water temperature that brings a mix to a wanted temperature, and the mix it makes."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from pointage.bounds import WARMEST_WATER_C
from pointage.mixture.mixture import Mixture, mix, raw
from pointage.mixture.state import S
from pointage.science.heat_balance import HEAT_CAPACITY

COLDEST_WATER_C = 1.0  # water over ice


@dataclass(frozen=True, eq=False)
class Tempered:
    """The mix, the water's temperatures in °C, and whether the wanted temperature was reached."""

    mixture: Mixture
    waters_c: NDArray[np.float64]
    reached: bool

    @property
    def water_c(self) -> float:
        """The water's temperature in °C, the middle one where there are several."""
        return float(np.median(self.waters_c))


def temper(
    parts: Sequence[Mixture],
    water_g: float,
    wanted_c: float,
    gained_k: float = 0.0,
    *,
    each: bool = False,
) -> Tempered:
    """Mix `parts` with `water_g` grams of water at the temperature that makes the whole `wanted_c`.

    T_w = T + [Σ mᵢcᵢ·(T − Tᵢ)] / (m_w c_w), with T = wanted_c − gained_k, where gained_k is what
    working the mix adds in kelvin; the water is kept between ice water and what yeast bears, so
    the mix may miss the wanted temperature (`reached`). The members of an ensemble share one
    water, for their median temperature; with `each`, every state gets its own, for states that are
    not one mixture's odds but many mixtures.
    """
    aim = wanted_c - gained_k
    if water_g <= 0:
        whole = mix(parts, gained_k)
        return Tempered(whole, np.array([aim]), abs(whole.temperature_c - wanted_c) < 1.0)
    lacking = sum(part.heat_capacity * (aim - part.states[:, S.TEMPERATURE]) for part in parts)
    ideal = aim + np.asarray(lacking) / (water_g * HEAT_CAPACITY["water"])
    if not each:
        ideal = np.median(ideal, keepdims=True)
    water_c = np.clip(ideal, COLDEST_WATER_C, WARMEST_WATER_C)
    whole = mix([*parts, raw(water=water_g, celsius=water_c)], gained_k)
    return Tempered(whole, water_c, bool((water_c == ideal).all()))
