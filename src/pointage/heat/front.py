"""Heat into a moist body whose water boils away at a front that moves inward.

One dimension, finite volumes, enthalpy. A cell holds dry matter and water; below boiling its heat
raises its temperature, at boiling it drives water off, and once dry it warms on as crust. Vapour
leaves through the crust without being warmed by it. Crumb conducts the better the hotter it is.

Sources: the front, the constant moisture of crumb and its ceiling at boiling: Zanoni, Peri &
Pierucci 1993, J Food Eng 19:389-398, and 1994, 23:321-336 (abstracts seen). Phase change in a
moving boundary: Purlis 2011, J Food Eng 103:92-102 (abstract seen). The scheme, implicit in
temperature and exact in heat and water, is ours.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

import numpy as np

from pointage.heat.loaf import LoafBody
from pointage.science.boiling_point import heat_of_vaporisation

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Array = NDArray[np.float64]

CELLS = 24
GRADING = 1.18  # each cell is so much thicker than the one outside it
SHORTEST_S = 0.05  # steps are not halved below this
PINNED = 1e9  # how much harder a boiling cell is to warm: it boils instead


@dataclass(frozen=True, slots=True)
class Matter:
    """What it is made of: J/(kg·K), shares of the mass, W/(m·K).

    conductivity: of crumb against °C. boils_at: None when nothing boils, and the body only warms.
    """

    water: float
    bound: float
    dry_heat_capacity: float
    water_heat_capacity: float
    conductivity: Callable[[Array], Array]
    crust_conductivity: float
    boils_at: float | None


@dataclass(frozen=True, slots=True)
class OvenAir:
    """What the surface meets: W/(m²·K) and °C. Steam condenses while the surface is below dew_c."""

    coefficient: float
    celsius: float
    steam_coefficient: float = 0.0
    dew_c: float = 0.0


@dataclass(slots=True)
class Front:
    """A body under way. `heat_in`, `vapour_out` and `condensed` are sums since the start: J, kg."""

    body: LoafBody
    matter: Matter
    start_c: float
    cells: int = CELLS
    seconds: float = 0.0
    heat_in: float = 0.0
    vapour_out: float = 0.0
    condensed: float = 0.0
    surface_c: float = 0.0
    celsius: Array = field(init=False)
    water_kg: Array = field(init=False)
    _dry_kg: Array = field(init=False)
    _free_at_start: Array = field(init=False)
    _areas: Array = field(init=False)
    _half: Array = field(init=False)

    def __post_init__(self) -> None:
        body, matter = self.body, self.matter
        thickness = GRADING ** -np.arange(self.cells, dtype=float)
        edges = np.concatenate([[0.0], np.cumsum(thickness) / thickness.sum()])
        share = np.diff(edges ** (body.power + 1))
        self.celsius = np.full(self.cells, self.start_c)
        self.water_kg = body.mass_kg * matter.water * share
        self._dry_kg = body.mass_kg * (1 - matter.water) * share
        self._free_at_start = self.water_kg - matter.bound * self._dry_kg
        self._areas = body.surface_m2 * edges[1:] ** body.power
        self._half = np.diff(edges) * body.radius_m / 2
        self.surface_c = self.start_c

    @property
    def core_c(self) -> float:
        """°C at the core."""
        return float(self.celsius[0])

    @property
    def mass_kg(self) -> float:
        """What it weighs now."""
        return float(self._dry_kg.sum() + self.water_kg.sum())

    @property
    def heat(self) -> float:
        """Enthalpy, J, above dry matter and water at 0 °C."""
        return float(self._capacity() @ self.celsius)

    def step(self, around: OvenAir, seconds: float) -> None:
        """Let `seconds` pass. Heat and water are kept to the last digit, whatever the step.

        A cell that dries within a step would take up more heat than the oven can have given it; it
        is then taken in two halves.
        """
        matter = self.matter
        boils_at = np.inf if matter.boils_at is None else matter.boils_at
        free = np.maximum(self.water_kg - matter.bound * self._dry_kg, 0.0)
        capacity = self._capacity()
        boiling = (self.celsius >= boils_at - 1e-9) & (free > 0)
        inward, outward = self._resistances(free, boiling)
        inner = self._areas[:-1] / (outward[:-1] + inward[1:])
        film = around.coefficient + around.steam_coefficient
        meets = (
            around.coefficient * around.celsius + around.steam_coefficient * around.dew_c
        ) / film
        outer = self._areas[-1] / (1 / film + outward[-1])

        while True:
            inertia = np.where(boiling, PINNED * capacity, capacity) / seconds
            after = self._warmed(inertia, inner, outer, meets)
            between = inner * np.diff(after)  # W, inward
            through = outer * (meets - after[-1])
            gained = np.zeros(self.cells)
            gained[:-1] += between
            gained[1:] -= between
            gained[-1] += through
            cooling = boiling & (gained < 0)
            if not cooling.any():
                break
            boiling &= ~cooling  # it gives off more than it gets: it does not boil now
        enthalpy = capacity * self.celsius + gained * seconds
        most_c = max(meets + 0.5, float(self.celsius.max()) + 1e-6)
        if seconds > SHORTEST_S and self._overshoots(enthalpy, free, capacity, most_c):
            self.step(around, seconds / 2)
            self.step(around, seconds / 2)
            return
        surface_c = float(meets - through / (film * self._areas[-1]))
        if around.steam_coefficient and surface_c > around.dew_c:
            self.step(OvenAir(around.coefficient, around.celsius), seconds)
            return
        self.surface_c = surface_c
        self.seconds += seconds
        self.heat_in += through * seconds

        self._condense(around, seconds)
        self._boil(enthalpy, boils_at)

    def _warmed(self, inertia: Array, inner: Array, outer: float, meets: float) -> Array:
        """°C after a step, implicit: heat flows by the temperatures at its end."""
        n = self.cells
        system = np.zeros((n, n))
        flat = system.reshape(-1)
        diagonal = flat[:: n + 1]
        diagonal += inertia
        diagonal[:-1] += inner
        diagonal[1:] += inner
        diagonal[-1] += outer
        flat[1 :: n + 1] = -inner
        flat[n :: n + 1] = -inner
        known = inertia * self.celsius
        known[-1] += outer * meets
        return np.linalg.solve(system, known).astype(np.float64)

    def _overshoots(self, enthalpy: Array, free: Array, capacity: Array, most_c: float) -> bool:
        """Whether a cell would be hotter than anything around it once its water has gone."""
        if self.matter.boils_at is None:
            return False
        boils_at, water_c = self.matter.boils_at, self.matter.water_heat_capacity
        latent = 1000 * heat_of_vaporisation(boils_at)
        dried = np.minimum(free, np.maximum(enthalpy - capacity * boils_at, 0) / latent)
        left = enthalpy - (latent + water_c * boils_at) * dried
        return bool((left > (capacity - water_c * dried) * most_c).any())

    def _condense(self, around: OvenAir, seconds: float) -> None:
        """The water that steam leaves on the surface, by the heat that it brought."""
        if not around.steam_coefficient:
            return
        brought = around.steam_coefficient * self._areas[-1] * (around.dew_c - self.surface_c)
        each = 1000 * heat_of_vaporisation(around.dew_c)
        water = brought * seconds / (each + self.matter.water_heat_capacity * around.dew_c)
        self.water_kg[-1] += water
        self.condensed += water

    def _boil(self, enthalpy: Array, boils_at: float) -> None:
        """Share the heat of each cell between its temperature and the vapour that leaves it."""
        capacity = self._capacity()
        celsius = enthalpy / capacity
        hot = celsius > boils_at
        if hot.any():
            latent = 1000 * heat_of_vaporisation(boils_at)
            free = np.maximum(self.water_kg - self.matter.bound * self._dry_kg, 0.0)
            vapour = np.where(hot, np.minimum((enthalpy - capacity * boils_at) / latent, free), 0.0)
            carried = latent + self.matter.water_heat_capacity * boils_at
            self.water_kg -= vapour
            self.vapour_out += float(vapour.sum())
            enthalpy = enthalpy - vapour * carried
            celsius = enthalpy / self._capacity()
        self.celsius = celsius

    def _capacity(self) -> Array:
        return (
            self._dry_kg * self.matter.dry_heat_capacity
            + self.water_kg * self.matter.water_heat_capacity
        )

    def _resistances(self, free: Array, boiling: NDArray[np.bool]) -> tuple[Array, Array]:
        """From each cell inward and outward, m²·K/W.

        From its middle as a rule. In a boiling cell the front is where its water ends: crust
        outside of it, crumb within. A cell whose water is partly gone conducts between the two.
        Where nothing boils all conducts as crumb.
        """
        crumb = self.matter.conductivity(self.celsius)
        if self.matter.boils_at is None:
            return self._half / crumb, self._half / crumb
        moist = np.minimum(free / self._free_at_start, 1.0)
        crust = self.matter.crust_conductivity
        middle = self._half / (crust + moist * (crumb - crust))
        inward = np.where(boiling, 2 * self._half * moist / crumb, middle)
        outward = np.where(boiling, 2 * self._half * (1 - moist) / crust, middle)
        return inward, outward
