"""At which temperature water boils at a height above the sea."""

from __future__ import annotations

import math

from pointage.errors import RangeError

LOWEST_M, HIGHEST_M = -2000.0, 11_000.0
TRIPLE_POINT_PA, CRITICAL_PA = 611.213, 22.064e6


def pressure_at(altitude_m: float) -> float:
    """Pressure of the standard atmosphere, p = 101325·(1 − 0.0065·h / 288.15)^5.25588.

    Units: m above the sea in; Pa out. The weather moves the true pressure by some ± 3 kPa, which
    moves the boiling point by about 0.8 K.
    Range: −2000 to 11000 m, geopotential; otherwise RangeError.
    Source: ISO 2533:1975, Standard Atmosphere.
    """
    if not LOWEST_M <= altitude_m <= HIGHEST_M:
        raise RangeError("altitude", altitude_m, LOWEST_M, HIGHEST_M, "m")
    return 101325.0 * math.exp(5.25588 * math.log1p(-0.0065 * altitude_m / 288.15))


def saturation_temperature(pressure_pa: float) -> float:
    """Temperature at which water boils under a pressure; the backward equation of region 4.

    With β = p^¼ (p in MPa): E = β² + n₃β + n₆, F = n₁β² + n₄β + n₇, G = n₂β² + n₅β + n₈,
    D = 2G / (−F − √(F² − 4EG)) and T = ½·(n₁₀ + D − √((n₁₀ + D)² − 4(n₉ + n₁₀D))).

    Units: Pa in; °C out.
    Range: 611.213 Pa (0 °C) to 22.064 MPa (the critical point); otherwise RangeError.
    Source: IAPWS-IF97, section 8.2; coefficients checked against the program `iapws`.
    """
    if not TRIPLE_POINT_PA <= pressure_pa <= CRITICAL_PA:
        raise RangeError("pressure", pressure_pa, TRIPLE_POINT_PA, CRITICAL_PA, "Pa")
    beta = math.sqrt(math.sqrt(pressure_pa / 1e6))
    e = beta**2 - 17.073846940092 * beta + 14.915108613530
    f = 1167.0521452767 * beta**2 + 12020.824702470 * beta - 4823.2657361591
    g = -724213.16703206 * beta**2 - 3232555.0322333 * beta + 405113.40542057
    d = 2 * g / (-f - math.sqrt(f**2 - 4 * e * g))
    n9, n10 = -0.23855557567849, 650.17534844798
    kelvin = (n10 + d - math.sqrt((n10 + d) ** 2 - 4 * (n9 + n10 * d))) / 2
    return kelvin - 273.15


def boiling_point(altitude_m: float) -> float:
    """Temperature at which water boils at a height, by `pressure_at` and `saturation_temperature`.

    Units: m above the sea in; °C out.
    Range: −2000 to 11000 m; otherwise RangeError.
    Source: ISO 2533:1975 and IAPWS-IF97.
    """
    return saturation_temperature(pressure_at(altitude_m))


def heat_of_vaporisation(celsius: float) -> float:
    """Heat that boils a kilogram of water away, a straight line L = 2509.5 − 2.53·t.

    Units: °C in; kJ/kg out.
    Range: 60 to 120 °C, within 0.2 %; otherwise RangeError.
    Source: our line through IAPWS-IF97 (2357.7 kJ/kg at 60 °C, 2256.5 at 100 °C).
    """
    if not 60.0 <= celsius <= 120.0:
        raise RangeError("temperature", celsius, 60.0, 120.0, "°C")
    return 2509.5 - 2.53 * celsius
