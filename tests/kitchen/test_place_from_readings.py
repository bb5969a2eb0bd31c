"""A place from its readings: many find the hidden history, one leaves the shape of its kind."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pointage.data import load
from pointage.errors import InputError
from pointage.kitchen.file.place_from_readings import (
    ClockReading,
    PlaceHistory,
    is_warm_place,
    place_from_log,
    place_from_readings,
    usual_spread,
)
from pointage.kitchen.kitchen import PlaceKind

DUBLIN = ZoneInfo("Europe/Dublin")
KINDS = st.sampled_from(list(PlaceKind))
HISTORIES = st.builds(
    PlaceHistory,
    mean_c=st.floats(5, 30),
    swing_k=st.floats(0.5, 5),
    warmest_h=st.floats(0, 23.9),
    spread_k=st.floats(0.2, 2),
)


def at_clock(place: PlaceHistory, hour: float) -> float:
    """From the definition of the history."""
    return float(place.mean_c + place.swing_k * np.cos(2 * np.pi * (hour - place.warmest_h) / 24))


def apart(one: float, other: float) -> float:
    """Hours between two clock times, the shorter way round."""
    return abs((one - other + 12) % 24 - 12)


@settings(deadline=None)
@given(HISTORIES, st.integers(0, 10**6))
def test_many_readings_find_a_hidden_history(true: PlaceHistory, seed: int) -> None:
    """600 readings: the errors of mean, swing and hour are about spread·√(2/600) at most."""
    rng = np.random.default_rng(seed)
    readings = [
        ClockReading(hour, at_clock(true, hour) + true.spread_k * rng.standard_normal())
        for hour in rng.uniform(0, 24, 600)
    ]
    found = place_from_readings(readings, PlaceKind.ROOM)
    error = 4 * true.spread_k * np.sqrt(2 / 600) + 0.03 * true.swing_k
    assert found.mean_c == pytest.approx(true.mean_c, abs=error)
    assert found.swing_k == pytest.approx(true.swing_k, abs=error + 0.02)
    assert apart(found.warmest_h, true.warmest_h) < 24 / (2 * np.pi) * (error + 0.02) / true.swing_k
    # The prior of 1.2 K counts as four readings.
    pulled = np.sqrt((4 * 1.2**2 + 600 * true.spread_k**2) / 604)
    assert found.spread_k == pytest.approx(pulled, rel=0.15)


@given(KINDS, st.floats(-5, 40), st.floats(0, 23.9))
def test_one_reading_shifts_the_shape_of_the_kind(
    kind: PlaceKind, celsius: float, hour: float
) -> None:
    prior = load("parameters/places.toml")[kind]
    found = place_from_readings([ClockReading(hour, celsius)], kind)
    assert at_clock(found, hour) == pytest.approx(celsius, abs=1e-6)
    assert found.swing_k == pytest.approx(prior["swing"], abs=1e-6)
    assert apart(found.warmest_h, prior["warmest"]) < 1e-6
    assert found.spread_k == pytest.approx(prior["spread"]) == usual_spread(kind)


def test_two_readings_lie_between_the_shape_and_themselves() -> None:
    """A room of 14 °C at 3 and 22 °C at 15 swings more than 1.5 K and less than the 4 K read."""
    found = place_from_readings([ClockReading(3, 14), ClockReading(15, 22)], PlaceKind.ROOM)
    assert found.mean_c == pytest.approx(18)
    assert 1.6 < found.swing_k < 4
    assert apart(found.warmest_h, 15) < 0.1


@given(KINDS, st.lists(st.builds(ClockReading, st.floats(0, 23.9), st.floats(0, 30)), min_size=1))
def test_whatever_was_read_the_mean_is_within_reach(
    kind: PlaceKind, readings: list[ClockReading]
) -> None:
    found = place_from_readings(readings, kind)
    read = [each.celsius for each in readings]
    assert min(read) - found.swing_k - 1e-6 <= found.mean_c <= max(read) + found.swing_k + 1e-6
    assert found.spread_k > 0
    assert found == place_from_readings(readings, kind)


def test_no_reading_is_refused() -> None:
    with pytest.raises(InputError, match="readings: none"):
        place_from_readings([], PlaceKind.ROOM)
    with pytest.raises(InputError, match="log: no readings"):
        place_from_log(np.zeros(0), np.zeros(0), DUBLIN, PlaceKind.ROOM)


def logged(days: float, step_s: float, start: datetime) -> np.ndarray:
    return start.timestamp() + np.arange(0, days * 86400, step_s)


def test_a_log_of_a_year_finds_season_day_and_spread() -> None:
    """A yard with 6 K of season, 3 K of day by the clock of Dublin, and days 1.5 K astray."""
    seconds = logged(400, 1800, datetime(2025, 3, 1, tzinfo=UTC))
    true = PlaceHistory(11.0, 3.0, 14.5, 1.5, 6.0, 210.0)
    shape = true.surroundings(DUBLIN, "Yard").history
    hours = (seconds - seconds[0]) / 3600
    celsius = shape.temperatures(datetime(2025, 3, 1, tzinfo=UTC), hours)
    rng = np.random.default_rng(8)
    stray = 1.5 * rng.standard_normal(402)
    celsius = celsius + stray[(hours // 24).astype(int)]
    found = place_from_log(seconds, celsius, DUBLIN, PlaceKind.OUTDOORS)
    assert found.mean_c == pytest.approx(11.0, abs=0.3)
    assert found.swing_k == pytest.approx(3.0, abs=0.1)
    assert apart(found.warmest_h, 14.5) < 0.15
    assert found.yearly_k == pytest.approx(6.0, abs=0.4)
    assert found.warmest_day == pytest.approx(210, abs=6)
    assert found.spread_k == pytest.approx(1.5, rel=0.15)


def test_a_log_of_a_week_tells_nothing_of_the_year() -> None:
    seconds = logged(7, 600, datetime(2026, 1, 5, tzinfo=UTC))
    found = place_from_log(seconds, np.full(len(seconds), 18.0), DUBLIN, PlaceKind.ROOM)
    assert found.yearly_k == 0
    assert found.mean_c == pytest.approx(18.0, abs=0.01)
    assert found.swing_k < 0.05
    # Seven equal days against a prior that counts as four: 1.2·√(4/10).
    assert found.spread_k == pytest.approx(usual_spread(PlaceKind.ROOM) * np.sqrt(4 / 10), rel=0.01)


def test_a_thermostats_cycle_averages_out() -> None:
    """A fridge that climbs from 3 to 6 °C in 40 minutes, and again: hardly a spread."""
    seconds = logged(20, 60, datetime(2026, 1, 5, tzinfo=UTC))
    saw = 3.0 + 3.0 * ((seconds / 2400) % 1.0)
    found = place_from_log(seconds, saw, DUBLIN, PlaceKind.FRIDGE)
    assert found.mean_c == pytest.approx(saw.mean(), abs=0.02)
    assert found.swing_k == 0
    assert found.spread_k < 0.35


def test_a_log_read_unevenly_counts_each_hour_once() -> None:
    start = datetime(2026, 1, 5, tzinfo=UTC)
    even = logged(10, 3600, start)
    night = np.concatenate([logged(0.2, 10, start + timedelta(days=d)) for d in range(10)])
    seconds = np.unique(np.concatenate([even, night]))
    shape = PlaceHistory(18.0, 3.0, 15.0, 0.5).surroundings(DUBLIN, "Hall").history
    celsius = shape.temperatures(start, (seconds - seconds[0]) / 3600)
    found = place_from_log(seconds, celsius, DUBLIN, PlaceKind.ROOM)
    assert found.mean_c == pytest.approx(18.0, abs=0.1)
    assert found.swing_k == pytest.approx(3.0, abs=0.1)


@pytest.mark.parametrize(
    ("celsius", "warm"), [(20.9, False), (21.0, True), (26.0, True), (32.0, True), (32.1, False)]
)
def test_a_warm_place_is_21_to_32_degrees(celsius: float, warm: bool) -> None:
    """Common practice, no source."""
    assert is_warm_place(celsius) is warm
