"""The compiled kernel against the science functions, plain Python and a tight-tolerance solver."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from datetime import UTC, datetime

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy.integrate import solve_ivp

from pointage.culture.mature import feed, mature
from pointage.mixture.compiled import hold_members
from pointage.mixture.hold import run, settings_for
from pointage.mixture.kernel import AIR, MOLAR, NEUTRAL, rates_of_one
from pointage.mixture.mixture import Mixture, raw
from pointage.mixture.response import tables
from pointage.mixture.state import LANES, P, S
from pointage.mixture.temperature.surroundings import Daily
from pointage.mixture.traits import draw_traits, median_traits
from pointage.science.acid_base import (
    PKA_ACETIC,
    PKA_LACTIC,
    both_dissociated,
    dissociated,
    ph_by_charge,
    protons,
)
from pointage.science.carbon_dioxide import in_bubbles, saturation

Floats = NDArray[np.float64]

DT = 0.25
KEPT = [column for column in S if column is not S.AT_MIX]  # what moves


def fed() -> Mixture:
    culture = mature({"wheat-white": 1.0}, 1.0, median_traits())
    return feed(culture, 20.0, {"wheat-white": 100.0}, 100.0, 25.0)


def members(mixture: Mixture, count: int) -> tuple[Floats, Floats]:
    """Fresh states and settings of an ensemble."""
    states = np.repeat(mixture.states[:1], count, axis=0)
    return states, settings_for(mixture, draw_traits(count, seed=3), follow_h=1.5)


def day(hours: float) -> Floats:
    """A kitchen between 18 and 26 °C, one row of surroundings."""
    clock = np.arange(round(hours / DT) + 1, dtype=np.float64) * DT
    return Daily(22.0, 4.0, 15.0, UTC).temperatures(datetime(2026, 1, 1, tzinfo=UTC), clock)


@pytest.mark.parametrize("mixture", [fed(), raw({"rye-whole": 100.0}, water=100.0)])
def test_a_course_is_within_a_thousandth_of_a_tight_tolerance_solver(mixture: Mixture) -> None:
    """LSODA at 1e-10, never stepping over a corner of the surroundings. 1e-3 of the highest value
    of each quantity is asked of the kernel for 48 h; readings at the bench are good to 1e-2.
    """
    states, settings = members(mixture, 3)
    around, clock = day(48.0), np.arange(193) * DT
    courses = run(states, settings, around[None, :], 1)
    for setting, course in zip(settings, courses, strict=True):
        solved = solve_ivp(
            rates_of_one, (0.0, 48.0), course[0], method="LSODA", rtol=1e-10, atol=1e-13,
            max_step=DT, t_eval=clock, args=(setting, around, tables(), DT),
        ).y.T  # fmt: skip
        for column in KEPT:
            if column is not S.BUBBLES:  # these follow from the gas, see below
                highest = np.abs(solved[:, column]).max()
                error = np.abs(course[:, column] - solved[:, column]).max()
                assert error <= 1e-3 * highest, column.name


PLAIN = """
import json
import numpy as np
from tests_of_kernel import DT, day, fed, members
from pointage.mixture.kernel import hold_block
from pointage.mixture.response import tables
from pointage.mixture.state import LANES, SCRATCH_ROWS, STATE_SIZE
states, settings = members(fed(), 3)
scratch, courses = np.empty((SCRATCH_ROWS, LANES)), np.empty((3, 4, STATE_SIZE))
around = day(3.0)[None, :]
hold_block(states, settings, around, tables(), DT, 4, courses, 0, scratch, scratch.reshape(-1))
print(json.dumps(courses.tolist()))
"""


def test_compiled_and_plain_python_agree() -> None:
    """The same functions run uncompiled in a process of their own; quick arithmetic costs 1e-9."""
    where = "import sys, importlib.util as u\n" + (
        f"spec = u.spec_from_file_location('tests_of_kernel', {__file__!r})\n"
        "sys.modules['tests_of_kernel'] = module = u.module_from_spec(spec)\n"
        "spec.loader.exec_module(module)\n"
    )
    answer = subprocess.run(
        [sys.executable, "-c", where + PLAIN],
        env=os.environ | {"NUMBA_DISABLE_JIT": "1"},
        capture_output=True,
        text=True,
        check=True,
    )
    plain = np.array(json.loads(answer.stdout))
    states, settings = members(fed(), 3)
    compiled = hold_members(states, settings, day(3.0)[None, :], tables(), dt=DT, every=4)
    assert compiled == pytest.approx(plain, rel=1e-8, abs=1e-18)


def test_ph_and_bubbles_of_every_row_are_in_balance() -> None:
    """The kernel takes single steps toward the pH; the whole solution lies within 1e-5 of them."""
    mixture = fed()
    states, settings = members(mixture, 2)
    courses = run(states, settings, day(48.0)[None, :], 1)
    water, buffer, volume = settings[0, [P.WATER, P.BUFFER, P.VOLUME]]
    for row in courses.reshape(-1, courses.shape[2]):
        ph = ph_by_charge(row[S.LACTIC], row[S.ACETIC], buffer, NEUTRAL, 5.0)
        assert row[S.PH] == pytest.approx(ph, abs=1e-5)
        air = AIR * volume / (MOLAR * (row[S.TEMPERATURE] + 273.15))
        held = saturation(row[S.TEMPERATURE]) * water  # tabulated in the kernel
        assert row[S.BUBBLES] == pytest.approx(in_bubbles(row[S.GAS], held, air), rel=1e-4)


def test_temperature_follows_a_ramp_exactly() -> None:
    """T' = (A − T)/τ for A = a + b·t: T = a + b·(t − τ) + (T₀ − a + b·τ)·e^(−t/τ)."""
    states, settings = members(fed(), 1)
    states[:, S.TEMPERATURE] = 30.0
    clock = np.arange(49, dtype=np.float64) * DT
    lag = float(settings[0, P.FOLLOW])
    courses = run(states, settings, (5.0 + 2.0 * clock)[None, :], 1)
    expected = 5.0 + 2.0 * (clock - lag) + (25.0 + 2.0 * lag) * np.exp(-clock / lag)
    assert courses[0, :, S.TEMPERATURE] == pytest.approx(expected, rel=1e-12)


