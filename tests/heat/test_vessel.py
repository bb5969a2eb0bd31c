"""A mass in its vessel: against a balance by hand, the solver, and what every kitchen knows."""

from __future__ import annotations

from dataclasses import replace
from math import exp, pi

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from pointage.errors import RangeError
from pointage.heat.conduction import Conductor, warm
from pointage.heat.materials import materials
from pointage.heat.vessel import (
    Air,
    Around,
    Filling,
    Lid,
    Shell,
    VesselForm,
    follow,
)

TUB = Shell(VesselForm.TUB, 2.0, "plastic", 0.236, Lid.LOOSE)
LEVAIN = Filling(litres=0.7, heat_capacity=1550.0, conductivity=0.37)
DOUGH = Filling(litres=12.0, heat_capacity=27_500.0, conductivity=0.28)
BOWL = Shell(VesselForm.BOWL, 12.0, "steel", 1.18)


def test_what_conducts_well_is_lumped_by_hand() -> None:
    """τ = C/Σ(h·A), written out for a steel pot of 20 × 20 cm, full of something like copper.

    Air 3.4 and radiation 4·σ·293.15³·0.25 = 1.43 make 4.83 at the side, half of it at the base;
    on top 3.4 + 5.71·0.95 = 8.83. Areas are 0.0314 m² each and 0.1257 m².
    """
    pot = Shell(VesselForm.TUB, 2 * pi, "steel", 0.0, height_mm=200.0, width_mm=200.0)
    copper = Filling(2 * pi, 20_000.0, 400.0)
    losses = 0.0314159 * (0.5 * 4.83 + 8.83) + 0.125664 * 4.83
    found = follow(pot, copper)
    assert found.lumped
    assert found.hours == pytest.approx(20_000 / losses / 3600, rel=0.005)
    assert found.core_lag_h < 0.01 * found.hours


@pytest.mark.parametrize(("litres", "within"), [(3.0, 0.01), (80.0, 0.035)])
def test_a_tall_jar_is_the_cylinder_of_the_solver(litres: float, within: float) -> None:
    """The true mean by finite volumes against the one exponential, in shares of the gap.

    A jar twenty times as high as wide hardly loses heat at its ends. Its side has 3.4 + 1.43.
    """
    high = 20 * (litres / 1000 / (20 * pi / 4)) ** (1 / 3)
    jar = Shell(VesselForm.JAR, litres, "steel", 0.0, wall_mm=0.001, height_mm=1000 * high)
    radius = high / 40
    found = follow(jar, Filling(litres, 2.8e3 * litres, 0.3))
    body = Conductor(1.0, radius, 0.3, 2.8e6, film=4.83)
    mean = warm(body, 25.0, np.full(201, 5.0), found.hours * 3600 / 50).mean_c
    for i in range(5, 201, 5):
        assert (mean[i] - 5) / 20 == pytest.approx(exp(-i / 50), abs=within + 0.01)  # its ends


def test_a_cylinder_of_one_face_closed_is_half_of_a_stack() -> None:
    single = follow(TUB, LEVAIN)
    pair = follow(TUB, LEVAIN, Around(stacked=2))
    assert pair.hours > single.hours
    assert follow(TUB, LEVAIN, Around(stacked=50)).hours < 4 * single.hours


@pytest.mark.parametrize(
    ("quicker", "slower"),
    [
        ((TUB, LEVAIN, Around(Air.FAN)), (TUB, LEVAIN, Around())),
        ((TUB, LEVAIN, Around(Air.WATER)), (TUB, LEVAIN, Around(Air.FAN))),
        ((replace(TUB, lid=Lid.NONE), LEVAIN, Around()), (TUB, LEVAIN, Around())),
        ((TUB, LEVAIN, Around()), (TUB, LEVAIN, Around(beside=4))),
        ((replace(TUB, wall_mm=1.0), LEVAIN, Around()), (TUB, LEVAIN, Around())),
        ((TUB, LEVAIN, Around()), (replace(TUB, tare_kg=1.5), LEVAIN, Around())),
        ((TUB, LEVAIN, Around(celsius=25.0)), (TUB, LEVAIN, Around(celsius=4.0))),
        # Bright steel keeps its heat: it hardly radiates.
        ((replace(BOWL, material="ceramic"), DOUGH, Around()), (BOWL, DOUGH, Around())),
        ((BOWL, DOUGH, Around()), (BOWL, replace(DOUGH, conductivity=0.2), Around())),
    ],
)  # fmt: skip
def test_which_is_quicker(
    quicker: tuple[Shell, Filling, Around], slower: tuple[Shell, Filling, Around]
) -> None:
    assert follow(*quicker).hours < follow(*slower).hours


def test_the_core_of_much_dough_is_hours_behind_and_that_of_a_roll_is_not() -> None:
    roll = follow(
        Shell(VesselForm.TRAY, 3.0, "aluminium", 0.8, pieces=12),
        Filling(0.1, 220.0, 0.28),
        Around(celsius=20.0),
    )
    much = follow(BOWL, DOUGH)
    assert roll.core_lag_h < 0.4
    assert much.core_lag_h > 3.0
    assert not much.lumped


@given(
    form=st.sampled_from(VesselForm),
    litres=st.floats(0.2, 30.0),
    share=st.floats(0.05, 1.3),
    material=st.sampled_from(sorted(materials())),
    air=st.sampled_from(Air),
)
def test_any_vessel_has_a_time_and_more_in_it_takes_longer(
    form: VesselForm, litres: float, share: float, material: str, air: Air
) -> None:
    shell = Shell(form, litres, material, 0.1 * litres, Lid.LOOSE)
    less, more = (
        follow(shell, Filling(each, 2800 * each, 0.3), Around(air))
        for each in (share * litres, 1.2 * share * litres)
    )
    assert 0 < less.hours < 60
    assert less.core_lag_h > 0
    assert more.core_lag_h > less.core_lag_h
    assert less.lumped == (less.biot <= 0.1)
    # A little of it has nearly as much wall to warm.
    assert more.hours > less.hours * (
        0.85 if form in (VesselForm.JAR, VesselForm.TUB, VesselForm.BOWL) else 0.95
    )


@given(
    litres=st.floats(0.2, 30.0),
    form=st.sampled_from([VesselForm.JAR, VesselForm.TUB, VesselForm.BOWL]),
)
def test_measures_hold_the_volume(litres: float, form: VesselForm) -> None:
    plain = Shell(form, litres, "glass", 0.5)
    for shell in (plain, replace(plain, height_mm=90.0), replace(plain, width_mm=160.0)):
        high, wide, long = shell.measures()
        assert 1000 * pi / 4 * wide * long * high == pytest.approx(litres, rel=1e-9)
    assert replace(plain, height_mm=90.0).measures()[0] == pytest.approx(0.09)


def test_a_tin_and_a_tray_are_oblong() -> None:
    tin = Shell(VesselForm.TIN, 1.8, "steel", 0.64, height_mm=100.0, width_mm=100.0)
    assert tin.measures() == pytest.approx((0.1, 0.1, 0.18))
    tray = Shell(VesselForm.TRAY, 3.0, "aluminium", 0.8)
    high, wide, long = tray.measures()
    assert high * wide * long == pytest.approx(0.003)


def test_no_vessel_without_a_volume() -> None:
    with pytest.raises(RangeError, match="volume"):
        follow(TUB, Filling(0.0, 100.0, 0.3))
