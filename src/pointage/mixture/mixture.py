"""A mixture: anything made of flour, water and life; and `mix`, which puts mixtures together."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Any

import numpy as np
from numpy.typing import NDArray

from pointage.data import load
from pointage.errors import InputError, RangeError
from pointage.heat.flag import Flag, FlagCode
from pointage.language import say
from pointage.mixture.flours import FlourRecord, blend, blended
from pointage.mixture.state import STATE_SIZE, SUMS, S
from pointage.science.heat_balance import HEAT_CAPACITY, flour_heat_capacity

HEXOSE_KG = 0.18016  # kg per mol
MALTOSE_TO_HEXOSE = 2 / 0.3423  # mol hexose per kg maltose

SALT_DENSITY = 2.16  # kg/L, from memory
OTHER_DENSITY = 1.2  # kg/L, seeds and the like (ours)

HYDRATION_RANGE = (0.45, 2.0)
SALT_RANGE = (0.0, 0.03)


def fresh_volume(flour: float, water: float, salt: float, other: float) -> float:
    """Litres per kg of what so many grams of each are just after mixing, its air counted."""
    dough = _dough()
    solids = flour / dough["flour_density"] + salt / SALT_DENSITY + other / OTHER_DENSITY
    return float((solids + water) / (flour + water + salt + other) / (1.0 - dough["air"]))


@dataclass(frozen=True, eq=False)
class Mixture:
    """Grams of what went in, and the state of it for each member of an ensemble.

    flours: grams by kind; water, salt, other: grams; states: (members, STATE_SIZE), per kilogram of
    mixture (mixture/state.py). record: what its flours are together; None without flour.
    """

    flours: Mapping[str, float]
    water: float
    salt: float
    other: float
    states: NDArray[np.float64]
    record: FlourRecord | None = None

    @cached_property
    def flour(self) -> float:
        """Grams of flour of all kinds."""
        return sum(self.flours.values())

    @cached_property
    def mass(self) -> float:
        """Grams in all. The gas that leaves (about 1 %) is not taken off."""
        return self.flour + self.water + self.salt + self.other

    @property
    def hydration(self) -> float:
        """Water over flour; 0 when there is no flour."""
        return self.water / self.flour if self.flour else 0.0

    @cached_property
    def heat_capacity(self) -> float:
        """J/K of the whole."""
        damp = 0.0 if self.record is None else self.record.moisture
        return (
            self.flour * flour_heat_capacity(damp)
            + self.water * HEAT_CAPACITY["water"]
            + self.salt * HEAT_CAPACITY["salt"]
            + self.other * HEAT_CAPACITY["other"]
        )

    @property
    def free_water(self) -> float:
        """kg of water per kg of mixture, the flour's own included."""
        damp = 0.0 if self.record is None else self.record.moisture
        return (self.water + damp * self.flour) / self.mass

    @cached_property
    def volume(self) -> float:
        """Litres per kg just after mixing: solids, water and the air that is worked in."""
        return fresh_volume(self.flour, self.water, self.salt, self.other)

    @property
    def temperature_c(self) -> float:
        """The members' mean temperature, °C."""
        return float(self.states[:, S.TEMPERATURE].mean())

    def part(self, grams: float) -> Mixture:
        """`grams` of this mixture, as when a seed is taken. Raises InputError if there is less."""
        if grams > self.mass * (1 + 1e-9):
            raise InputError(
                "seed",
                f"{grams:.0f} g",
                say("no more than the {mass:.0f} g there is", mass=self.mass),
            )
        return self.scaled(grams)

    def scaled(self, grams: float) -> Mixture:
        """`grams` of a mixture such as this one, be there more or less of it now."""
        share = grams / self.mass
        return replace(
            self,
            flours={kind: share * mass for kind, mass in self.flours.items()},
            water=share * self.water,
            salt=share * self.salt,
            other=share * self.other,
        )

    def at_temperature(self, celsius: float | NDArray[np.float64]) -> Mixture:
        """The same mixture brought to one temperature, or to one for each member."""
        states = self.states.copy()
        states[:, S.TEMPERATURE] = celsius
        return replace(self, states=states)

    def typical(self) -> Mixture:
        """The same mixture in the one state that is the median of its members'."""
        return replace(self, states=np.median(self.states, axis=0, keepdims=True))

    def handled(self, keeps: float) -> Mixture:
        """The mixture after handling that leaves it the share `keeps` (0 to 1) of its bubbles."""
        states = self.states.copy()
        lost = (1.0 - keeps) * states[:, S.BUBBLES]
        states[:, S.ESCAPED] += lost
        states[:, S.GAS] -= lost
        states[:, S.BUBBLES] -= lost
        return replace(self, states=states)

    def flags(self) -> tuple[Flag, ...]:
        """What a person should know of a mixture outside the range the engine was made for."""
        if not self.flour:
            return ()
        found = []
        low, high = HYDRATION_RANGE
        if not low <= self.hydration <= high:
            found.append(Flag(FlagCode.HYDRATION, self.hydration, low, high))
        if self.salt / self.flour > SALT_RANGE[1]:
            found.append(Flag(FlagCode.SALT, self.salt / self.flour, high=SALT_RANGE[1]))
        return tuple(found)


