"""An answer to an inverse question, put back into the engine, must give what was asked for."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import numpy as np
import pytest

from pointage.culture.mature import mature
from pointage.errors import InputError
from pointage.mixture.course import Course
from pointage.mixture.hold import hold
from pointage.mixture.inverse import (
    Fresh,
    LatestFeed,
    OutOfReach,
    Solved,
    latest_feed,
    mix_temperature,
    place_temperature,
    seed_share,
)
from pointage.mixture.mixture import Mixture
from pointage.mixture.temperature.surroundings import Constant, Daily, Surroundings
from pointage.mixture.traits import Traits, draw_traits, median_traits

EVENING = datetime(2026, 12, 4, 20, tzinfo=UTC)
NIGHT = Daily(mean=18.0, swing=2.0, warmest=16.0, zone=UTC)
FRESH = Fresh({"wheat-white": 200.0}, water=200.0, celsius=22.0)
ONE = median_traits()
MANY = draw_traits(64, seed=5)


def culture(traits: Traits = ONE) -> Mixture:
    return mature({"wheat-white": 1.0}, 1.0, traits)


def after(hours: float) -> datetime:
    return EVENING + timedelta(hours=hours)


def course(mixture: Mixture, place: Surroundings, start: datetime = EVENING) -> Course:
    return hold(mixture, place, start, 48.0, ONE)


@pytest.mark.parametrize("hours", [9.0, 10.5, 14.0])
def test_the_seed_found_is_in_the_middle_of_its_window_then(hours: float) -> None:
    found = seed_share(culture(), FRESH, NIGHT, start=EVENING, ripe_at=after(hours), traits=ONE)
    assert isinstance(found, Solved)
    begin, end = course(FRESH.with_seed(culture(), found.value), NIGHT).ripe()
    assert float(begin[0] + end[0]) / 2 == pytest.approx(hours, abs=0.25)
    assert found.odds == 1.0  # the one member is ripe


def test_a_later_hour_wants_less_seed_and_a_warmer_night_too() -> None:
    found = [
        seed_share(culture(), FRESH, place, start=EVENING, ripe_at=after(hours), traits=ONE)
        for place, hours in ((NIGHT, 10.0), (NIGHT, 13.0), (Constant(24.0), 10.0))
    ]
    tenth, thirteenth, warmer = (a.value for a in found if isinstance(a, Solved))
    assert tenth > 1.5 * thirteenth
    assert tenth > 1.5 * warmer


def test_an_ensemble_tells_the_odds() -> None:
    """The odds are those counted over the ensemble's own windows at the seed found."""
    found = seed_share(culture(MANY), FRESH, NIGHT, start=EVENING, ripe_at=after(11.0), traits=MANY)
    assert isinstance(found, Solved)
    again = hold(FRESH.with_seed(culture(MANY), found.value), NIGHT, EVENING, 48.0, MANY)
    begin, end = again.ripe()
    assert found.odds == pytest.approx(np.mean((begin <= 11.0) & (end >= 11.0)), abs=0.05)
    assert 0.4 < found.odds < 1.0


@pytest.mark.parametrize("hours", [2.0, 90.0])
def test_an_hour_out_of_reach_says_what_is_in_reach(hours: float) -> None:
    found = seed_share(culture(), FRESH, NIGHT, start=EVENING, ripe_at=after(hours), traits=ONE)
    assert isinstance(found, OutOfReach)
    assert f"the {hours:.1f} h wanted" in found.reason
    assert found.earliest_h is not None
    assert found.earliest_h > 4.0
    if hours > 50:
        assert found.latest_h is not None
        assert found.latest_h < hours


def test_the_place_found_brings_the_dough_to_its_rise() -> None:
    dough = FRESH.with_seed(culture(), 0.2)
    found = place_temperature(dough, start=EVENING, wanted_at=after(8.0), traits=ONE, rise=2.0)
    assert isinstance(found, Solved)
    assert course(dough, Constant(found.value)).reaches(2.0)[0] == pytest.approx(8.0, abs=0.25)


def test_to_be_surer_wants_a_warmer_place() -> None:
    dough = FRESH.with_seed(culture(MANY), 0.2)
    even, surer = (
        place_temperature(
            dough, start=EVENING, wanted_at=after(14.0), traits=MANY, rise=2.0, sure=sure
        )
        for sure in (0.5, 0.9)
    )
    assert isinstance(even, Solved)
    assert isinstance(surer, Solved)
    assert surer.value > even.value + 1.0
    assert even.odds == pytest.approx(0.5, abs=0.07)
    assert surer.odds == pytest.approx(0.9, abs=0.07)


def test_the_place_found_has_the_dough_ripe() -> None:
    dough = FRESH.with_seed(culture(), 0.2)
    found = place_temperature(dough, start=EVENING, wanted_at=after(9.0), traits=ONE)
    assert isinstance(found, Solved)
    begin, end = course(dough, Constant(found.value)).ripe()
    assert float(begin[0] + end[0]) / 2 == pytest.approx(9.0, abs=0.25)


def test_no_place_is_warm_enough_for_three_hours() -> None:
    dough = FRESH.with_seed(culture(), 0.2)
    found = place_temperature(dough, start=EVENING, wanted_at=after(3.0), traits=ONE)
    assert isinstance(found, OutOfReach)
    assert found.earliest_h is not None
    assert found.earliest_h > 4.0
    assert "2 to 40 °C" in found.reason


def test_the_mix_found_keeps_its_hour_in_a_given_room() -> None:
    tub = Fresh({"wheat-white": 3000.0}, water=2100.0, celsius=22.0)
    dough = tub.with_seed(culture(), 0.2)
    wanted = float(course(dough.at_temperature(27.0), NIGHT).reaches(2.0)[0])
    found = mix_temperature(
        dough, NIGHT, start=EVENING, wanted_at=after(wanted), traits=ONE, rise=2.0
    )
    assert isinstance(found, Solved)
    assert found.value == pytest.approx(27.0, abs=0.5)


def test_the_latest_feed_is_just_ripe_and_a_later_one_is_not() -> None:
    fed = FRESH.with_seed(culture(), 0.5)
    found = latest_feed(fed, NIGHT, earliest=after(-24), ripe_at=after(10.5), traits=ONE)
    assert isinstance(found, LatestFeed)
    wait = (after(10.5) - found.at) / timedelta(hours=1)
    assert course(fed, NIGHT, found.at).ripe()[0][0] == pytest.approx(wait, abs=0.2)
    later = found.at + timedelta(hours=0.5)
    assert course(fed, NIGHT, later).ripe()[0][0] > wait - 0.5 + 0.2


def test_too_late_to_feed_is_said() -> None:
    fed = FRESH.with_seed(culture(), 0.1)
    found = latest_feed(fed, NIGHT, earliest=after(8), ripe_at=after(10.5), traits=ONE)
    assert isinstance(found, OutOfReach)
    assert "the 2.5 h wanted" in found.reason


def test_a_wish_in_the_past_is_refused() -> None:
    with pytest.raises(InputError, match="within a week"):
        seed_share(culture(), FRESH, NIGHT, start=EVENING, ripe_at=after(-1.0), traits=ONE)
