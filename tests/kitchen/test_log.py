"""Logs of thermometers: every common shape is read, and what is wrong is said with its line."""

from __future__ import annotations

import csv
import io
from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.examples import some

from pointage.errors import InputError
from pointage.kitchen.log.clock import DateOrder, parse_clock
from pointage.kitchen.log.read import (
    Log,
    LogOptions,
    decode_log,
    gap_notes,
    read_log,
)

DUBLIN = ZoneInfo("Europe/Dublin")
KOLKATA = ZoneInfo("Asia/Kolkata")
NEW_YORK = ZoneInfo("America/New_York")
WINTER = datetime(2026, 1, 14, 6, 0, tzinfo=UTC)  # Dublin is on UTC
WARMTH = (15.5, 16.0, 17.25)


def read(text: str, options: LogOptions | None = None, zone: ZoneInfo = DUBLIN) -> Log:
    return read_log(text, zone, "hall.csv", options)


def instants(log: Log) -> list[datetime]:
    return [datetime.fromtimestamp(each, UTC) for each in log.seconds]


def whole(text: str, options: LogOptions | None = None, zone: ZoneInfo = DUBLIN) -> Log:
    """A log that must be read without any trouble."""
    return read(text, options, zone).taken("hall.csv")


HALF_HOURS = [WINTER + timedelta(minutes=30 * i) for i in range(3)]


@pytest.mark.parametrize(
    "text",
    [
        pytest.param(
            "Time,Temp (°C)\n2026-01-14 06:00,15.5\n2026-01-14 06:30,16\n2026-01-14 07:00,17.25\n",
            id="plain",
        ),
        pytest.param(
            "\ufeffTime;Temp\r\n2026-01-14T06:00:00;15,5\r\n2026-01-14T06:30:00;16,0\r\n"
            "2026-01-14T07:00:00;17,25\r\n",
            id="byte order mark, semicolons, decimal comma",
        ),
        pytest.param(
            'time,temp\n"2026-01-14 06:00","15,5"\n"2026-01-14 06:30","16,0"\n'
            '"2026-01-14 07:00","17,25"\n',
            id="quoted decimal comma among commas",
        ),
        pytest.param(
            "Date\tTime\tTemperature\tHumidity %\n14/01/2026\t06:00\t15.5\t61\n"
            "14/01/2026\t06:30\t16.0\t61\n14/01/2026\t07:00\t17.25\t62\n",
            id="tabs, date and time apart, day first",
        ),
        pytest.param(
            "01/14/2026 6:00 AM|15.5\n01/14/2026 6:30 AM|16\n01/14/2026 7:00 AM|17.25\n",
            id="pipes, no heading, month first, twelve hours",
        ),
        pytest.param(
            "Logger 12\nSerial;0042\n\nNo.;Date;Time;T\n;;;°C\n1;14.01.2026;06:00:00;15,5\n"
            "2;14.01.2026;06:30:00;16,0\n3;14.01.2026;07:00:00;17,25\n\n",
            id="preamble, row numbers, a line of units",
        ),
        pytest.param(
            "Time,Temperature\n2026-01-14 06:00,59.9 °F\n2026-01-14 06:30,60.8 °F\n"
            "2026-01-14 07:00,63.05°F\n",
            id="Fahrenheit in cells",
        ),
        pytest.param(
            "Time,Temp (F)\n2026-01-14 06:00,59.9\n2026-01-14 06:30,60.8\n2026-01-14 07:00,63.05\n",
            id="Fahrenheit in the heading",
        ),
        pytest.param(
            "Time,Temp\n2026-01-14T06:00:00Z,15.5\n2026-01-14T07:30:00+01:00,16\n"
            "2026-01-14T02:00:00-05:00,17.25\n",
            id="each with its own zone",
        ),
        pytest.param(
            '"Date Time, GMT+02:00","Temp, °C"\n2026-01-14 08:00,15.5\n2026-01-14 08:30,16\n'
            "2026-01-14 09:00,17.25\n",
            id="a zone in the heading",
        ),
        pytest.param(
            "epoch,temp\n1768370400,15.5\n1768372200,16\n1768374000,17.25\n",
            id="seconds since 1970",
        ),
        pytest.param(
            "timestamp;Temp\n1768370400000;15,5\n1768372200000;16\n1768374000000;17,25\n",
            id="milliseconds since 1970",
        ),
        pytest.param(
            "Time,Temp\n2026-01-14 07:00,17.25\n2026-01-14 06:30,16\n2026-01-14 06:00,15.5\n",
            id="the latest first",
        ),
        pytest.param(
            "Time,Humidity,Battery V,Temperature\n2026-01-14 06:00,61,3.1,15.5\n"
            "2026-01-14 06:30,61,3.1,16\n2026-01-14 07:00,61,3.1,17.25\n",
            id="other quantities beside it",
        ),
    ],
)
def test_common_shapes_are_read(text: str) -> None:
    log = whole(text)
    assert instants(log) == HALF_HOURS
    assert log.celsius == pytest.approx(WARMTH)


