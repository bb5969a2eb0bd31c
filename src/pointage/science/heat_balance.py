"""The heat balance of a mix: which temperature comes of it, and which water makes a wanted one."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from pointage.errors import RangeError
from pointage.language import mark

LATENT_HEAT_OF_ICE = 333.6  # kJ/kg at 0 °C
COLDEST_C = -40.0

# kJ/(kg·K), the figures that mixture/mixture.py has; here they can be had without its arrays.
# Flour: middle of 1.80 to 1.88, Geankoplis, Transport Processes, A.4-1. Water at 20 °C: IAPWS.
# Salt: sodium chloride at 25 °C, from memory. Other: as flour, being mostly starch or seed.
HEAT_CAPACITY = {"flour": 1.84, "water": 4.18, "salt": 0.86, "other": 1.84}
FLOUR_MEASURED_AT = 0.1275  # moisture, the middle of the table's 12 to 13.5 %


@dataclass(frozen=True, slots=True)
class HeatPart:
    """One thing that goes into a mix, or the vessel it is mixed in: kg, kJ/(kg·K), °C.

    thaw: kJ/kg that it takes up beyond its heat capacity because it comes frozen (`frozen_part`).
    """

    mass_kg: float
    heat_capacity: float
    celsius: float
    thaw: float = 0.0

    @property
    def capacity(self) -> float:
        """kJ/K, thawed."""
        return self.mass_kg * self.heat_capacity

    def lacks(self, celsius: float) -> float:
        """kJ that bring it, thawed, to `celsius`."""
        return self.mass_kg * (self.heat_capacity * (celsius - self.celsius) + self.thaw)


def mix_temperature(parts: Sequence[HeatPart], gained_k: float = 0.0) -> float:
    """Temperature of parts put together, T = Σ mᵢ(cᵢTᵢ − qᵢ) / Σ mᵢcᵢ + gained_k.

    q is what a frozen part takes up in thawing, 0 for any other.

    Units: parts in kg, kJ/(kg·K), °C and kJ/kg; gained_k, what working the mix warms the whole by,
    in K; °C out.
    Range: what is frozen thaws, so the mix must end above 0 °C; at least one part has mass. Heat to
    and from the air is left out.
    Source: conservation of enthalpy at constant pressure, heat capacities taken as constant.
    """
    return -sum(part.lacks(0.0) for part in parts) / sum(part.capacity for part in parts) + gained_k


def water_temperature(
    parts: Sequence[HeatPart],
    water_kg: float,
    water_heat_capacity: float,
    wanted_c: float,
    gained_k: float = 0.0,
) -> float:
    """Temperature of the water that makes the mix wanted_c; the inverse of `mix_temperature`.

    T_w = T + Σ mᵢ[cᵢ(T − Tᵢ) + qᵢ] / (m_w·c_w), with T = wanted_c − gained_k.

    Units: kg, kJ/(kg·K), °C, kJ/kg and K as in `mix_temperature`; °C out.
    Range: water_kg above zero. The answer is not held to what water can be: below 0 °C it stands
    for water and ice together (`ice_needed`), and above 100 °C for nothing.
    Source: conservation of enthalpy at constant pressure, heat capacities taken as constant.
    """
    aim = wanted_c - gained_k
    return aim + sum(part.lacks(aim) for part in parts) / (water_kg * water_heat_capacity)


def ice_needed(water_kg: float, tap_c: float, wanted_c: float, water_heat_capacity: float) -> float:
    """Ice at 0 °C, as a part of water_kg, that does what water at wanted_c would do.

    m = W·(tap − T) / (tap + L/c), with L the latent heat of ice; 0 when the tap is cold enough.

    Units: kg, °C and kJ/(kg·K) in; kg out.
    Range: tap_c from 0 to 100 °C; all of the ice melts, so the mix must end above 0 °C. wanted_c
    may be below 0; at −L/c, about −80 °C, all of the water is ice, and an answer above water_kg
    says that even that is not enough.
    Source: conservation of enthalpy, L = 333.6 kJ/kg (IAPWS formulation for ice, 333.4 to 333.6).
    """
    if wanted_c >= tap_c:
        return 0.0
    return water_kg * (tap_c - wanted_c) / (tap_c + LATENT_HEAT_OF_ICE / water_heat_capacity)


def flour_heat_capacity(moisture: float) -> float:
    """Heat capacity of flour that is damper or drier than the table's, c = c_d(1 − w) + c_w·w.

    c_d is that of the dry matter, so that the table's 1.84 comes out at its 12.75 % moisture.

    Units: moisture w as a share of the flour's mass; kJ/(kg·K) out.
    Range: 0 to 0.2 of its mass; RangeError outside.
    Source: the table's value for flour (Geankoplis, A.4-1); its water counted as free is ours.
    """
    if not 0.0 <= moisture <= 0.2:
        raise RangeError("flour moisture", moisture, 0.0, 0.2, mark("of its mass"))
    water, at = HEAT_CAPACITY["water"], FLOUR_MEASURED_AT
    dry = (HEAT_CAPACITY["flour"] - at * water) / (1.0 - at)
    return dry * (1.0 - moisture) + water * moisture


def ice_heat_capacity(celsius: float) -> float:
    """Heat capacity of ice, c = 2.0623 + 6.0769e-3·t.

    Units: °C in; kJ/(kg·K) out.
    Range: −40 to 0 °C; RangeError outside.
    Source: Choi & Okos 1986, Food Engineering and Process Applications 1:93-101, from memory of the
    handbook's reprint.
    """
    if not COLDEST_C <= celsius <= 0.0:
        raise RangeError("temperature", celsius, COLDEST_C, 0.0, "°C")
    return 2.0623 + 6.0769e-3 * celsius


def frozen_part(
    mass_kg: float, heat_capacity: float, celsius: float, ice: float, dry_heat_capacity: float
) -> HeatPart:
    """A part that comes frozen, as a part of a mix: its latent heat stands in `thaw`.

    q = x·L + (c − c_f)·T, with x the share that is ice, c thawed and c_f = x·c_ice + (1 − x)·c_dry
    frozen: thawed and warmed to t it has taken up c·(t − T) + q = x·L + c·t − c_f·T.

    Units: kg, kJ/(kg·K) and °C; ice a share of the mass, 0 to 1, and dry_heat_capacity that of the
    rest.
    Range: −40 to 0 °C. All of `ice` is taken as frozen, which doughs are only well below their
    freezing point (about −10 °C); nearer to it less heat is needed than this says.
    Source: conservation of enthalpy; L = 333.6 kJ/kg.
    """
    frozen = ice * ice_heat_capacity(celsius / 2) + (1.0 - ice) * dry_heat_capacity
    thaw = ice * LATENT_HEAT_OF_ICE + (heat_capacity - frozen) * celsius
    return HeatPart(mass_kg, heat_capacity, celsius, thaw)
