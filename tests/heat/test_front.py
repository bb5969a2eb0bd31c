"""The solver of the oven: the exact series where nothing boils, and nothing lost where it does."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import brentq
from scipy.special import j0, j1
from tests.examples import some

from pointage.heat.baking import matter_of
from pointage.heat.front import Front, OvenAir
from pointage.heat.loaf import LoafBody

CONDUCTIVITY = 0.5
DENSITY = 400.0
RADIUS = 0.05
START, AIR = 20.0, 200.0
PLAIN = replace(matter_of(None), conductivity=lambda at: np.full_like(at, CONDUCTIVITY))
BOILING = 99.97
WATER_CP = 4190.0

# Area and volume of a piece of slab, cylinder and sphere with this radius, by the power.
PIECES = {0: (1.0, RADIUS), 1: (2 * math.pi * RADIUS, math.pi * RADIUS**2),
          2: (4 * math.pi * RADIUS**2, 4 / 3 * math.pi * RADIUS**3)}  # fmt: skip


def body(power: int) -> LoafBody:
    surface, volume = PIECES[power]
    return LoafBody(volume * DENSITY, volume, surface, RADIUS, float(power))


def capacity() -> float:
    """J/(kg·K) of the plain matter."""
    return (1 - PLAIN.water) * PLAIN.dry_heat_capacity + PLAIN.water * PLAIN.water_heat_capacity


# The characteristic equation f(ζ) = 0, C of the n-th root and the interval of that root:
# Incropera & DeWitt, Fundamentals of Heat and Mass Transfer, chapter 5.
Series = tuple[
    Callable[[float, float], float],
    Callable[[float], float],
    Callable[[int], tuple[float, float]],
]
SERIES: dict[int, Series] = {
    0: (
        lambda z, bi: z * math.sin(z) - bi * math.cos(z),
        lambda z: 4 * math.sin(z) / (2 * z + math.sin(2 * z)),
        lambda n: (n * math.pi, (n + 0.5) * math.pi),
    ),
    1: (
        lambda z, bi: z * j1(z) - bi * j0(z),
        lambda z: 2 / z * j1(z) / (j0(z) ** 2 + j1(z) ** 2),
        lambda n: (max(0.0, n * math.pi + 0.6), n * math.pi + 2.5) if n else (1e-9, 2.4048),
    ),
    2: (
        lambda z, bi: z * math.cos(z) - (1 - bi) * math.sin(z),
        lambda z: 4 * (math.sin(z) - z * math.cos(z)) / (2 * z - math.sin(2 * z)),
        lambda n: (n * math.pi + 1e-9, (n + 1) * math.pi),
    ),
}


def exact_core(power: int, biot: float, fourier: float, terms: int = 6) -> float:
    equation, weight, between = SERIES[power]
    theta = 0.0
    for n in range(terms):
        root = brentq(equation, *between(n), args=(biot,))
        theta += weight(root) * math.exp(-(root**2) * fourier)
    return AIR + (START - AIR) * theta


@pytest.mark.parametrize(
    ("power", "root", "weight"),
    [(0, 0.8603, 1.1191), (1, 1.2558, 1.2071), (2, 1.5708, 1.2732)],
)
def test_the_series_is_the_printed_one(power: int, root: float, weight: float) -> None:
    """First root and C at Bi = 1, table 5.1 of the same book."""
    equation, c, between = SERIES[power]
    found = brentq(equation, *between(0), args=(1.0,))
    assert found == pytest.approx(root, abs=5e-5)
    assert c(found) == pytest.approx(weight, abs=2e-4)


@pytest.mark.parametrize("power", [0, 1, 2])
@pytest.mark.parametrize("biot", [0.1, 1.0, 10.0])
@pytest.mark.soon(3)
def test_without_boiling_the_solver_follows_the_exact_series(power: int, biot: float) -> None:
    front = Front(body(power), PLAIN, START)
    around = OvenAir(biot * CONDUCTIVITY / RADIUS, AIR)
    diffusivity = CONDUCTIVITY / (DENSITY * capacity())
    for fourier in (0.2, 0.5, 1.0):
        until = fourier * RADIUS**2 / diffusivity
        steps = round((until - front.seconds) / 5.0)
        for left in range(steps, 0, -1):
            front.step(around, (until - front.seconds) / left)
        exact = exact_core(power, biot, fourier)
        assert front.core_c == pytest.approx(exact, abs=0.6)  # of a rise of up to 180 K
        assert exact - START > 1.0


def bake_for(
    front: Front, minutes: float, celsius: float, step: float, *, steamed: float = 0.0
) -> None:
    while front.seconds < minutes * 60 - 1e-9:
        steam = front.seconds < steamed * 60 and front.surface_c < 85.0
        around = OvenAir(25.0, celsius, 100.0 if steam else 0.0, 85.0)
        front.step(around, step)


@settings(max_examples=some(25), deadline=None)
@given(
    power=st.sampled_from([0, 1, 2]),
    celsius=st.floats(140.0, 300.0),
    minutes=st.integers(5, 60),
    cells=st.integers(6, 30),
    step=st.sampled_from([5.0, 15.0, 60.0]),
    steamed=st.sampled_from([0.0, 5.0]),
)
def test_heat_and_water_are_kept(
    *, power: int, celsius: float, minutes: int, cells: int, step: float, steamed: float
) -> None:
    """Heat in is what the body holds and what the vapour took; water is here, or out, or came."""
    front = Front(body(power), matter_of(BOILING), START, cells)
    held, weighed = front.heat, front.mass_kg
    bake_for(front, minutes, celsius, step, steamed=steamed)
    taken = front.vapour_out * (1000 * (2509.5 - 2.53 * BOILING) + WATER_CP * BOILING)
    assert front.heat_in == pytest.approx(front.heat - held + taken, rel=1e-9)
    assert front.mass_kg == pytest.approx(weighed + front.condensed - front.vapour_out, rel=1e-12)
    assert front.vapour_out >= 0
    assert front.condensed > 0 if steamed and step == 5.0 else front.condensed >= 0
    assert steamed or not front.condensed
    if front.vapour_out < 0.5 * weighed * front.matter.water:  # then the core is moist yet
        assert front.core_c <= BOILING + 1e-9
    assert front.celsius.min() >= START - 1e-9
    assert front.celsius.max() <= celsius + 0.6


def test_the_crumb_keeps_its_water_and_the_crust_dries() -> None:
    """What Zanoni, Peri & Pierucci 1993 found: constant moisture inside, hardly any at the rim."""
    front = Front(body(2), matter_of(BOILING), START)
    before = front.water_kg.copy()
    bake_for(front, 20, 220.0, 10.0)
    assert np.array_equal(front.water_kg[:8], before[:8])
    assert front.water_kg[-1] < 0.1 * before[-1]
    assert front.celsius[-1] > 150.0


@pytest.mark.parametrize("power", [0, 2])
def test_finer_cells_and_steps_change_little(power: int) -> None:
    coarse = Front(body(power), matter_of(BOILING), START)
    fine = Front(body(power), matter_of(BOILING), START, 60)
    bake_for(coarse, 20, 230.0, 15.0)
    bake_for(fine, 20, 230.0, 3.0)
    assert coarse.core_c == pytest.approx(fine.core_c, abs=0.8)
    assert coarse.vapour_out == pytest.approx(fine.vapour_out, rel=0.03)
    assert coarse.surface_c == pytest.approx(fine.surface_c, abs=4.0)