@pytest.mark.parametrize("count", [1, LANES - 1, LANES, 2 * LANES + 1])
def test_members_are_the_same_in_any_block_and_on_any_core(count: int) -> None:
    """Surroundings are taken in turn, and `states` ends where the courses do."""
    states, settings = members(fed(), count)
    around = np.array([day(6.0), day(6.0) - 8.0, day(6.0) - 14.0])
    begun = states.copy()
    many = hold_members(states, settings, around, tables(), dt=DT, every=4, cores=2)
    assert np.array_equal(states, many[:, -1])
    few = hold_members(begun.copy(), settings, around, tables(), dt=DT, every=4)
    assert few == pytest.approx(many, rel=1e-12)
    for m in range(count):
        place = m % 3
        one = begun[m : m + 1].copy(), settings[m : m + 1], around[place : place + 1]
        alone = hold_members(*one, tables(), dt=DT, every=4)
        assert alone[0] == pytest.approx(many[m], rel=1e-12)


@pytest.mark.parametrize("ph", [1.0, 2.5, 3.5, 4.5, 6.5, 8.0])
def test_protons_by_multiplication_are_those_of_the_power(ph: float) -> None:
    within = 1e-8 if 2.5 <= ph <= 6.5 else 6e-7
    assert protons(ph) == pytest.approx(10**-ph, rel=within)
    both = dissociated(ph, PKA_LACTIC), dissociated(ph, PKA_ACETIC)
    assert both_dissociated(10**-ph) == pytest.approx(both, rel=1e-12)


@pytest.mark.parametrize("place", [0, 1, 2])
def test_a_number_that_is_not_finite_is_refused(place: int) -> None:
    states, settings = members(fed(), 2)
    around = day(1.0)[None, :]
    (states, settings, around)[place][0, 0] = np.nan
    with pytest.raises(ValueError, match="not finite"):
        run(states, settings, around, 1)
