"""Quantities as people write them: read, printed, and refused in one line."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from datetime import time as clock_time
from fractions import Fraction
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pointage.errors import InputError, UnitError
from pointage.quantities import (
    Temperature,
    TemperatureDifference,
    parse_clock,
    parse_count,
    parse_difference,
    parse_duration,
    parse_instant,
    parse_mass,
    parse_percent,
    parse_temperature,
    parse_zone,
    print_duration,
    print_number,
    with_a_point,
)

DUBLIN = ZoneInfo("Europe/Dublin")


@pytest.mark.parametrize(
    ("text", "grams"),
    [
        ("600g", Fraction(600)),
        ("600", Fraction(600)),
        ("1.2kg", Fraction(1200)),
        ("1,2 kg", Fraction(1200)),
        ("250mg", Fraction(1, 4)),
        ("1lb", Fraction("453.59237")),  # exact by the definition of the pound
        ("16oz", Fraction("453.59237")),  # sixteen ounces to the pound
    ],
)
def test_mass(text: str, grams: Fraction) -> None:
    assert parse_mass(text) == grams


@pytest.mark.parametrize(
    "text", ["", "g", "600x", "-5g", "1.2.3g", "nan", "six grams", "1e3g", "9" * 5000]
)
def test_what_is_no_mass_is_refused(text: str) -> None:
    with pytest.raises(UnitError, match=r"^--water: .* cannot be used; expected a mass"):
        parse_mass(text, "--water")


@pytest.mark.parametrize(
    ("text", "sure"),
    [
        ("1,200g", "1200g or 1.2g"),
        ("12,500", "12500 or 12.5"),
        ("-1,200", "-1200 or -1.2"),
        ("1,250kg", "1250kg or 1.25kg"),
        ("1.200g", "1200g or 1.2g"),
        ("1.000", "1000 or 1.0"),
        ("954.545 g", "954545g or 954.5450g"),
    ],
)
def test_a_sign_that_might_mean_thousands_is_refused_either_way(text: str, sure: str) -> None:
    mark = "comma" if "," in text else "point"
    with pytest.raises(UnitError, match=f"no {mark} that might mean thousands: {sure}"):
        parse_mass(text)
    for each in sure.split(" or "):
        if not each.startswith("-"):
            parse_mass(each)


def test_what_is_not_counted_in_thousands_is_in_no_doubt() -> None:
    assert parse_mass("1.250kg") == 1250
    assert parse_percent("66.667%") == Fraction(66667, 100000)
    with pytest.raises(UnitError, match="point that might mean thousands"):
        parse_count("1.000")
    with pytest.raises(UnitError, match="point that might mean thousands"):
        parse_duration("1.440", bare="min")


def test_a_point_in_a_file_is_a_decimal_point() -> None:
    assert parse_mass(with_a_point("954.545g")) == Fraction("954.545")
    assert with_a_point("[1.234, 12.5, 1.2345, 0.125]") == "[1.2340, 12.5, 1.2345, 0.125]"


def test_a_comma_that_can_only_be_a_point_is_one() -> None:
    assert parse_mass("0,125kg") == 125
    assert parse_mass("1,5kg") == 1500
    assert parse_mass(",5kg") == parse_mass(".5kg") == 500


@given(st.decimals(0, 100_000, places=3))
def test_any_mass_is_read_exactly(grams: object) -> None:
    assert parse_mass(with_a_point(f"{grams}g")) == Fraction(str(grams))
    assert parse_mass(f"{grams}kg") == 1000 * Fraction(str(grams))


@pytest.mark.parametrize(
    ("text", "celsius"),
    [("25C", 25.0), ("25 °C", 25.0), ("25", 25.0), ("77F", 25.0), ("-40F", -40.0), ("32 °F", 0.0)],
)
def test_temperature(text: str, celsius: float) -> None:
    assert parse_temperature(text).celsius == pytest.approx(celsius, abs=1e-9)


@pytest.mark.parametrize("text", ["25K", "25X", "warm", "-300C"])
def test_what_is_no_temperature_is_refused(text: str) -> None:
    with pytest.raises(UnitError, match="expected a temperature"):
        parse_temperature(text)


def test_a_difference_is_not_a_temperature() -> None:
    assert parse_difference("3.6F").kelvin == pytest.approx(2.0)
    assert parse_difference("2C") == parse_difference("2K") == TemperatureDifference(2.0)
    assert Temperature(25.0) - Temperature(18.0) == TemperatureDifference(7.0)
    assert Temperature(18.0) + TemperatureDifference(7.0) == Temperature(25.0)
    with pytest.raises(TypeError):
        Temperature(18.0) + Temperature(7.0)  # type: ignore[operator]


@pytest.mark.parametrize(
    ("text", "hour", "minute"),
    [("15:00", 15, 0), ("3:00 pm", 15, 0), ("3pm", 15, 0), ("12am", 0, 0), ("12:30 p.m.", 12, 30)],
)
def test_a_clock_is_read_by_twelve_hours_and_by_twenty_four(
    text: str, hour: int, minute: int
) -> None:
    assert parse_clock(text) == clock_time(hour, minute)


@pytest.mark.parametrize("text", ["15", "13pm", "0:30 am", "24:00", "3:60 pm", "3:00 xm", "pm"])
def test_what_is_no_time_of_the_clock(text: str) -> None:
    with pytest.raises(UnitError, match="3:00 pm"):
        parse_clock(text)


@pytest.mark.parametrize(
    ("text", "minutes"), [("90min", 90), ("1.5h", 90), ("1.5", 90), ("2d", 2880), ("30s", 0.5)]
)
def test_duration(text: str, minutes: float) -> None:
    assert parse_duration(text) == timedelta(minutes=minutes)


def test_a_bare_duration_is_in_the_unit_asked_for() -> None:
    assert parse_duration("42", bare="min") == timedelta(minutes=42)


@pytest.mark.parametrize("text", ["90 moons", "-1h", "soon", "99999999999d"])
def test_what_is_no_duration_is_refused(text: str) -> None:
    with pytest.raises(UnitError, match="expected a duration"):
        parse_duration(text)


@pytest.mark.parametrize(
    ("minutes", "text"),
    [(45, "45 min"), (95, "1 h 35"), (120, "2 h"), (65, "1 h 05"), (4320, "3 days")],
)
def test_a_duration_is_printed(minutes: int, text: str) -> None:
    assert print_duration(timedelta(minutes=minutes)) == text


def test_a_number_has_no_idle_zeros() -> None:
    assert [print_number(each) for each in (25.0, 34.5, -0.01, 100)] == ["25", "34.5", "0", "100"]


def test_an_instant_is_utc() -> None:
    assert parse_instant("2026-12-05T09:00", DUBLIN) == datetime(2026, 12, 5, 9, tzinfo=UTC)
    assert parse_instant("2026-07-04T09:00", DUBLIN) == datetime(2026, 7, 4, 8, tzinfo=UTC)
    assert parse_instant("2026-07-04T09:00+02:00", DUBLIN) == datetime(2026, 7, 4, 7, tzinfo=UTC)


def test_a_time_that_the_clocks_skip_is_refused() -> None:
    # The last Sunday of March at 01:00 UTC, Directive 2000/84/EC.
    with pytest.raises(InputError, match="the clocks go forward then in Europe/Dublin"):
        parse_instant("2026-03-29T01:30", DUBLIN)
    assert parse_instant("2026-03-29T02:00", DUBLIN) == datetime(2026, 3, 29, 1, tzinfo=UTC)


def test_a_time_that_comes_twice_asks_for_its_offset() -> None:
    # The last Sunday of October at 01:00 UTC, Directive 2000/84/EC.
    with pytest.raises(InputError, match="that time comes twice") as error:
        parse_instant("2026-10-25T01:30", DUBLIN)
    assert "2026-10-25T01:30:00+01:00" in error.value.expected
    first = parse_instant("2026-10-25T01:30+01:00", DUBLIN)
    second = parse_instant("2026-10-25T01:30+00:00", DUBLIN)
    assert second - first == timedelta(hours=1)


# Every quarter of an hour of the two nights on which Dublin's clocks change in 2026.
NIGHTS = [
    datetime(*day, tzinfo=UTC) + timedelta(minutes=15 * quarter)
    for day in ((2026, 3, 28), (2026, 10, 24))
    for quarter in range(16 * 4, 32 * 4)
]


@pytest.mark.parametrize("instant", NIGHTS, ids=lambda each: each.strftime("%d %b %H:%M"))
def test_a_clock_time_is_the_instant_that_the_tz_database_gives_it(instant: datetime) -> None:
    local = instant.astimezone(DUBLIN)
    assert parse_instant(local.isoformat(), DUBLIN) == instant
    bare = local.replace(tzinfo=None).isoformat()
    named = [
        each
        for each in NIGHTS
        if each.astimezone(DUBLIN).replace(tzinfo=None) == local.replace(tzinfo=None)
    ]
    if len(named) == 1:
        assert parse_instant(bare, DUBLIN) == instant
    else:
        with pytest.raises(InputError, match="that time comes twice"):
            parse_instant(bare, DUBLIN)


@pytest.mark.parametrize(
    "text",
    [
        "Saturday",
        "09:00",
        "2026-12-05",
        "20261205",
        "2026-12-05T25:00",
        "0001-01-01T00:00+10:00",
        "",
    ],
)
def test_what_is_no_time_is_refused(text: str) -> None:
    with pytest.raises(UnitError, match=r"a (date and )?time"):
        parse_instant(text, DUBLIN)


def test_what_is_no_zone_is_refused() -> None:
    with pytest.raises(InputError, match="a zone name such as Europe/Dublin"):
        parse_zone("Skerry/Hall")


def test_a_zone_without_end_is_none() -> None:
    with pytest.raises(InputError, match="a zone name"):
        parse_zone("a/" * 2000)