def test_a_clock_without_a_zone_is_the_kitchens() -> None:
    text = "t,temp\n2026-01-14 06:00,15\n2026-01-14 06:30,16\n"
    assert instants(whole(text, zone=KOLKATA))[0] == datetime(2026, 1, 14, 0, 30, tzinfo=UTC)
    assert "Asia/Kolkata" in " ".join(whole(text, zone=KOLKATA).notes)


# What the tz database says of autumn 2026: Dublin puts 02:00 back to 01:00 on 25 October, New York
# 02:00 to 01:00 on 1 November; of spring: Dublin has no 01:00 to 02:00 on 29 March.
@pytest.mark.parametrize(
    ("zone", "day", "utc"),
    [
        (DUBLIN, "2026-10-25", datetime(2026, 10, 24, 23, 30, tzinfo=UTC)),
        (NEW_YORK, "2026-11-01", datetime(2026, 11, 1, 4, 30, tzinfo=UTC)),
    ],
)
def test_an_hour_that_comes_twice_is_settled_by_the_order(
    zone: ZoneInfo, day: str, utc: datetime
) -> None:
    clocks = ("00:30", "01:00", "01:30", "01:00", "01:30", "02:00")
    text = "t,temp\n" + "".join(f"{day} {clock},16\n" for clock in clocks)
    assert instants(whole(text, zone=zone)) == [utc + timedelta(minutes=30 * i) for i in range(6)]


def test_an_hourly_log_through_the_hour_that_comes_twice() -> None:
    clocks = ("00:30", "01:30", "01:30", "02:30")
    text = "t,temp\n" + "".join(f"2026-10-25 {clock},16\n" for clock in clocks)
    first = datetime(2026, 10, 24, 23, 30, tzinfo=UTC)
    assert instants(whole(text)) == [first + timedelta(hours=i) for i in range(4)]


def test_the_later_of_two_hours_when_only_that_keeps_the_step() -> None:
    """A log that begins within the hour goes on into what follows."""
    text = "t,temp\n2026-10-25 01:45,16\n2026-10-25 02:00,16\n2026-10-25 02:15,16\n"
    assert instants(whole(text))[0] == datetime(2026, 10, 25, 1, 45, tzinfo=UTC)


def test_an_hour_that_the_clock_skips_is_bad_by_its_line() -> None:
    text = "t,temp\n2026-03-29 00:30,16\n2026-03-29 01:30,16\n2026-03-29 02:30,16\n"
    log = read(text)
    assert [each.line for each in log.troubles] == [3]
    with pytest.raises(InputError, match=r"hall.csv, line 3: 2026-03-29 01:30.*Europe/Dublin"):
        log.taken("hall.csv")


def test_day_or_month_is_told_by_the_whole_file() -> None:
    late = "t;temp\n01/02/2026 06:00;15\n02/02/2026 06:00;15\n13/02/2026 06:00;15\n"
    assert instants(whole(late))[0].month == 2
    near = "t;temp\n01/02/2026 06:00;15\n02/02/2026 06:00;15\n03/02/2026 06:00;15\n"
    assert [each.day for each in instants(whole(near))] == [1, 2, 3]
    american = "t;temp\n01/31/2026 06:00;15\n02/01/2026 06:00;15\n02/02/2026 06:00;15\n"
    assert [each.month for each in instants(whole(american))] == [1, 2, 2]
    assert "month-first" in " ".join(whole(american).notes)


