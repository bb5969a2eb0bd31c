"""A hidden time constant must come back from a probe's readings, and its spread must be honest."""

from __future__ import annotations

from math import log

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray
from tests.examples import some

from pointage.errors import InputError
from pointage.heat.probe import followed

Floats = NDArray[np.float64]


def cooled(tau: float, hours: Floats, around: Floats, start: float) -> Floats:
    """T' = (A − T)/τ by steps of a second or so, apart from anything that the estimator does."""
    fine = np.linspace(hours[0], hours[-1], 40 * len(hours) * 10)
    outside = np.interp(fine, hours, around)
    found, now = np.empty(len(fine)), start
    for i, each in enumerate(outside):
        found[i] = now
        now += (each - now) * (1 - np.exp(-(fine[1] - fine[0]) / tau))
    return np.asarray(np.interp(hours, fine, found))


@settings(deadline=None, max_examples=some(40))
@given(
    tau=st.floats(0.5, 10.0),
    seed=st.integers(0, 10_000),
    steady=st.booleans(),
)
def test_it_finds_a_hidden_value(tau: float, seed: int, steady: bool) -> None:
    """Forty readings over twice the time constant, each 0.2 K off: within five of its spreads."""
    rng = np.random.default_rng(seed)
    hours = np.linspace(0.0, 2 * tau, 40)
    around = np.full(40, 4.5) if steady else 18 + 3 * np.sin(hours)
    readings = cooled(tau, hours, around, 27.0) + 0.2 * rng.standard_normal(40)
    found = followed(list(hours), list(readings), None if steady else list(around))
    assert found.bounded
    assert abs(log(found.hours / tau)) < 5 * found.spread
    assert found.spread < 0.3
    assert 0.1 < found.error_k < 0.35
    if steady:
        assert found.around_c == pytest.approx(4.5, abs=5 * 27 * found.spread)


def test_its_spread_is_honest() -> None:
    """Over many logs the true value lies within one spread about two times in three."""
    hours = np.linspace(0.0, 5.0, 12)
    clean = cooled(2.0, hours, np.full(12, 4.5), 25.0)
    off = []
    for seed in range(300):
        noise = 0.4 * np.random.default_rng(seed).standard_normal(12)
        found = followed(list(hours), list(clean + noise), [4.5] * 12)
        off.append(log(found.hours / 2.0) / found.spread)
    assert np.mean(np.abs(off) < 1) == pytest.approx(0.68, abs=0.08)
    assert abs(np.mean(off)) < 0.2


def test_more_readings_narrow_it() -> None:
    spreads = []
    for count in (6, 24, 96):
        hours = np.linspace(0.0, 4.0, count)
        noise = 0.3 * np.random.default_rng(5).standard_normal(count)
        readings = cooled(2.0, hours, np.full(count, 4.5), 25.0) + noise
        spreads.append(followed(list(hours), list(readings), [4.5] * count).spread)
    assert spreads == sorted(spreads, reverse=True)
    assert spreads[-1] < 0.03


def test_a_mass_as_warm_as_its_place_tells_nothing() -> None:
    readings = list(20 + 0.1 * np.random.default_rng(1).standard_normal(12))
    found = followed(list(range(12)), readings, [20.0] * 12)
    assert not found.bounded
    assert found.spread > 1.0


@pytest.mark.parametrize(
    ("hours", "celsius", "said"),
    [
        ([0, 1, 2], [25, 20, 17], "4 or more"),
        ([0, 1, 2, 3], [25, 20, 17], "the same number of each"),
        ([0, 1, 1, 3], [25, 20, 17, 15], "later than the one before"),
        ([0, 1, 2, 3], [25, float("nan"), 17, 15], "numbers"),
    ],
)
def test_readings_that_cannot_be_used(hours: list[float], celsius: list[float], said: str) -> None:
    with pytest.raises(InputError, match=said):
        followed(hours, celsius)
