"""Carbon dioxide: how much the water of a mixture holds, and how much room the rest takes."""

from __future__ import annotations

from math import exp, sqrt

GAS_CONSTANT = 8.314462618  # J/(mol·K), exact in the SI of 2019
ATMOSPHERE = 101325.0  # Pa, exact by definition
WATER_KG_PER_MOL = 0.0180153


def saturation(celsius: float) -> float:
    """CO₂ held by one kilogram of water under pure CO₂ at one atmosphere.

    x = p/H with ln(H/MPa) = −6.8346 + 1.2817e4/T − 3.7668e6/T² + 2.997e8/T³ (T in kelvin), the
    mole fraction; x/(1 − x)/M of it in a kilogram of water of molar mass M.

    Units: °C in; mol/kg out.
    Range: 0 to 80 °C at low pressure.
    Source: Carroll, Slupsky & Mather 1991, J Phys Chem Ref Data 20:1201-1209, equation 4
    (constants seen as quoted).
    """
    t = celsius + 273.15
    log_h = -6.8346 + 1.2817e4 / t - 3.7668e6 / (t * t) + 2.997e8 / (t * t * t)
    share = ATMOSPHERE / 1e6 * exp(-log_h)
    return share / (1.0 - share) / WATER_KG_PER_MOL


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