def test_a_date_that_may_be_either_is_asked_about_and_then_read() -> None:
    text = "t;temp\n03/04/2026 06:00;15\n03/04/2026 06:30;15\n"
    with pytest.raises(InputError, match=r"line 2: '03/04/2026'.*day-first or month-first") as told:
        read(text)
    assert "\n" not in str(told.value)
    assert instants(whole(text, LogOptions(order=DateOrder.DAY)))[0].month == 4
    assert instants(whole(text, LogOptions(order=DateOrder.MONTH)))[0].month == 3


def test_dates_in_both_orders_are_bad_rows() -> None:
    rows = [f"{day:02}/01/2026 06:00;15" for day in range(13, 20)] + ["01/21/2026 06:00;15"]
    log = read("t;temp\n" + "\n".join(rows))
    assert [each.line for each in log.troubles] == [9]
    assert "day-first" in log.troubles[0].expected


BAD = """Time,Temp (°C)
2026-01-14 06:00,15.5
2026-01-14 06:30,--
yesterday,16.0
2026-01-14 07:30,300
2026-01-14 08:00,
2026-01-14 07:45,16.1
2026-01-14 08:30,nan
2026-01-14 09:00,16.2
2026-01-14 09:00,16.3
"""


def test_bad_rows_refuse_the_whole_with_their_lines() -> None:
    log = read(BAD)
    assert [each.line for each in log.troubles] == [3, 4, 5, 6, 8, 10]
    with pytest.raises(InputError) as told:
        log.taken("--temperatures")
    line = str(told.value)
    assert line.startswith("--temperatures, line 3: '--' (6 bad rows, more in line 4, 5, 6, 8, …)")
    assert "\n" not in line


def test_bad_rows_can_be_left_out_by_choice() -> None:
    log = read(BAD).taken("hall.csv", skip_bad_rows=True)
    assert log.left == 6
    assert log.celsius == pytest.approx([15.5, 16.1, 16.2])
    told = [str(each) for each in log.troubles]
    assert told[0] == "line 3: '--'; a number such as 21.5 is wanted"
    assert "300 °C" in told[2]


def test_an_early_or_twin_reading_is_bad() -> None:
    clocks = ("06:00", "07:00", "06:30", "08:00")
    text = "t,temp\n" + "".join(f"2026-01-14 {clock},15\n" for clock in clocks)
    assert [each.line for each in read(text).troubles] == [4]
    assert "after" in read(text).troubles[0].expected


def stretch(values: list[float]) -> str:
    rows = [
        f"{WINTER + timedelta(minutes=10 * i):%Y-%m-%d %H:%M},{value}"
        for i, value in enumerate(values)
    ]
    return "time,temp (°C)\n" + "\n".join(rows)


def test_a_leap_from_celsius_to_fahrenheit_is_found_with_its_lines() -> None:
    """20.4 °C is 68.7 °F, and back: by definition of the scales."""
    log = read(stretch([20.0, 20.2, 20.4, 68.8, 69.1, 69.0, 20.7, 20.8]))
    (trouble,) = log.troubles
    assert (trouble.line, trouble.last) == (5, 7)
    assert "°C became °F" in trouble.value
    assert log.left == 3
    kept = log.taken("hall.csv", skip_bad_rows=True)
    assert kept.celsius.max() < 21


def test_a_leap_that_is_not_taken_back_and_one_the_other_way() -> None:
    log = read(stretch([4.5, 4.4, 40.1, 40.3]))
    assert (log.troubles[0].line, log.troubles[0].last) == (4, 5)
    back = read(stretch([68.0, 68.1, 20.1, 20.0]).replace("°C", "°F"))
    assert back.troubles[0].line == 4
    assert "°F became °C" in back.troubles[0].value


