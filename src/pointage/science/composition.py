"""Heat capacity, density and conductivity of a food from what it is made of."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, fields

from pointage.errors import RangeError
from pointage.language import mark

# c = a + b·t + d·t² in kJ/(kg·K), t in °C. Choi & Okos 1986, "Effects of temperature and
# composition on the thermal properties of foods", Food Engineering and Process Applications
# 1:93-101; all but water's first figure from memory of the handbook's reprint.
#
# Water: the original is quoted with 4.1762, the reprint in the ASHRAE Handbook (Refrigeration,
# thermal properties of foods) has 4.1289, from memory. At 20 °C they give 4.177 and 4.129 where
# IAPWS-95 gives 4.184, so the original stands here.
_HEAT_CAPACITY = {
    "water": (4.1762, -9.0864e-5, 5.4731e-6),
    "protein": (2.0082, 1.2089e-3, -1.3129e-6),
    "fat": (1.9842, 1.4733e-3, -4.8008e-6),
    "carbohydrate": (1.5488, 1.9625e-3, -5.9399e-6),
    "fibre": (1.8459, 1.8306e-3, -4.6509e-6),
    "ash": (1.0926, 1.8896e-3, -3.6817e-6),
}

# ρ in kg/m³ and λ in W/(m·K), as a + b·t + d·t²: the same paper, from memory of the reprint.
_DENSITY = {
    "water": (997.18, 3.1439e-3, -3.7574e-3),
    "protein": (1329.9, -0.51840, 0.0),
    "fat": (925.59, -0.41757, 0.0),
    "carbohydrate": (1599.1, -0.31046, 0.0),
    "fibre": (1311.5, -0.36589, 0.0),
    "ash": (2423.8, -0.28063, 0.0),
}
_CONDUCTIVITY = {
    "water": (0.57109, 1.7625e-3, -6.7036e-6),
    "protein": (0.17881, 1.1958e-3, -2.7178e-6),
    "fat": (0.18071, -2.7604e-4, -1.7749e-7),
    "carbohydrate": (0.20141, 1.3874e-3, -4.3312e-6),
    "fibre": (0.18331, 1.2497e-3, -3.1683e-6),
    "ash": (0.32962, 1.4011e-3, -2.9069e-6),
}

AIR_CONDUCTIVITY = 0.026  # W/(m·K) at 25 °C, textbooks, from memory


@dataclass(frozen=True, slots=True)
class Composition:
    """Parts by mass, in any one unit: kilograms, grams per 100 g or fractions."""

    water: float = 0.0
    protein: float = 0.0
    fat: float = 0.0
    carbohydrate: float = 0.0
    fibre: float = 0.0
    ash: float = 0.0


def component_heat_capacity(component: str, celsius: float) -> float:
    """Heat capacity of water, protein, fat, carbohydrate, fibre or ash, c = a + b·t + d·t².

    Units: °C in; kJ/(kg·K) out.
    Range: −40 to 150 °C, water from 0 °C, unfrozen; RangeError outside.
    Source: Choi & Okos 1986, Food Engineering and Process Applications 1:93-101, with the
    original's 4.1762 for water (see the table above).
    """
    return _curve(_HEAT_CAPACITY, component, celsius)


def component_density(component: str, celsius: float) -> float:
    """Density of water, protein, fat, carbohydrate, fibre or ash, ρ = a + b·t + d·t².

    Units: °C in; kg/m³ out.
    Range: −40 to 150 °C, water from 0 °C, unfrozen; RangeError outside.
    Source: Choi & Okos 1986, Food Engineering and Process Applications 1:93-101.
    """
    return _curve(_DENSITY, component, celsius)


def component_conductivity(component: str, celsius: float) -> float:
    """Conductivity of water, protein, fat, carbohydrate, fibre or ash, λ = a + b·t + d·t².

    Units: °C in; W/(m·K) out.
    Range: −40 to 150 °C, water from 0 °C, unfrozen; RangeError outside.
    Source: Choi & Okos 1986, Food Engineering and Process Applications 1:93-101.
    """
    return _curve(_CONDUCTIVITY, component, celsius)


def food_heat_capacity(composition: Composition, celsius: float) -> float:
    """Heat capacity of a food as the mean of its components by mass, c = Σ xᵢcᵢ(t) / Σ xᵢ.

    Units: °C in; kJ/(kg·K) out.
    Range: 0 to 150 °C, water unfrozen; RangeError outside. Good for dough and crumb. Dry foods come
    out high, flour by some 6 %, because water that is bound to starch holds less heat than free
    water; the engine takes flour's measured value instead.
    Source: Choi & Okos 1986, Food Engineering and Process Applications 1:93-101.
    """
    parts = _parts(composition)
    heat = sum(x * component_heat_capacity(name, celsius) for name, x in parts.items())
    return heat / sum(parts.values())


def food_density(composition: Composition, celsius: float) -> float:
    """Density of a food without pores, ρ = Σ xᵢ / Σ (xᵢ/ρᵢ): volumes add up.

    Units: °C in; kg/m³ out.
    Range: 0 to 150 °C, water unfrozen; RangeError outside.
    Source: Choi & Okos 1986, Food Engineering and Process Applications 1:93-101.
    """
    parts = _parts(composition)
    return sum(parts.values()) / sum(_volumes(parts, celsius).values())


def food_conductivity(composition: Composition, celsius: float) -> float:
    """Conductivity of a food without pores, its components side by side: λ = Σ φᵢλᵢ by volume.

    Units: °C in; W/(m·K) out.
    Range: 0 to 150 °C, water unfrozen; RangeError outside. Side by side is the most that they can
    conduct: right where water runs through, as in dough, up to a fifth high where fat does.
    Source: Choi & Okos 1986, Food Engineering and Process Applications 1:93-101, the parallel model
    (from memory).
    """
    volumes = _volumes(_parts(composition), celsius)
    conducted = sum(v * component_conductivity(name, celsius) for name, v in volumes.items())
    return conducted / sum(volumes.values())


def foam_conductivity(walls: float, gas_share: float, gas: float = AIR_CONDUCTIVITY) -> float:
    """Conductivity of a body with round pores of gas in it, none of which touch.

    λ = λw·[2λw + λg − 2φ(λw − λg)] / [2λw + λg + φ(λw − λg)].

    Units: W/(m·K); gas_share is φ, gas by volume, 0 to 1; W/(m·K) out.
    Range: gas_share from 0 to 1, RangeError outside; made for pores apart, it holds for foams as
    the highest that a body with walls all through can have. Vapour that crosses the pores adds
    little below 40 °C and is left out.
    Source: Maxwell 1873 and Eucken 1940, from memory.
    """
    if not 0.0 <= gas_share <= 1.0:
        raise RangeError("gas share", gas_share, 0.0, 1.0, mark("by volume"))
    both, less = 2 * walls + gas, gas_share * (walls - gas)
    return walls * (both - 2 * less) / (both + less)


def _curve(
    curves: Mapping[str, tuple[float, float, float]], component: str, celsius: float
) -> float:
    coldest = 0.0 if component == "water" else -40.0
    if not coldest <= celsius <= 150.0:
        raise RangeError("temperature", celsius, coldest, 150.0, "°C")
    a, b, d = curves[component]
    return a + b * celsius + d * celsius**2


def _parts(composition: Composition) -> dict[str, float]:
    """What there is some of, by name."""
    parts: dict[str, float] = {
        each.name: getattr(composition, each.name) for each in fields(composition)
    }
    if sum(parts.values()) <= 0.0 or min(parts.values()) < 0.0:
        least = min(sum(parts.values()), *parts.values())
        raise RangeError("composition", least, 0.0, float("inf"), mark("parts"))
    return {name: x for name, x in parts.items() if x > 0.0}


def _volumes(parts: Mapping[str, float], celsius: float) -> dict[str, float]:
    return {name: x / component_density(name, celsius) for name, x in parts.items()}
