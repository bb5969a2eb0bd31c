"""Heat capacity of a food from what it is made of."""

from __future__ import annotations

from dataclasses import dataclass, fields

from pointage.errors import RangeError

# c = a + b·t + d·t² in kJ/(kg·K), t in °C. Choi & Okos 1986, "Effects of temperature and
# composition on the thermal properties of foods", Food Engineering and Process Applications
# 1:93-101; all but water's first figure from memory of the handbook's reprint.
#
# Water: the original is quoted with 4.1762, the reprint in the ASHRAE Handbook (Refrigeration,
# thermal properties of foods) has 4.1289, from memory. At 20 °C they give 4.177 and 4.129 where
# IAPWS-95 gives 4.184, so the original stands here.
_CURVES = {
    "water": (4.1762, -9.0864e-5, 5.4731e-6),
    "protein": (2.0082, 1.2089e-3, -1.3129e-6),
    "fat": (1.9842, 1.4733e-3, -4.8008e-6),
    "carbohydrate": (1.5488, 1.9625e-3, -5.9399e-6),
    "fibre": (1.8459, 1.8306e-3, -4.6509e-6),
    "ash": (1.0926, 1.8896e-3, -3.6817e-6),
}


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
    coldest = 0.0 if component == "water" else -40.0
    if not coldest <= celsius <= 150.0:
        raise RangeError("temperature", celsius, coldest, 150.0, "°C")
    a, b, d = _CURVES[component]
    return a + b * celsius + d * celsius**2


def food_heat_capacity(composition: Composition, celsius: float) -> float:
    """Heat capacity of a food as the mean of its components by mass, c = Σ xᵢcᵢ(t) / Σ xᵢ.

    Units: °C in; kJ/(kg·K) out.
    Range: 0 to 150 °C, water unfrozen; RangeError outside. Good for dough and crumb. Dry foods come
    out high, flour by some 6 %, because water that is bound to starch holds less heat than free
    water; the engine takes flour's measured value instead.
    Source: Choi & Okos 1986, Food Engineering and Process Applications 1:93-101.
    """
    parts: dict[str, float] = {
        each.name: getattr(composition, each.name) for each in fields(composition)
    }
    total = sum(parts.values())
    if total <= 0.0 or min(parts.values()) < 0.0:
        raise RangeError("composition", min(total, *parts.values()), 0.0, float("inf"), "parts")
    return sum(x * component_heat_capacity(name, celsius) for name, x in parts.items()) / total