def test_a_leap_of_a_probe_that_is_moved_is_no_change_of_unit() -> None:
    assert not read(stretch([4.5, 4.6, 21.0, 22.0, 26.0, 4.5])).troubles


def test_a_gap_is_told_and_harmless() -> None:
    values = [f"{WINTER + timedelta(minutes=15 * i):%Y-%m-%d %H:%M},16" for i in range(100)]
    log = whole("t,temp\n" + "\n".join(values[:40] + values[60:]))
    last, following = WINTER + timedelta(minutes=15 * 39), WINTER + timedelta(minutes=15 * 60)
    assert log.gaps == ((last, following),)
    assert gap_notes(log.gaps, DUBLIN) == (
        f"no reading from {last:%Y-%m-%d %H:%M} to {following:%Y-%m-%d %H:%M}",
    )
    assert whole("t,temp\n" + "\n".join(values)).gaps == ()


def test_several_temperatures_want_one_named() -> None:
    text = "time;Temp hall;Temp oven;RH\n2026-01-14 06:00;15;200;60\n2026-01-14 07:00;16;210;60\n"
    with pytest.raises(InputError, match=r"column: 2 of temperatures.*Temp hall, Temp oven"):
        read(text)
    log = whole(text, LogOptions(column="temp HALL"))
    assert (log.column, log.celsius.tolist()) == ("Temp hall", [15, 16])
    with pytest.raises(InputError, match=r"'cellar'.*Temp hall"):
        read(text, LogOptions(column="cellar"))


def test_a_unit_that_nobody_names() -> None:
    warm = "t;x\n2026-01-14 06:00;68\n2026-01-14 07:00;69\n"
    with pytest.raises(InputError, match=r"unit: none, with readings about 68.5.*C or F"):
        read(warm)
    assert whole(warm, LogOptions(unit="F")).celsius == pytest.approx([20.0, 20.5556], rel=1e-4)
    plain = whole("t;x\n2026-01-14 06:00;18\n2026-01-14 07:00;19\n")
    assert (plain.unit, plain.notes[-1]) == ("C", "no unit is named: °C")


def test_an_unquoted_decimal_comma_among_commas_is_refused() -> None:
    with pytest.raises(InputError, match=r"line 2.*2 cells as in the heading"):
        read("time,temp\n2026-01-14 06:00,15,5\n2026-01-14 06:30,15,6\n")


@pytest.mark.parametrize(
    "text",
    [
        "",
        "\n\n",
        "hello",
        "a,b\nc,d\n",
        "\x00\x00",
        '"',
        "2026-01-14 06:00",
        "time,temp\n",
        "a;b;c",
    ],
)
def test_what_is_no_log_is_one_line(text: str) -> None:
    with pytest.raises(InputError) as told:
        read(text).taken("hall.csv")
    assert str(told.value).startswith("hall.csv")
    assert "\n" not in str(told.value)


def test_hours_need_a_start() -> None:
    text = "minutes,celsius\n0,20\n90,21\n"
    with pytest.raises(InputError, match="hours from a start"):
        read(text)
    log = read_log(text, DUBLIN, start=WINTER)
    assert instants(log) == [WINTER, WINTER + timedelta(minutes=90)]


@pytest.mark.parametrize(
    ("text", "seconds"),
    [
        ("12:00 AM", 0), ("12:30 pm", 45000), ("1 p.m.", 46800), ("23:59:59", 86399),
        ("7:05", 25500), ("07:05:30.5", 25530.5),
    ],
)  # fmt: skip
def test_clocks(text: str, seconds: float) -> None:
    assert parse_clock(text) == (seconds, None)


@pytest.mark.parametrize("text", ["24:00", "13:00 PM", "0:30 AM", "7", "7:5", "12:60", "noon"])
def test_what_is_no_clock(text: str) -> None:
    assert parse_clock(text) is None


def test_files_of_other_codes() -> None:
    text = "time;Temp °F\n2026-01-14 06:00;68\n2026-01-14 07:00;68\n"
    for data in (text.encode("cp1252"), text.encode("utf-8-sig"), text.encode("utf-16")):
        assert whole(decode_log(data)).celsius == pytest.approx([20, 20])


