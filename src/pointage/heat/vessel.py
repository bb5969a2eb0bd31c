"""A mass in its vessel: how fast it follows its surroundings, and how far its core is behind.

What is in the vessel is taken as a body with a film on each face: air or water outside, a wall, and
on top a lid with air under it. An upright round vessel is an infinite cylinder times a slab, a tin
three slabs, a tray one: for such products the series multiply exactly. A piece of dough in a basket
or on a tray is a heap, of one dimension (heat/loaf.py). The wall counts as heat that the body
must also warm. Wet dough in the open also cools by drying, which is left out: it is covered.

One time constant is handed on, the mean's delay (science/conduction.py): as one exponential it is
within 1 % of the gap of the true mean up to Bi 1, and 3.5 % up to Bi 3. In surroundings that change
slowly, as those of kitchens do, it is nearer still.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum
from functools import lru_cache
from itertools import product
from math import log, pi

from pointage.data import load
from pointage.errors import RangeError
from pointage.heat.loaf import LoafBody, ellipsoid
from pointage.heat.materials import materials
from pointage.language import mark
from pointage.science.conduction import (
    CYLINDER,
    LUMPED_BIOT,
    Term,
    mean_delay,
    terms,
    two_faced_terms,
)

STEFAN_BOLTZMANN = 5.670e-8  # W/(m²·K⁴)
DEEP = 6  # terms of the series across a slab
WIDE = 4  # … and of a cylinder


class VesselForm(StrEnum):
    """What sort of vessel: the first three are round and upright."""

    JAR = "jar"
    TUB = "tub"
    BOWL = "bowl"
    TIN = "tin"
    BASKET = "basket"
    TRAY = "tray"


class Lid(StrEnum):
    """How it is closed. With none it is covered by a cloth or film."""

    NONE = "none"
    LOOSE = "loose"
    TIGHT = "tight"


class Air(StrEnum):
    """What is around it."""

    STILL = "still"
    MOVING = "moving"
    FAN = "fan"
    WATER = "water"


@dataclass(frozen=True, slots=True)
class Shell:
    """A vessel: kg, litres to the brim, mm inside.

    wall_mm, height_mm and width_mm (the diameter, where it is round) are None where they are not
    known; what is usual for its material and form then stands. pieces: so many pieces of dough lie
    on a tray, each a heap of its own; 0 when it is filled from side to side.
    """

    form: VesselForm
    litres: float
    material: str
    tare_kg: float
    lid: Lid = Lid.NONE
    wall_mm: float | None = None
    height_mm: float | None = None
    width_mm: float | None = None
    pieces: int = 0

    def measures(self) -> tuple[float, float, float]:
        """Height, width and length inside, m; one that is not known follows from the volume."""
        volume, shape = self.litres / 1000, load("parameters/vessels.toml")["shape"]
        stretch = shape["tin_length"] if self.form is VesselForm.TIN else 1.0
        unit = pi / 4 if self.form in (VesselForm.JAR, VesselForm.TUB, VesselForm.BOWL) else stretch
        height, width = self.height_mm, self.width_mm
        if self.form is VesselForm.TRAY and width is None and height is None:
            height = shape["tray_depth_mm"]
        if height is not None and width is None:
            wide = (volume / (unit * height / 1000)) ** 0.5
        elif width is not None:
            wide = width / 1000
        else:
            wide = (volume / (unit * shape[self.form])) ** (1 / 3)
        high = volume / (unit * wide**2) if height is None else height / 1000
        if (
            height is not None
            and width is not None
            and self.form in (VesselForm.TIN, VesselForm.TRAY)
        ):
            stretch = volume / (high * wide**2)
        return high, wide, wide * stretch


@dataclass(frozen=True, slots=True)
class Filling:
    """What is in it, or one piece: litres as it stands, J/K in all, W/(m·K)."""

    litres: float
    heat_capacity: float
    conductivity: float


@dataclass(frozen=True, slots=True)
class Around:
    """Where it stands: the air or water, its usual °C, how many are stacked, how many beside it.

    The vessels beside it hold the same and are as warm: they take their share of its view, and the
    heat that it would have radiated there. A stack is modelled as one body, itself its middle.
    """

    air: Air = Air.STILL
    celsius: float = 20.0
    stacked: int = 1
    beside: int = 0


@dataclass(frozen=True, slots=True)
class Follow:
    """How it follows: hours of the one time constant, and hours that its core lags its mean.

    biot: by volume over surface; lumped: whether one temperature describes it all (Bi ≤ 0.1).
    """

    hours: float
    core_lag_h: float
    biot: float
    lumped: bool


@lru_cache(maxsize=1024)
def follow(shell: Shell, filling: Filling, around: Around = Around()) -> Follow:
    """How what is in a vessel follows its surroundings.

    τ = Σ B/λ / Σ B over the modes of the body, of rates λ and shares B in its mean, times one and
    the wall's share of the heat; a heap's in closed form (`mean_delay`). The core lags the mean by
    ln(C/B)/λ in the slowest mode.

    Units: as in `Shell`, `Filling` and `Around`.
    Range: all above zero, RangeError otherwise; still dough and batter, in which nothing flows.
    Source: Newman's product rule (Incropera & DeWitt, chapter 5, from memory), and the figures of
    data/parameters/vessels.toml and materials.toml.
    """
    for name, value in (
        (mark("volume of the vessel"), shell.litres),
        (mark("volume"), filling.litres),
        (mark("heat capacity"), filling.heat_capacity),
        (mark("conductivity"), filling.conductivity),
    ):
        if not value > 0:
            raise RangeError(name, value, 0.0, float("inf"), "")
    faces = _Faces.of(shell, around)
    tare = shell.tare_kg / max(shell.pieces, 1)
    wall = 1000 * tare * materials()[shell.material].heat_capacity
    warmed = 1.0 + wall / filling.heat_capacity
    if shell.form is VesselForm.BASKET or shell.pieces:
        found = _heap(filling, faces)
    else:
        found = _filled(shell, filling, faces, around.stacked)
    return Follow(found.hours * warmed, found.core_lag_h * warmed, found.biot, found.lumped)


@dataclass(frozen=True, slots=True)
class _Faces:
    """W/(m²·K) from the dough's skin to the surroundings, by face."""

    top: float
    side: float
    base: float

    @staticmethod
    def of(shell: Shell, around: Around) -> _Faces:
        table = load("parameters/vessels.toml")
        faces = table["faces"]
        material = materials()[shell.material]
        wall_mm = material.wall_mm if shell.wall_mm is None else shell.wall_mm
        wall = wall_mm / 1000 / material.conductivity
        kelvin = around.celsius + 273.15
        rays = 0.0 if around.air is Air.WATER else 4 * STEFAN_BOLTZMANN * kelvin**3
        flow = table["air"][around.air]
        open_side = max(0.0, 1.0 - around.beside / faces["neighbour"])
        side = 1 / (wall + 1 / (flow + rays * material.emissivity * open_side))
        base = faces["base"] / (wall + 1 / (flow + rays * material.emissivity))
        # A water bath reaches the sides; over it there is still air.
        above = table["air"]["still"] if around.air is Air.WATER else flow
        rays = 4 * STEFAN_BOLTZMANN * kelvin**3
        if shell.lid is Lid.NONE:
            top = above + rays * faces["dough_emissivity"]
        else:
            lid = 1 / (above + rays * material.emissivity)
            top = 1 / (1 / faces["lid_gap"] + wall + lid)
        return _Faces(top, side, base)


