"""Carbon dioxide: how much the water of a mixture holds, and how much room the rest takes."""

from __future__ import annotations

from math import exp, sqrt

GAS_CONSTANT = 8.314462618  # J/(mol·K), exact in the SI of 2019
ATMOSPHERE = 101325.0  # Pa, exact by definition
SOLUBILITY_25C = 3.35e-4  # mol/(m³·Pa), middle of the range in Sander 2023
SOLUBILITY_SLOPE = 2350.0  # K, d ln H / d(1/T), middle of the range in Sander 2023


def solubility(celsius: float) -> float:
    """Henry solubility of CO₂ in water, H(T) = H₂₅·exp(B·(1/T − 1/298.15 K)).

    Units: °C in; mol/(m³·Pa) out.
    Range: 0 to 40 °C.
    Source: Sander 2023, Atmos Chem Phys 23:10901, entry for carbon dioxide (3.3 to 3.4e-4,
    2300 to 2400 K).
    """
    return SOLUBILITY_25C * exp(SOLUBILITY_SLOPE * (1.0 / (celsius + 273.15) - 1.0 / 298.15))


def saturation(celsius: float) -> float:
    """CO₂ held by one kilogram of water under pure CO₂ at one atmosphere.

    c = H(T)·p, with a litre of water taken as a kilogram.

    Units: °C in; mol/kg out.
    Range: 0 to 40 °C.
    Source: Henry's law with `solubility`.
    """
    return solubility(celsius) * ATMOSPHERE / 1000.0


def molar_volume(celsius: float) -> float:
    """Volume of one mole of gas at one atmosphere, V = RT/p.

    Units: °C in; L/mol out.
    Range: 0 to 100 °C; ideal gas, within 1 % for CO₂.
    Source: the ideal gas law.
    """
    return GAS_CONSTANT * (celsius + 273.15) / ATMOSPHERE * 1000.0


def in_bubbles(total: float, held: float, air: float) -> float:
    """How much of a mixture's CO₂ is in its bubbles, when water and bubbles are in balance.

    By Henry's law the water holds held·n/(n + air) when the bubbles hold n of CO₂ beside `air` of
    air, at one atmosphere; n + held·n/(n + air) = total is a quadratic with one root above zero.

    Units: all in mol per kg of mixture; held is what its water holds under pure CO₂.
    Range: total of zero and more, held and air above zero.
    Source: Henry's and Dalton's laws.
    """
    if total <= 0.0:
        return 0.0
    middle = total - air - held
    return 0.5 * (middle + sqrt(middle * middle + 4.0 * total * air))
