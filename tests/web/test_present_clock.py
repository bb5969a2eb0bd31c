"""Instants as a baker reads them, through midnight and through a change of the clocks.

Ireland's clocks went back on 25 October 2026 at 01:00 UTC and forward on 28 March 2027 at 01:00
UTC: the last Sundays of those months, Directive 2000/84/EC.
"""

from __future__ import annotations

from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

import pytest

from pointage.web.drawing.hours import HourLine
from pointage.web.screens.week.drawing import Day
from pointage.web.words.clock import Clock, quiet_spans

DUBLIN = ZoneInfo("Europe/Dublin")
FRIDAY = datetime(2026, 12, 4, 12, 40, tzinfo=UTC)
SUMMER = datetime(2026, 7, 4, 12, 0, tzinfo=UTC)
BACK = datetime(2026, 10, 24, 12, 0, tzinfo=UTC)
SLEEP = ((time(22, 30), time(6, 0)),)


@pytest.mark.parametrize(
    ("instant", "text"),
    [
        (datetime(2026, 12, 4, 9, 0, tzinfo=UTC), "09:00"),
        (datetime(2026, 12, 5, 9, 0, tzinfo=UTC), "Sat 09:00"),
        (datetime(2026, 12, 3, 18, 30, tzinfo=UTC), "Thu 18:30"),
        (datetime(2026, 12, 15, 9, 0, tzinfo=UTC), "Tue 15 Dec 09:00"),
    ],
)
def test_an_instant_is_named_by_the_day_only_when_it_is_not_today(
    instant: datetime, text: str
) -> None:
    assert Clock(DUBLIN, FRIDAY).text(instant) == text


def test_times_are_those_of_the_kitchen_and_not_of_utc() -> None:
    assert Clock(DUBLIN, SUMMER).text(datetime(2026, 7, 4, 8, 0, tzinfo=UTC)) == "09:00"


def test_the_hour_that_comes_twice_says_which_one_it_is() -> None:
    clock = Clock(DUBLIN, BACK)
    first = datetime(2026, 10, 25, 0, 30, tzinfo=UTC)
    assert clock.time(first) == "01:30 IST"
    assert clock.time(first + timedelta(hours=1)) == "01:30 GMT"
    assert clock.time(first + timedelta(hours=2)) == "02:30"


def test_a_night_is_clipped_to_what_is_asked() -> None:
    clock = Clock(DUBLIN, FRIDAY)
    spans = quiet_spans(SLEEP, clock, FRIDAY, FRIDAY + timedelta(hours=14))
    assert spans == [
        (datetime(2026, 12, 4, 22, 30, tzinfo=UTC), datetime(2026, 12, 5, 2, 40, tzinfo=UTC))
    ]


def test_the_night_the_clocks_go_back_is_an_hour_longer() -> None:
    clock = Clock(DUBLIN, BACK)
    [(low, high)] = quiet_spans(SLEEP, clock, BACK, BACK + timedelta(hours=24))
    assert high - low == timedelta(hours=8, minutes=30)


def test_a_nap_within_a_day_is_one_span_a_day() -> None:
    clock = Clock(DUBLIN, FRIDAY)
    nap = ((time(14, 0), time(15, 0)),)
    spans = quiet_spans(nap, clock, FRIDAY, FRIDAY + timedelta(days=2))
    assert [low for low, _ in spans] == [
        datetime(2026, 12, day, 14, 0, tzinfo=UTC) for day in (4, 5)
    ]


def test_a_course_is_drawn_by_elapsed_time_and_labelled_by_the_clock() -> None:
    """Between 00:00 and 04:00 of that night lie five hours, and the marks say so."""
    clock = Clock(DUBLIN, BACK)
    start = datetime(2026, 10, 24, 23, 0, tzinfo=UTC)  # 00:00 in Dublin
    line = HourLine(start, start + timedelta(hours=5), 0, 500)
    marks = line.marks(clock, 2)
    assert [(clock.time(at)[:5], line.x(at)) for at in marks] == [
        ("00:00", 0.0),
        ("02:00", 300.0),
        ("04:00", 500.0),
    ]


def test_a_day_of_the_week_is_drawn_by_the_clock_on_the_wall() -> None:
    day = Day.of(date(2026, 12, 4), Clock(DUBLIN, FRIDAY))
    noon = day.x(datetime(2026, 12, 4, 12, 0, tzinfo=UTC))
    assert noon == (day.left + day.right) / 2
    assert day.x(day.start - timedelta(hours=3)) == day.left
    assert day.x(day.end + timedelta(hours=3)) == day.right