def _filled(shell: Shell, filling: Filling, faces: _Faces, stacked: int) -> Follow:
    """What fills its vessel from side to side, up to its level; over the brim it is as high."""
    _, wide, long = shell.measures()
    round_ = shell.form in (VesselForm.JAR, VesselForm.TUB, VesselForm.BOWL)
    area = pi / 4 * wide**2 if round_ else wide * long
    volume = filling.litres / 1000
    level = volume / area
    k = filling.conductivity
    diffusivity = k * volume / filling.heat_capacity
    deep = level * stacked
    axes = [_Axis(two_faced_terms(faces.top * deep / k, faces.base * deep / k, DEEP), deep)]
    if round_:
        around = pi * wide * level
        axes.append(_Axis(terms(CYLINDER, faces.side * wide / 2 / k, WIDE), wide / 2))
    else:
        around = 2 * (wide + long) * level
        for across in (wide, long):
            both = faces.side * across / k
            axes.append(_Axis(two_faced_terms(both, both, WIDE), across))
    passed = (faces.top + faces.base) * area / stacked + faces.side * around
    surface = 2 * area / stacked + around
    return _product(axes, diffusivity, passed / surface * volume / surface / k)


@dataclass(frozen=True, slots=True)
class _Axis:
    """One direction of a body: its terms, with roots that count by `length`, m."""

    terms: tuple[Term, ...]
    length: float


def _product(axes: Iterable[_Axis], diffusivity: float, biot: float) -> Follow:
    share = delay = 0.0
    slowest: tuple[float, float] | None = None
    for modes in product(*([(each, axis.length) for each in axis.terms] for axis in axes)):
        rate = diffusivity * sum((mode.root / length) ** 2 for mode, length in modes)
        mean = core = 1.0
        for mode, _ in modes:
            mean *= mode.mean
            core *= mode.core
        share += mean
        delay += mean / rate
        slowest = slowest or (rate, core / mean)  # the first of each axis together
    assert slowest is not None
    rate, ratio = slowest
    return Follow(delay / share / 3600, log(ratio) / rate / 3600, biot, biot <= LUMPED_BIOT)


def _heap(filling: Filling, faces: _Faces) -> Follow:
    """A piece of dough, half of its skin under the cover, the rest at the wall it rests on."""
    volume = filling.litres / 1000
    flat = load("parameters/vessels.toml")["shape"]["heap"]
    half = 0.5 * (6 * volume / (pi * flat)) ** (1 / 3)
    surface, slowness = ellipsoid(half, half, half * flat)
    body = LoafBody.of(1.0, volume, surface, slowness)
    film = 0.5 * faces.top + 0.25 * faces.side + 0.25 * faces.base
    k = filling.conductivity
    biot = film * body.radius_m / k
    seconds = body.radius_m**2 * filling.heat_capacity / (k * volume)
    (first,) = terms(body.power, biot)
    of_surface = film * volume / surface / k
    return Follow(
        seconds * mean_delay(body.power, biot) / 3600,
        seconds * log(first.core / first.mean) / first.root**2 / 3600,
        of_surface,
        of_surface <= LUMPED_BIOT,
    )
