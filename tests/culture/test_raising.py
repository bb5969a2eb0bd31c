"""Raising a culture: amounts by hand, phases in order, and days that follow what was seen."""

from __future__ import annotations

import itertools
from dataclasses import replace
from datetime import UTC, datetime
from fractions import Fraction

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.examples import some

from pointage.culture.raising import (
    Phase,
    RaisedDay,
    Raising,
    Sign,
    discard_total_g,
    flour_total_g,
    questioned,
    raise_days,
)
from pointage.errors import InputError
from pointage.mixture.temperature.surroundings import Constant

WISH = Raising(
    flours={"wheat-whole": 1.0},
    hydration=Fraction(1),
    daily_flour_g=Fraction(50),
    place=Constant(24.0),
    start=datetime(2026, 12, 1, 8, tzinfo=UTC),
    room_c=18.0,
)
ORDER = list(Phase)


@pytest.fixture(scope="module")
def days() -> tuple[RaisedDay, ...]:
    return raise_days(WISH, 12)


def test_the_classic_amounts_are_kept_as_it_strengthens() -> None:
    """250, 200, then 150 g against 1,200 g of fresh flour and water: common practice, no source."""
    classic = raise_days(replace(WISH, daily_flour_g=Fraction(600)), 12)
    lively = [day.keep_g for day in classic if day.keep_g < 300 and day.keep_g]
    assert lively[:3] == [250, 200, 150]
    assert all(day.flour_g + day.water_g == 1200 for day in classic)


def test_at_first_a_quarter_to_a_third_is_kept(days: tuple[RaisedDay, ...]) -> None:
    """Common practice, no source."""
    for before, day in itertools.pairwise(days):
        if before.phase not in (Phase.WAKING, Phase.STRONG):
            assert 0.24 <= day.keep_g / day.total_g <= 0.34


def test_flour_and_discard_by_hand(days: tuple[RaisedDay, ...]) -> None:
    """Twelve feeds of 50 g; all that went in, less what stands in the tub, was poured off."""
    assert flour_total_g(days) == 12 * 50
    assert discard_total_g(days) == 12 * (50 + 50) - days[-1].total_g


def test_the_phases_come_in_their_order(days: tuple[RaisedDay, ...]) -> None:
    places = [ORDER.index(day.phase) for day in days]
    assert places == sorted(places)
    assert days[-1].phase is Phase.STRONG


def test_no_gas_before_it_is_sour_is_taken_for_yeast(days: tuple[RaisedDay, ...]) -> None:
    """Ercolini 2013, AEM 79:7827-7836 (seen): the gas of days 1 to 3 is not the yeast's."""
    risen = [day for day in days[:3] if day.rise()[1] >= 1.3]
    assert risen
    assert all(day.phase in (Phase.FALSE_START, Phase.SOURING) for day in risen)


def test_the_lid_lies_open_until_it_sours(days: tuple[RaisedDay, ...]) -> None:
    opens = [day.lid_open for day in days]
    assert opens[0]
    assert not opens[-1]
    assert opens == sorted(opens, reverse=True)


def test_it_is_never_ready_before_seven_days(days: tuple[RaisedDay, ...]) -> None:
    assert all(day.ready == 0.0 for day in days[:6])
    odds = [day.ready for day in days[6:]]
    assert odds == sorted(odds)
    assert odds[-1] > 0.8


def test_what_sleeps_is_waited_on_not_fed() -> None:
    seen = raise_days(WISH, 4, [Sign(1, rise=1.0, ph=6.1)])
    assert not seen[1].feeds
    assert seen[1].total_g == seen[0].total_g == 100
    assert seen[1].pour_off_g == 0


def test_signs_ahead_of_the_forecast_bring_the_odds_forward() -> None:
    brisk = [Sign(day, rise=2.2, ph=3.8) for day in (5, 6, 7, 8)]
    slow = [Sign(day, rise=1.4, ph=3.8) for day in (5, 6, 7, 8)]
    fast, lazy = (raise_days(WISH, 9, signs)[-1].ready for signs in (brisk, slow))
    assert fast > lazy + 0.2


def test_a_sign_changes_nothing_before_it(days: tuple[RaisedDay, ...]) -> None:
    seen = raise_days(WISH, 6, [Sign(4, rise=1.5)])
    assert [day.keep_g for day in seen[:4]] == [day.keep_g for day in days[:4]]
    assert seen[2].rise() == days[2].rise()


def test_a_colder_place_takes_longer(days: tuple[RaisedDay, ...]) -> None:
    cold = raise_days(replace(WISH, place=Constant(18.0)), 12)
    sour = [next(d.number for d in each if d.phase is Phase.SOURING) for each in (days, cold)]
    assert sour[0] < sour[1]


@settings(max_examples=some(15), deadline=None)
@given(flour=st.integers(20, 900), wet=st.integers(60, 150))
def test_grams_are_kept(flour: int, wet: int) -> None:
    wish = replace(WISH, daily_flour_g=Fraction(flour), hydration=Fraction(wet, 100))
    found = raise_days(wish, 5, members=8)
    for before, day in itertools.pairwise(found):
        assert day.keep_g + day.pour_off_g == before.total_g
        assert min(day.keep_g, day.pour_off_g) >= 0
        held = day.young.course.held
        assert held.mass == pytest.approx(float(day.total_g), rel=1e-9)
        assert day.weights.sum() == pytest.approx(1.0)


def test_a_misread_sign_does_not_decide_alone() -> None:
    found = raise_days(WISH, 5, [Sign(2, rise=7.9)])
    assert np.isfinite(found[-1].weights).all()
    assert float((found[-1].weights ** 2).sum()) < 0.2


def test_a_sign_that_does_not_fit_is_asked_about_and_counts_once_it_was_so() -> None:
    """Hardly any young culture sours to pH 3.8 on its first day; this one did."""
    odd = Sign(1, ph=3.8)
    others = (Sign(1, rise=1.0), Sign(2, ph=5.0))
    doubted, believed = (
        raise_days(WISH, 2, [each, *others]) for each in (odd, replace(odd, sure=True))
    )
    assert questioned(doubted) == (odd,)
    assert questioned(believed) != (odd,)
    assert replace(odd, sure=True) not in questioned(believed)
    assert believed[0].ph()[1] < doubted[0].ph()[1] - 0.2
    assert questioned(raise_days(WISH, 2, others[:1])) == ()


@pytest.mark.parametrize(
    ("sign", "field"),
    [(Sign(1, rise=40.0), "rise"), (Sign(1, ph=12.0), "pH"), (Sign(0, rise=1.5), "day")],
)
def test_impossible_signs_are_refused(sign: Sign, field: str) -> None:
    with pytest.raises(InputError) as refused:
        raise_days(WISH, 3, [sign])
    assert refused.value.field == field


def test_a_feed_below_the_scales_step_is_refused() -> None:
    with pytest.raises(InputError, match="step of the scale"):
        replace(WISH, daily_flour_g=Fraction(2, 5))
