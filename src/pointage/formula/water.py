"""The water of a mix: its temperature by heat balance and by factors, its ice, and its limits."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

from pointage.formula.warmth import (
    WATER,
    heat_of_wetting_flour,
    is_flour,
    part,
)
from pointage.science.factor_method import factor_water_temperature
from pointage.science.heat_balance import (
    LATENT_HEAT_OF_ICE,
    HeatPart,
    ice_needed,
    mix_temperature,
    water_temperature,
)
from pointage.science.mixing_work import mixing_heat

ALL_ICE_C = -LATENT_HEAT_OF_ICE / WATER
"""The water temperature that stands for water that is all ice at 0 °C."""

STOP_C = 50.0
"""The warmest water for a mix with yeast in it. Baker's yeast dies within minutes at 50 to 55 °C
(from memory); in water this warm it lives only for the flour that cools it at once."""

PREFERMENTS = ("seed", "levain")


@dataclass(frozen=True, slots=True)
class Ingoing:
    """A part of a mix: its kind (formula/warmth.py), kilograms and °C.

    moisture: of a flour, percent; None for that of its record.
    """

    kind: str
    kilograms: float
    celsius: float
    moisture: float | None = None

    @property
    def name(self) -> str:
        """The kind without its hydration."""
        return self.kind.partition("/")[0]


@dataclass(frozen=True, slots=True)
class DoughWorking:
    """How the dough is worked: kinds of MIXING_WORK, each with its minutes."""

    spells: tuple[tuple[str, float], ...]


@dataclass(frozen=True)
class WaterQuestion:
    """Which water makes a mix wanted_c?

    vessel: what it is mixed in, at its own temperature. friction: K by which working it warms the
    whole, as a thermometer says; or the way it is worked, from which it is calculated. room_c: for
    the factor method; the flour's temperature stands for it where it is None. tap_c: None when ice
    is no matter. stop_c: the warmest water there may be.
    """

    wanted_c: float
    water_kg: float
    parts: tuple[Ingoing, ...]
    vessel: HeatPart | None = None
    friction: float | DoughWorking = 0.0
    room_c: float | None = None
    tap_c: float | None = None
    stop_c: float = STOP_C

    @cached_property
    def bodies(self) -> tuple[HeatPart, ...]:
        """The parts and the vessel as the heat balance has them."""
        parts = tuple(
            part(each.kind, each.kilograms, each.celsius, each.moisture) for each in self.parts
        )
        return parts if self.vessel is None else (*parts, self.vessel)

    @cached_property
    def capacity(self) -> float:
        """kJ/K of the whole mix, its water and vessel with it."""
        return sum(each.capacity for each in self.bodies) + self.water_kg * WATER

    @cached_property
    def wetting_k(self) -> float:
        """What the flour's heat of wetting would warm the whole by."""
        heats = (heat_of_wetting_flour(p.kind, p.kilograms, p.moisture) for p in self.parts)
        return sum(heats) / self.capacity

    @cached_property
    def gained_k(self) -> float:
        """What working the mix warms the whole by. Friction as measured has the wetting in it."""
        if not isinstance(self.friction, DoughWorking):
            return self.friction
        mass = self.water_kg + sum(each.kilograms for each in self.parts)
        work = mass * sum(mixing_heat(*spell) for spell in self.friction.spells)
        return work / self.capacity + self.wetting_k

    def reached(self, water_c: float) -> float:
        """Temperature of the mix when its water is at water_c."""
        water = HeatPart(self.water_kg, WATER, water_c)
        return mix_temperature([*self.bodies, water], self.gained_k)


@dataclass(frozen=True, slots=True)
class WaterFound:
    """The water in °C by both methods, the ice in kg, and the nearest mix that can be reached.

    factor_c is None without flour, and for a scald, for which the trade has no factors. nearest_c
    is None when the wanted one can be reached; else it is the mix that water at stop_c makes, or
    all of the water as ice.
    """

    water_c: float
    factor_c: float | None
    ice_kg: float
    nearest_c: float | None


def answer(question: WaterQuestion) -> WaterFound:
    """The answer; what cannot be reached is said, not clipped."""
    q = question
    water_c = water_temperature(q.bodies, q.water_kg, WATER, q.wanted_c, q.gained_k)
    nearest = None
    if water_c > q.stop_c:
        nearest = q.reached(q.stop_c)
    elif water_c < ALL_ICE_C:
        nearest = q.reached(ALL_ICE_C)
    ice = 0.0 if q.tap_c is None else ice_needed(q.water_kg, q.tap_c, water_c, WATER)
    return WaterFound(water_c, _by_factors(q), min(ice, q.water_kg), nearest)


def _by_factors(q: WaterQuestion) -> float | None:
    """The trade's way. Its friction counts in a mean of three or four, so what is calculated as
    kelvins of the whole counts three or four times; one that was given is taken off as given."""
    flour_c = _mean([each for each in q.parts if is_flour(each.kind)])
    if flour_c is None or q.stop_c > STOP_C:
        return None
    preferment_c = _mean([each for each in q.parts if each.name in PREFERMENTS])
    room_c = flour_c if q.room_c is None else q.room_c
    factor = 3 if preferment_c is None else 4
    friction = q.friction if not isinstance(q.friction, DoughWorking) else factor * q.gained_k
    return factor_water_temperature(q.wanted_c, flour_c, room_c, friction, preferment_c)


def _mean(parts: Sequence[Ingoing]) -> float | None:
    mass = sum(each.kilograms for each in parts)
    return sum(each.kilograms * each.celsius for each in parts) / mass if mass else None
