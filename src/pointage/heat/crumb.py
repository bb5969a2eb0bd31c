"""How crumb conducts: its walls, and the vapour that crosses its pores."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Array = NDArray[np.float64]

GAS_CONSTANT = 8.314  # J/(mol·K)
WATER_KG_PER_MOL = 0.01802
LATENT = 2.36e6  # J/kg, water at 60 °C (IAPWS); a few percent off at either end
SEA_LEVEL_PA = 101_325.0


def pore_vapour(celsius: Array, boils_at: float) -> Array:
    """Heat that vapour carries across a pore whose walls are wet, as a conductivity.

    λ = D·L·(dc/dT)·p/(p − p_v): vapour evaporates from the warm wall, diffuses, and condenses on
    the cool one; the last factor is its own stream, which grows without bound toward boiling.
    p_v/p by Clausius and Clapeyron from the boiling point, c = M·p_v/(R·T),
    D = 2.19e-5·(T/273)^1.81·(101325/p).

    Units: °C in; W/(m·K) out.
    Range: 0 °C to just below boils_at, itself 70 to 105 °C; at boiling it is held at 0.999 of the
    pressure, for a caller that sets its own bound.
    Source: Krischer's vapour diffusion in wet pores, with the diffusivity of vapour in air by
    Schirmer (both from memory).
    """
    kelvin, boiling = celsius + 273.15, boils_at + 273.15
    slope = LATENT * WATER_KG_PER_MOL / GAS_CONSTANT  # K
    of_pressure = np.minimum(np.exp(slope * (1 / boiling - 1 / kelvin)), 0.999)
    pressure = SEA_LEVEL_PA * np.exp(slope * (1 / 373.12 - 1 / boiling))
    diffusivity = 2.19e-5 * (kelvin / 273.15) ** 1.81 * SEA_LEVEL_PA / pressure
    density = WATER_KG_PER_MOL * of_pressure * pressure / (GAS_CONSTANT * kelvin)
    rise = density / kelvin * (slope / kelvin - 1)  # dc/dT
    carried: Array = diffusivity * LATENT * rise / (1 - of_pressure)
    return carried


def crumb_conductivity(
    celsius: Array, boils_at: float, still: float, pores: float, most: float
) -> Array:
    """Conductivity of moist crumb, W/(m·K): its walls, and the vapour up to a bound.

    λ = still + v·b/(v + b) with v = pores·`pore_vapour` and b = most − still: parallel to the walls
    the vapour, in series with the film of water that must conduct what it brings.
    """
    vapour = pores * pore_vapour(celsius, boils_at)
    bound = most - still
    return still + vapour * bound / (vapour + bound)