DELIMITERS = st.sampled_from([",", ";", "\t", "|"])
TENTHS = st.integers(-200, 450).map(lambda tenths: tenths / 10)
STAMPS = {
    "iso": "%Y-%m-%dT%H:%M:%S", "day first": "%d/%m/%Y %H:%M:%S",
    "month first": "%m-%d-%Y %I:%M:%S %p", "dotted": "%d.%m.%Y %H:%M:%S",
}  # fmt: skip


@settings(deadline=None, max_examples=some(150))
@given(
    st.tuples(DELIMITERS, st.booleans(), st.booleans(), st.sampled_from(sorted(STAMPS))),
    st.lists(TENTHS, min_size=13, max_size=40),
    st.integers(0, 3),
)
def test_what_is_written_is_read(
    ways: tuple[str, bool, bool, str], warmth: list[float], preamble: int
) -> None:
    """A log written in any of these ways comes back as it was, to a tenth of a degree or so."""
    delimiter, comma, fahrenheit, stamp = ways
    warmth = [20 + 0.1 * value for value in warmth]
    start = datetime(2026, 1, 1, 0, 0, 30, tzinfo=UTC)
    at = [start + timedelta(days=i) for i in range(len(warmth))]
    out = io.StringIO()
    out.write("A logger\n" * preamble)
    writer = csv.writer(out, delimiter=delimiter, lineterminator="\r\n")
    writer.writerow(["When (UTC)", f"Temp ({'°F' if fahrenheit else '°C'})"])
    for instant, value in zip(at, warmth, strict=True):
        shown = f"{value * 1.8 + 32 if fahrenheit else value:.2f}"
        shown = shown.replace(".", ",") if comma else shown
        writer.writerow([f"{instant:{STAMPS[stamp]}}", shown])
    log = whole(out.getvalue())
    assert instants(log) == at
    assert log.celsius == pytest.approx(warmth, abs=0.006)


@settings(deadline=None, max_examples=some(200))
@given(st.text(alphabet="0123456789-/:;,.\t|\"'T °CFapm\n", max_size=200))
def test_no_text_at_all_breaks_it(text: str) -> None:
    try:
        log = read(text).taken("hall.csv")
    except InputError as error:
        assert "\n" not in str(error)  # noqa: PT017
    else:
        assert len(log.seconds) == len(log.celsius) > 0
        assert (np.diff(log.seconds) > 0).all()


@pytest.mark.long
def test_a_million_rows_are_all_read() -> None:
    """About two seconds; the figure belongs to a benchmark, that none is lost belongs here."""
    clock = [f"{m // 60:02}:{m % 60:02}" for m in range(1440)]
    days = [f"{datetime(2024, 1, 1) + timedelta(days=d):%d/%m/%Y}" for d in range(695)]  # noqa: DTZ001
    rows = [f"{day};{minute};18,5" for day in days for minute in clock]
    log = whole("Date;Time;Temp °C\n" + "\n".join(rows), zone=ZoneInfo("UTC"))
    assert len(log.seconds) == 695 * 1440 == 1_000_800
    assert log.last - log.first == timedelta(days=695, minutes=-1)


@pytest.mark.parametrize("far", ["956025600600000", "99999999999", "1" + "0" * 300])
def test_seconds_in_a_year_of_no_log_are_bad_rows(far: str) -> None:
    text = "epoch,temp C\n1795600000,20\n1795600600,21\n" + f"{far},20\n"
    with pytest.raises(InputError, match=r"line 4: .* a time from 1990 to 2100"):
        read_log(text, DUBLIN).taken("log")
    assert len(read_log(text, DUBLIN).seconds) == 2


def test_a_column_of_odd_digits_is_no_count_of_the_rows() -> None:
    for odd in ("²", "9" * 5000):
        with pytest.raises(InputError):
            read_log(f"{odd},20\n{odd},21\n{odd},22\n", DUBLIN).taken("log")
