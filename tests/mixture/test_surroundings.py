"""Places as temperature histories: by the day, by the year, over a change of the clocks, astray."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from pointage.culture.mature import feed, mature
from pointage.mixture.hold import hold
from pointage.mixture.inverse import Fresh, Solved, seed_share
from pointage.mixture.temperature.surroundings import (
    Constant,
    Daily,
    Later,
    Seasonal,
    Stepped,
    Straying,
    straying,
)
from pointage.mixture.traits import draw_traits, median_traits

DUBLIN = ZoneInfo("Europe/Dublin")
START = datetime(2026, 11, 25, 12, tzinfo=UTC)
HALL = Daily(17.0, 2.0, 15.0, DUBLIN)
CUPBOARD = Straying(Constant(26.0), 1.0, "Cupboard")
NOON = np.zeros(1)


@pytest.mark.parametrize(
    ("evening", "hours_to_warmest"),
    [
        # tz database: Dublin goes back on 25 October 2026 and forward on 28 March 2027, both at
        # 01:00 UTC. From 20:00 to 15:00 on the next day's clock are 19 hours on any other night.
        (datetime(2026, 10, 24, 20, tzinfo=DUBLIN), 20.0),
        (datetime(2027, 3, 27, 20, tzinfo=DUBLIN), 18.0),
        (datetime(2026, 11, 24, 20, tzinfo=DUBLIN), 19.0),
    ],
)
def test_a_day_follows_the_clock_through_its_change(
    evening: datetime, hours_to_warmest: float
) -> None:
    hours = np.arange(0.0, 30.0, 0.25)
    found = HALL.temperatures(evening.astimezone(UTC), hours)
    assert hours[found.argmax()] == hours_to_warmest
    assert found.max() == pytest.approx(19.0)


def test_a_long_spell_over_both_changes_follows_the_clock() -> None:
    start = datetime(2026, 10, 1, tzinfo=DUBLIN).astimezone(UTC)
    hours = np.arange(0.0, 24.0 * 250, 1.0)
    found = HALL.temperatures(start, hours)
    for day in range(0, 249, 7):
        local = datetime(2026, 10, 1, 15, tzinfo=DUBLIN) + timedelta(days=day)  # by the clock
        row = round((local.astimezone(UTC) - start) / timedelta(hours=1))
        assert found[row] == pytest.approx(19.0)


def test_a_year_is_warmest_on_its_day_and_coldest_half_a_year_later() -> None:
    cellar = Seasonal(Daily(12.0, 0.0, 15.0, UTC), 3.0, 216.0)  # 5 August
    days = np.arange(0.0, 24.0 * 365, 24.0)
    found = cellar.temperatures(datetime(2026, 1, 1, tzinfo=UTC), days)
    assert found.argmax() == 216
    assert found.max() == pytest.approx(15.0, rel=1e-5)
    assert found.min() == pytest.approx(9.0, rel=1e-4)
    assert found.mean() == pytest.approx(12.0, rel=1e-3)
    # Asked for in another year, or from another start, it is the same season.
    later = cellar.temperatures(datetime(2027, 8, 6, tzinfo=UTC), NOON)
    assert later[0] == pytest.approx(15.0, rel=1e-3)
    across = cellar.temperatures(datetime(2026, 12, 31, tzinfo=UTC), np.array([0.0, 48.0]))
    afresh = cellar.temperatures(datetime(2027, 1, 2, tzinfo=UTC), NOON)
    assert across[1] == pytest.approx(afresh[0], abs=0.02)


@given(st.integers(2, 500), st.floats(0.1, 4.0), st.text(max_size=12))
def test_members_are_evenly_spread_about_the_history(
    members: int, spread: float, name: str
) -> None:
    place = Straying(Constant(20.0), spread, name)
    found = straying(place, START, NOON, members)[:, 0]
    assert len(found) == members
    assert np.median(found) == pytest.approx(20.0)
    assert found.mean() == pytest.approx(20.0)
    assert np.array_equal(found, straying(place, START + timedelta(days=3), NOON, members)[:, 0])
    if members >= 100:
        assert found.std() == pytest.approx(spread, rel=0.04)
        # 10 and 90 % of a normal distribution lie 1.2816 standard deviations out.
        low, high = np.percentile(found, (10, 90))
        assert high - low == pytest.approx(2 * 1.2816 * spread, rel=0.05)


def test_places_stray_apart_and_a_place_with_itself() -> None:
    one, same, other = (
        Straying(Constant(20.0), 1.0, name).of_members(400) for name in ("Hall", "Hall", "Fridge")
    )
    assert np.array_equal(one, same)
    assert abs(np.corrcoef(one, other)[0, 1]) < 0.2


def test_one_member_and_a_place_without_spread_are_exact() -> None:
    assert np.array_equal(straying(CUPBOARD, START, NOON, 1), [[26.0]])
    assert np.array_equal(straying(Straying(Constant(26.0), 0.0), START, NOON, 50), [[26.0]])
    assert np.array_equal(straying(HALL, START, NOON, 50), HALL.temperatures(START, NOON)[None, :])


def test_a_mixture_moved_strays_in_each_place_as_that_does() -> None:
    fridge = Straying(Constant(4.5), 0.5, "Fridge")
    moved = Stepped([(START, CUPBOARD), (START + timedelta(hours=6), fridge)])
    found = straying(moved, START, np.array([0.0, 5.0, 7.0]), 60)
    assert found[:, 0] == pytest.approx(26.0 + CUPBOARD.of_members(60))
    assert np.array_equal(found[:, 0], found[:, 1])
    assert found[:, 2] == pytest.approx(4.5 + fridge.of_members(60))


def test_later_is_the_same_place_later() -> None:
    hall = Straying(HALL, 1.0, "Hall")
    now = straying(hall, START + timedelta(hours=5), NOON, 20)
    assert np.array_equal(straying(Later(hall, 5.0), START, NOON, 20), now)


def test_what_is_known_of_today_replaces_the_spread() -> None:
    known = Straying(Constant(26.0), 1.0, "Cupboard", offsets=np.linspace(-2.5, -1.5, 101))
    assert known.temperatures(START, NOON)[0] == pytest.approx(24.0)
    assert straying(known, START, NOON, 101).std() == pytest.approx(0.29, abs=0.01)
    fewer = straying(known, START, NOON, 10)[:, 0]
    assert np.median(fewer) == pytest.approx(24.0)


def test_a_forecast_is_wider_where_a_place_strays_and_its_middle_stays() -> None:
    culture = mature({"wheat-white": 1.0}, 1.0, median_traits())
    fed = feed(culture, 20.0, {"wheat-white": 100.0}, 100.0, 24.0)
    traits = draw_traits(400, seed=5)
    peaks = [
        np.nanpercentile(hold(fed, place, START, 30.0, traits).peak_h(), (10, 50, 90))
        for place in (Constant(24.0), Straying(Constant(24.0), 1.5, "Hall"))
    ]
    (sure_low, sure, sure_high), (low, middle, high) = peaks
    assert middle == pytest.approx(sure, abs=0.2)
    # A levain's peak comes about a tenth sooner for each kelvin near 24 °C: some 0.7 h here, so
    # ±1.28·1.5 K must widen the band by much more than half an hour.
    assert high - low > sure_high - sure_low + 0.5
    assert low < sure_low
    assert high > sure_high


def test_a_seed_is_found_for_a_straying_place_with_honest_odds() -> None:
    culture = mature({"wheat-white": 1.0}, 1.0, median_traits())
    fresh = Fresh({"wheat-white": 100.0}, 100.0, 24.0)
    traits = draw_traits(160, seed=5)
    found = [
        seed_share(
            culture, fresh, place, start=START, ripe_at=START + timedelta(hours=9), traits=traits
        )
        for place in (Constant(24.0), Straying(Constant(24.0), 2.5, "Hall"))
    ]
    sure, unsure = found
    assert isinstance(sure, Solved)
    assert isinstance(unsure, Solved)
    assert unsure.value == pytest.approx(sure.value, rel=0.15)
    assert unsure.odds < sure.odds
