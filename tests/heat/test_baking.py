"""What the oven does to a loaf, and what no oven can."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.examples import some

from pointage.errors import RangeError
from pointage.heat.baking import (
    BakedOn,
    LoafInOven,
    bake,
    baked_for,
    done_at,
)
from pointage.heat.flag import Flag, FlagCode
from pointage.heat.loaf import BreadType, LoafShape

LOAF = LoafInOven(0.9, LoafShape.BOULE, 240.0, 24.0)
NEAR = 0.3  # minutes: within a step of fifteen seconds

few = settings(max_examples=some(12), deadline=None)
loaves = st.builds(
    LoafInOven,
    mass_kg=st.floats(0.06, 1.5),
    shape=st.sampled_from(LoafShape),
    oven_c=st.floats(180.0, 270.0),
    start_c=st.floats(4.0, 30.0),
    bread=st.sampled_from(BreadType),
    stands=st.sampled_from(BakedOn),
    altitude_m=st.floats(0.0, 3000.0),
    steam_minutes=st.sampled_from([0.0, 10.0, 20.0]),
)


@few
@given(what=loaves)
def test_a_bake_ends_with_its_core_done(what: LoafInOven) -> None:
    baked = bake(what)
    assert baked.course.core_c[-1] == pytest.approx(baked.done_c, abs=0.01)
    assert baked.course.core_c[-1] < baked.boils_c
    assert all(a <= b + 1e-9 for a, b in pairwise(baked.course.core_c))
    assert baked.boils_c < baked.crust_c < what.oven_c
    assert 0 < baked.loss < 0.25
    assert baked.cut_after_minutes is not None


@few
@given(what=loaves, hotter=st.floats(5.0, 30.0))
def test_a_hotter_oven_is_not_slower_and_takes_more(what: LoafInOven, hotter: float) -> None:
    hot = replace(what, oven_c=what.oven_c + hotter)
    assert bake(hot).minutes <= bake(what).minutes + NEAR
    _, loss = baked_for(what, 15.0)
    _, more = baked_for(hot, 15.0)
    assert more > loss


@few
@given(what=loaves, more=st.floats(1.1, 1.8))
@pytest.mark.long
def test_a_heavier_loaf_is_not_quicker(what: LoafInOven, more: float) -> None:
    heavier, lighter = bake(replace(what, mass_kg=what.mass_kg * more)), bake(what)
    assert heavier.minutes > lighter.minutes
    assert heavier.cut_after_minutes is not None
    assert lighter.cut_after_minutes is not None
    assert heavier.cut_after_minutes > lighter.cut_after_minutes


@few
@given(what=loaves, loaves=st.integers(2, 12))
@pytest.mark.long
def test_more_loaves_in_the_oven_do_not_hurry_any(what: LoafInOven, loaves: int) -> None:
    assert bake(replace(what, loaves=loaves)).minutes >= bake(what).minutes - NEAR


@pytest.mark.parametrize(("low", "high"), [(0.0, 1609.0), (1609.0, 3640.0)])
def test_higher_up_the_ceiling_is_lower_and_the_done_core_follows(low: float, high: float) -> None:
    below, above = (bake(replace(LOAF, altitude_m=h)) for h in (low, high))
    assert above.boils_c < below.boils_c - 4
    assert above.boils_c - above.done_c == pytest.approx(below.boils_c - below.done_c, abs=0.06)


def test_done_cores_at_the_sea() -> None:
    """Common practice, no source: 93 to 99 °C, soft lowest and rye highest."""
    cores = [
        done_at(replace(LOAF, bread=bread))
        for bread in (BreadType.SOFT, BreadType.LEAN, BreadType.RYE)
    ]
    assert cores == [93.0, 97.0, 98.0]


def test_a_colder_dough_takes_longer() -> None:
    assert bake(replace(LOAF, start_c=5.0)).minutes > bake(LOAF).minutes + 2


def test_an_oven_that_bakes_hotter_than_it_says_is_as_a_hotter_one() -> None:
    assert bake(replace(LOAF, oven_c=220.0, offset_k=20.0)).minutes == bake(LOAF).minutes


@pytest.mark.parametrize(
    "what",
    [
        replace(LOAF, oven_c=90.0),
        replace(LOAF, core_c=99.9),
        replace(LOAF, core_c=96.0, altitude_m=2000.0),
        replace(LOAF, start_c=97.5),
        replace(LOAF, mass_kg=60.0),
    ],
)
def test_what_never_gets_done_is_an_error(what: LoafInOven) -> None:
    with pytest.raises(RangeError, match="core"):
        bake(what)


def test_outside_what_was_tried_the_answer_is_flagged() -> None:
    assert bake(LOAF).flags == ()
    (flag,) = bake(replace(LOAF, mass_kg=0.03)).flags
    assert flag == Flag(FlagCode.MASS, 30.0, 50.0, 2500.0)
    (flag,) = bake(replace(LOAF, altitude_m=4500.0)).flags
    assert flag == Flag(FlagCode.ALTITUDE, 4500.0, -450.0, 4000.0)


def test_a_thick_loaf_in_a_hot_oven_will_be_dark() -> None:
    (flag,) = bake(replace(LOAF, oven_c=270.0)).flags
    assert (flag.code, flag.low) == (FlagCode.DARK, 200.0)


def test_a_room_as_warm_as_the_core_may_be_cut_at_cools_nothing() -> None:
    assert bake(replace(LOAF, room_c=29.0)).cut_after_minutes is None


def test_the_same_bake_is_calculated_once() -> None:
    before = bake.cache_info().hits
    assert bake(replace(LOAF)) is bake(replace(LOAF))
    assert bake.cache_info().hits > before