def raw(
    flours: Mapping[str, float] | None = None,
    water: float = 0.0,
    salt: float = 0.0,
    other: float = 0.0,
    celsius: float | NDArray[np.float64] = 20.0,
    *,
    record: FlourRecord | None = None,
) -> Mixture:
    """Ingredients that nothing has happened to yet, at one temperature or at one for each member.

    Flour brings its own water, sugar, enzymes and few microbes: those of `record`, what these
    flours are together; None for what the tables have of them (mixture/flours.py).
    Raises InputError for an unknown kind of flour and RangeError for a negative mass.
    """
    flours = {kind: grams for kind, grams in (flours or {}).items() if grams > 0}
    mass = sum(flours.values()) + water + salt + other
    if min(water, salt, other, mass) < 0:
        raise RangeError("mass", min(water, salt, other), 0.0, float("inf"), "g")
    state = np.zeros(STATE_SIZE)
    state[S.PH] = _neutral()
    # Cells of raw flour are long asleep: a lag of several hours before them.
    state[S.YEAST_READY] = state[S.BACTERIA_READY] = 0.02
    state[S.GASSING] = float(load("parameters/kinetics.toml")["bacteria"]["gassing_raw"])
    known = (record or blend(flours)) if flours else None
    if known is not None:
        share = sum(flours.values()) / mass
        state[S.YEAST] = known.yeast * share
        state[S.BACTERIA] = known.bacteria * share
        state[S.EARLY] = known.early * share
        state[S.SUGAR] = share * known.sugar / 100 / HEXOSE_KG
        state[S.MALTOSE] = share * known.maltose / 100 * MALTOSE_TO_HEXOSE
        state[S.STRENGTH] = 1.0
    warm = np.atleast_1d(np.asarray(celsius, dtype=np.float64))
    states = np.tile(state, (len(warm), 1))
    states[:, S.TEMPERATURE] = warm
    return Mixture(flours, water, salt, other, states, known)


def mix(
    parts: Iterable[Mixture],
    gained_k: float = 0.0,
    *,
    water_g: float = 0.0,
    water_c: float | NDArray[np.float64] = 20.0,
) -> Mixture:
    """Put mixtures together: mass, water, salt, ash, sugars, acids, cells and gas add up.

    Heat adds up by heat capacity, T = Σ mᵢcᵢTᵢ / Σ mᵢcᵢ + gained_k, where gained_k is what working
    it adds in kelvin. Readiness and the share of bacteria that make gas are averaged over the
    cells, strength over the flour. The bubbles of
    the parts are worked out and the air worked in takes its share of the gas: rise is 1 again.

    water_g, water_c: water that is poured to them, in °C, one or one a member.
    """
    from pointage.mixture.compiled import add, mixed, settle, sour  # it is not for --help

    present = [part for part in parts if part.mass > 0]
    members = max([np.size(water_c), *(len(part.states) for part in present)])
    total = sum(part.mass for part in present) + water_g
    states, sums = np.zeros((members, STATE_SIZE)), np.zeros((members, SUMS))
    flours: dict[str, float] = {}
    for part in present:
        for kind, grams in part.flours.items():
            flours[kind] = flours.get(kind, 0.0) + grams
        what = part.states, states, sums, part.mass, total
        add(*what, heat=part.heat_capacity, flour=part.flour)
    sums[:, 0] += water_c * (water_g * HEAT_CAPACITY["water"])
    records = [(part.record, part.flour) for part in present if part.record is not None]
    whole = Mixture(
        flours,
        sum(part.water for part in present) + water_g,
        sum(part.salt for part in present),
        sum(part.other for part in present),
        states,
        blended(records) if records else None,
    )
    mixed(states, sums, heat=whole.heat_capacity, flour=whole.flour, gained_k=gained_k)
    volume, water, air = whole.volume, whole.free_water, float(_dough()["air"])
    settle(states, water, volume, air)
    sour(states, buffering(whole))
    return whole


def buffering(mixture: Mixture) -> float:
    """Protons that its flour takes up, mol per kg and pH unit: a line in ash (ours)."""
    if mixture.record is None or not mixture.flour:
        return 1e-6
    dough, record = _dough(), mixture.record
    uptake = record.dry * dough["buffer_base"] + record.ash * dough["buffer_ash"]
    return float(uptake * mixture.flour / mixture.mass)


def _neutral() -> float:
    return float(_dough()["neutral_ph"])


def _dough() -> dict[str, Any]:
    constants: dict[str, Any] = load("parameters/kinetics.toml")["dough"]
    return constants
