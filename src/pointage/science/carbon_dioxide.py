"""Carbon dioxide: how much the water of a mixture holds, and how much room the rest takes."""

from __future__ import annotations

from math import exp, log, sqrt

GAS_CONSTANT = 8.314462618  # J/(mol·K), exact in the SI of 2019
ATMOSPHERE = 101325.0  # Pa, exact by definition


def saturation(celsius: float) -> float:
    """CO₂ held by one kilogram of water under pure CO₂ at one atmosphere.

    ln K₀ = −58.0931 + 90.5069·(100/T) + 22.2940·ln(T/100), T in kelvin, K₀ in mol/(L·atm), with a
    litre of water taken as a kilogram.

    Units: °C in; mol/kg out.
    Range: 0 to 40 °C; fresh water.
    Source: Weiss 1974, Marine Chemistry 2:203-215, equation 12 and table 1 at no salinity
    (constants seen as quoted).
    """
    t = (celsius + 273.15) / 100.0
    return exp(-58.0931 + 90.5069 / t + 22.2940 * log(t))


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
