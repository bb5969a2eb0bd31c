"""The solver against the exact series, an analytic lumped case, and its own books."""

from __future__ import annotations

from math import exp

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.examples import some

from pointage.errors import RangeError
from pointage.heat.conduction import Conductor, warm
from pointage.science.conduction import (
    CYLINDER,
    SLAB,
    SPHERE,
    core_ratio,
    fourier_number,
    mean_delay,
    mean_ratio,
)

DOUGH = 0.40  # W/(m·K), and J/(m³·K):
HEAT = 2.8e6
RADIUS = 0.08


def body(power: float, biot: float) -> Conductor:
    return Conductor(power, RADIUS, DOUGH, HEAT, film=biot * DOUGH / RADIUS)


@pytest.mark.parametrize("power", [SLAB, CYLINDER, SPHERE])
@pytest.mark.parametrize("biot", [0.05, 0.3, 1.0, 3.0, 10.0])
def test_it_follows_the_series(power: float, biot: float) -> None:
    """To 0.1 % of the gap, from a hundredth of the body's delay to five of them."""
    delay = mean_delay(power, biot) * RADIUS**2 * HEAT / DOUGH
    step = delay / 100
    found = warm(body(power, biot), 24.0, np.full(501, 4.0), step)
    for i in range(1, 501, 7):
        fourier = fourier_number(DOUGH / HEAT, i * step, RADIUS)
        if fourier < 0.02:
            continue
        mean, core = mean_ratio(power, biot, fourier), core_ratio(power, biot, fourier)
        assert (found.mean_c[i] - 4) / 20 == pytest.approx(mean, abs=0.001)
        assert (found.core_c[i] - 4) / 20 == pytest.approx(core, abs=0.001)


@pytest.mark.parametrize("power", [SLAB, CYLINDER, SPHERE, 1.4, 3.5])
def test_a_small_body_is_lumped(power: float) -> None:
    """T = A + (T₀ − A)·exp(−t/τ), τ = ρc·V/(h·S) = ρc·R/((p + 1)·h): textbooks. Bi is 0.005."""
    small = body(power, 0.005)
    tau = HEAT * RADIUS / ((power + 1) * small.film)
    found = warm(small, 24.0, np.full(201, 4.0), tau / 50)
    for i in (25, 50, 100, 200):
        assert (found.mean_c[i] - 4) / 20 == pytest.approx(exp(-i / 50), abs=0.002)
        assert found.core_c[i] == pytest.approx(found.mean_c[i], abs=0.05)


@settings(deadline=None, max_examples=some(50))
@given(
    power=st.floats(-0.4, 4.0),
    biot=st.floats(0.01, 50.0),
    around=st.lists(st.floats(-10.0, 60.0), min_size=2, max_size=30),
    seconds=st.floats(1.0, 7200.0),
)
def test_heat_is_kept_whatever_the_step(
    power: float, biot: float, around: list[float], seconds: float
) -> None:
    """What came through the surface is what the body has gained, and no one passes the ends."""
    found = warm(body(power, biot), 25.0, around, seconds, cells=12)
    gained = HEAT * RADIUS / (power + 1) * (found.mean_c - 25.0)
    assert found.heat_in == pytest.approx(gained, abs=1e-7 * HEAT * RADIUS)
    slack = 0.05 * (max(*around, 25.0) - min(*around, 25.0)) + 1e-9
    assert found.mean_c.min() >= min(*around, 25.0) - slack
    assert found.mean_c.max() <= max(*around, 25.0) + slack


@pytest.mark.parametrize("power", [SLAB, 0.5, CYLINDER, SPHERE])
@pytest.mark.parametrize("biot", [0.2, 1.0, 3.0])
def test_in_a_room_that_warms_steadily_it_trails_by_its_delay(power: float, biot: float) -> None:
    """The quasi-steady solution: after long enough the mean lags by ∫ of its ratio, in hours."""
    delay = mean_delay(power, biot) * RADIUS**2 * HEAT / DOUGH
    around = np.linspace(10.0, 10.0 + 0.05 * 399, 400)
    found = warm(body(power, biot), 10.0, around, delay / 20)
    assert around[-1] - found.mean_c[-1] == pytest.approx(0.05 * 20, rel=0.003)


def test_what_is_no_body_is_refused() -> None:
    with pytest.raises(RangeError, match="film"):
        Conductor(1.0, 0.1, 0.4, 2.8e6, film=0.0)
