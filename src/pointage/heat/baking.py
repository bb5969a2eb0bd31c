"""What the oven does to a loaf: minutes, core, crust, loss, and when it may be cut."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from enum import StrEnum
from functools import lru_cache
from typing import TYPE_CHECKING, Any

from pointage.data import load
from pointage.errors import RangeError
from pointage.heat.flag import Flag, FlagCode
from pointage.heat.loaf import BreadType, LoafShape, loaf_body
from pointage.language import say
from pointage.science.boiling_point import boiling_point, pressure_at, saturation_temperature

if TYPE_CHECKING:
    from pointage.heat.front import Front, Matter, OvenAir

STEFAN_BOLTZMANN = 5.670e-8  # W/(m²·K⁴)
STEP_S = 15.0
COOLING_STEP_S = 180.0
LONGEST_BAKE_MIN = 360.0
LONGEST_COOLING_MIN = 24 * 60.0


class BakedOn(StrEnum):
    """What the loaf stands on, or in."""

    STONE = "stone"
    SHEET = "sheet"
    POT = "pot"
    TIN = "tin"


@dataclass(frozen=True, slots=True)
class LoafInOven:
    """One loaf and its oven: kg of dough, °C, m, minutes.

    core_c: the core that is wanted; None for the usual one of its type. steam_minutes: how long the
    oven is steamed; in a pot, how long the lid stays on. loaves: how many go in together. offset_k:
    how much hotter this oven bakes than it says. room_c: where it cools.
    """

    mass_kg: float
    shape: LoafShape
    oven_c: float
    start_c: float
    bread: BreadType = BreadType.LEAN
    stands: BakedOn = BakedOn.STONE
    altitude_m: float = 0.0
    steam_minutes: float = 10.0
    loaves: int = 1
    offset_k: float = 0.0
    core_c: float | None = None
    room_c: float = 20.0


@dataclass(frozen=True, slots=True)
class BakingCourse:
    """A bake by the minute: °C of core and surface, and what was lost of the mass by then."""

    minutes: tuple[float, ...]
    core_c: tuple[float, ...]
    surface_c: tuple[float, ...]
    loss: tuple[float, ...]


@dataclass(frozen=True, slots=True)
class Baked:
    """The answer: minutes in the oven, the course, and what follows.

    boils_c: the ceiling of the core at this height. done_c: the core to look for. loss: of the
    dough's mass. cut_after_minutes: from the oven until the core is at `cut_at_c`; None when the
    room is too warm for that. flags: what to know of it.
    """

    minutes: float
    course: BakingCourse
    boils_c: float
    done_c: float
    loss: float
    crust_c: float
    cut_after_minutes: float | None
    cut_at_c: float
    flags: tuple[Flag, ...]


@lru_cache(maxsize=256)
def bake(what: LoafInOven) -> Baked:
    """Bake until the core is as wanted, and let it cool.

    Raises RangeError when the core can never be as warm as wanted (the oven, or boiling at this
    height, stands below it), and for an altitude outside the standard atmosphere.
    """
    boils_c = boiling_point(what.altitude_m)
    done_c = done_at(what)
    ceiling = min(boils_c, what.oven_c + what.offset_k)
    if not what.start_c < done_c < ceiling - 0.5:
        raise RangeError("core temperature", done_c, what.start_c, round(ceiling - 0.5, 1), "°C")
    front, course = _run(what, lambda front: front.core_c >= done_c)
    if front.core_c < done_c:
        low, high = what.start_c, round(front.core_c, 1)
        raise RangeError(
            say("core after {hours:g} h", hours=LONGEST_BAKE_MIN / 60),
            done_c,
            low,
            high,
            "°C",
        )
    minutes = _crossing(course.minutes, course.core_c, done_c)
    return Baked(
        minutes=minutes,
        course=_by_the_minute(course, minutes),
        boils_c=boils_c,
        done_c=done_c,
        loss=_at(course.minutes, course.loss, minutes),
        crust_c=_at(course.minutes, course.surface_c, minutes),
        cut_after_minutes=_cool(front, what.room_c),
        cut_at_c=load("parameters/baking.toml")["rack"]["cut_at"],
        flags=_flags(what, course, boils_c - done_c),
    )


@lru_cache(maxsize=4096)
def baked_for(what: LoafInOven, minutes: float) -> tuple[float, float]:
    """Core in °C and loss as a share of the dough after so many minutes, done or not."""
    _, course = _run(what, lambda front: front.seconds >= minutes * 60)
    return (
        _at(course.minutes, course.core_c, minutes),
        _at(course.minutes, course.loss, minutes),
    )


def done_at(what: LoafInOven) -> float:
    """The core to look for, °C: what is wanted, or so far below boiling as is usual for its type.

    At 1600 m a lean loaf is done at 91.6 °C where at the sea it is at 97: it cannot get hotter
    than water boils. Common practice, no source.
    """
    if what.core_c is not None:
        return what.core_c
    below: float = load("parameters/baking.toml")["type"][what.bread]["below_boiling"]
    return round(boiling_point(what.altitude_m) - below, 1)


@lru_cache(maxsize=64)
def matter_of(boils_at: float | None) -> Matter:
    """Dough and crumb, by data/parameters/baking.toml; nothing boils when `boils_at` is None."""
    import numpy as np

    from pointage.heat.crumb import crumb_conductivity
    from pointage.heat.front import Matter

    parameters = load("parameters/baking.toml")
    dough, crumb = parameters["dough"], parameters["crumb"]
    # Asked for at every step, so it is read off a table with a row for each half degree.
    celsius = np.arange(-30.0, 350.0, 0.5)
    table = crumb_conductivity(
        celsius, boils_at or 100.0, crumb["still"], crumb["pores"], crumb["most"]
    )
    return Matter(
        water=dough["water"],
        bound=dough["bound_water"],
        dry_heat_capacity=dough["dry_heat_capacity"],
        water_heat_capacity=dough["water_heat_capacity"],
        conductivity=lambda at: np.interp(at, celsius, table),
        crust_conductivity=parameters["crust"]["conductivity"],
        boils_at=boils_at,
    )


def _run(what: LoafInOven, until: Callable[[Front], bool]) -> tuple[Front, BakingCourse]:
    from pointage.heat.front import Front

    body = loaf_body(what.mass_kg, what.shape, what.bread)
    front = Front(body, matter_of(boiling_point(what.altitude_m)), what.start_c)
    parameters = load("parameters/baking.toml")
    dew_c = saturation_temperature(parameters["oven"]["steam_share"] * pressure_at(what.altitude_m))
    rows = [(0.0, front.core_c, front.surface_c, 0.0)]
    while not until(front) and front.seconds < LONGEST_BAKE_MIN * 60:
        front.step(_oven(what, parameters, front, body.base_share, dew_c), STEP_S)
        loss = 1 - front.mass_kg / body.mass_kg
        rows.append((front.seconds / 60, front.core_c, front.surface_c, loss))
    return front, BakingCourse(*(tuple(column) for column in zip(*rows, strict=True)))


def _oven(
    what: LoafInOven, parameters: dict[str, Any], front: Front, base_share: float, dew_c: float
) -> OvenAir:
    """What the surface meets: air, walls and base in one coefficient, weighed by their areas."""
    from pointage.heat.front import OvenAir

    oven, minutes = parameters["oven"], front.seconds / 60
    celsius = what.oven_c + what.offset_k - _drop(what, parameters["load"], minutes)
    steamed = minutes < what.steam_minutes
    walls, crust = celsius + 273.15, front.surface_c + 273.15
    radiation = oven["emissivity"] * STEFAN_BOLTZMANN * (walls**2 + crust**2) * (walls + crust)
    lidded = what.stands is BakedOn.POT and steamed
    top = radiation + (oven["lid"] if lidded else oven["convection"])
    base = parameters["base"][what.stands]
    if what.stands is BakedOn.TIN:
        # Half of what is not its base stands in the tin, half is open above.
        top *= (1 + oven["tin"]) / 2
    coefficient = base_share * base + (1 - base_share) * top
    if not steamed or front.surface_c >= dew_c:
        return OvenAir(coefficient, celsius)
    film = (1 - base_share) * oven["steam_film"]
    return OvenAir(coefficient, celsius, film, dew_c)


def _drop(what: LoafInOven, parameters: dict[str, float], minutes: float) -> float:
    """By how much the oven stands below its setting, for the dough that went in with this loaf."""
    beside = (what.loaves - 1) * what.mass_kg
    drop = min(parameters["drop_per_kg"] * beside, parameters["most_drop"])
    return drop * math.exp(-minutes / parameters["recovery_minutes"])


def _cool(front: Front, room_c: float) -> float | None:
    """Minutes on a rack until the core may be cut; the same solver, with nothing left to boil.

    Crust is taken to conduct as crumb: it softens again, and the vapour that leaves through it
    carries heat that is not calculated by itself. The two are set off against each other (ours).
    """
    from dataclasses import replace

    from pointage.heat.front import OvenAir

    rack = load("parameters/baking.toml")["rack"]
    if room_c > rack["cut_at"] - 2.0:
        return None
    front.matter = replace(front.matter, boils_at=None)
    air = OvenAir(rack["coefficient"], room_c)
    taken_out = front.seconds
    minutes, cores = [0.0], [front.core_c]
    while cores[-1] > rack["cut_at"]:
        if minutes[-1] > LONGEST_COOLING_MIN:
            return None
        front.step(air, COOLING_STEP_S)
        minutes.append((front.seconds - taken_out) / 60)
        cores.append(front.core_c)
    return _crossing(tuple(minutes), tuple(cores), rack["cut_at"])


def _flags(what: LoafInOven, course: BakingCourse, below_boiling: float) -> tuple[Flag, ...]:
    tried = load("parameters/baking.toml")["tried"]
    found = []
    for code, value, scale in (
        (FlagCode.MASS, what.mass_kg, 1000.0),
        (FlagCode.OVEN, what.oven_c + what.offset_k, 1.0),
        (FlagCode.ALTITUDE, what.altitude_m, 1.0),
        (FlagCode.START, what.start_c, 1.0),
    ):
        low, high = tried[code.value]
        if not low <= value <= high:
            found.append(Flag(code, value * scale, low * scale, high * scale))
    if below_boiling > tried["raw_below_boiling"]:
        found.append(Flag(FlagCode.RAW, below_boiling))
    dark = [
        m for m, c in zip(course.minutes, course.surface_c, strict=True) if c > tried["dark_at"]
    ]
    if dark and dark[-1] - dark[0] > tried["dark_minutes"]:
        found.append(Flag(FlagCode.DARK, dark[0], low=tried["dark_at"]))
    return tuple(found)


def _by_the_minute(course: BakingCourse, end: float) -> BakingCourse:
    """At every full minute and at the end, by straight lines."""
    at = [*(float(m) for m in range(math.ceil(end)) if end - m > 0.05), end]
    columns = (course.core_c, course.surface_c, course.loss)
    return BakingCourse(
        tuple(at),
        *(tuple(_at(course.minutes, column, m) for m in at) for column in columns),
    )


def _at(minutes: tuple[float, ...], values: tuple[float, ...], when: float) -> float:
    import numpy as np

    return float(np.interp(when, minutes, values))


def _crossing(minutes: tuple[float, ...], values: tuple[float, ...], level: float) -> float:
    """When `level` was passed, between the last two rows."""
    before, after = values[-2], values[-1]
    share = (level - before) / (after - before)
    return minutes[-2] + share * (minutes[-1] - minutes[-2])
