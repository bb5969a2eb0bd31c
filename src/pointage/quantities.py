"""Read and print quantities: grams, temperatures, durations, instants.

Inside, masses are exact grams (`Fraction`), temperatures are degrees Celsius and instants are UTC.
A temperature (a point on the scale) and a temperature difference (a distance on it) are two types:
25 °C is 77 °F, but a difference of 2 °C is one of 3.6 °F.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta
from decimal import Decimal
from fractions import Fraction
from math import floor, inf, isfinite, log10
from typing import overload
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from pointage.errors import InputError, UnitError
from pointage.language import say, written

ABSOLUTE_ZERO_C = -273.15

GRAMS_PER = {
    "g": Fraction(1),
    "kg": Fraction(1000),
    "mg": Fraction(1, 1000),
    "oz": Fraction("28.349523125"),  # international avoirdupois ounce, exact by definition
    "lb": Fraction("453.59237"),  # international avoirdupois pound, exact by definition
}
_QUART = Fraction("0.946352946")  # of the United States, 57.75 cubic inches exactly
LITRES_PER = {
    "l": Fraction(1),
    "ml": Fraction(1, 1000),
    "cl": Fraction(1, 100),
    "qt": _QUART,
    "quart": _QUART,
    "quarts": _QUART,
}
MILLIMETRES_PER = {
    "mm": Fraction(1),
    "cm": Fraction(10),
    "m": Fraction(1000),
    "in": Fraction("25.4"),  # international inch, exact by definition
}
SECONDS_PER = {"s": 1, "min": 60, "h": 3600, "d": 86400}
LONGEST_DATE = len("2026-12-05")
YEARS = (1900, 2199)
"""Of every date that is typed: far from both ends of the calendar, where no sum can be made."""
LONGEST_ZONE = 60

EXACT = 1e15  # what is more has digits in binary that nobody typed
MOST_DIGITS = 30  # a number that takes more was not meant

_NUMBER = re.compile(r"^\s*([+-]?(?:\d+(?:[.,]\d+)?|[.,]\d+))\s*([^\d\s].*?)?\s*$")
_THOUSANDS_PERHAPS = re.compile(r"([+-]?[1-9]\d{0,2})([.,])(\d{3})")
_CLOCK = re.compile(r"(\d{1,2})(?::(\d{2})(?::00)?)?\s*(?:([ap])\.?\s?m\.?)?", re.IGNORECASE)
_GLUED = re.compile(r"T(?=\d\d:\d\d$|$)")  # a day and a time of two fields
_A_POINT = re.compile(r"(?<![\d.,])([1-9]\d{0,2}\.\d{3})(?!\d|[.,]\d)")
COUNTED_IN_THOUSANDS = {"g", "mg", "ml", "mm", "m", "ft", "w", "s", "min", "pieces"}
"""Units in which a point before three digits may be meant for thousands too; see split_number."""


@dataclass(frozen=True, slots=True, order=True)
class TemperatureDifference:
    """A distance on the temperature scale, in kelvin (the same number in °C)."""

    kelvin: float

    def __mul__(self, factor: float) -> TemperatureDifference:
        return TemperatureDifference(self.kelvin * factor)

    __rmul__ = __mul__

    def __neg__(self) -> TemperatureDifference:
        return TemperatureDifference(-self.kelvin)


@dataclass(frozen=True, slots=True, order=True)
class Temperature:
    """A point on the temperature scale, in degrees Celsius."""

    celsius: float

    @property
    def fahrenheit(self) -> float:
        return self.celsius * 9 / 5 + 32

    def __add__(self, other: TemperatureDifference) -> Temperature:
        if not isinstance(other, TemperatureDifference):
            return NotImplemented
        return Temperature(self.celsius + other.kelvin)

    @overload
    def __sub__(self, other: Temperature) -> TemperatureDifference: ...
    @overload
    def __sub__(self, other: TemperatureDifference) -> Temperature: ...
    def __sub__(
        self, other: Temperature | TemperatureDifference
    ) -> TemperatureDifference | Temperature:
        if isinstance(other, Temperature):
            return TemperatureDifference(self.celsius - other.celsius)
        if isinstance(other, TemperatureDifference):
            return Temperature(self.celsius - other.kelvin)
        return NotImplemented


def split_number(text: str, field: str, expected: str, bare: str = "") -> tuple[Fraction, str]:
    """The number and the unit of "1.2kg"; the unit is "" for a bare number, which is in `bare`.

    A comma stands for the point, but "1,200" is 1.2 to one reader and 1200 to another, so a comma
    before three digits is refused. "1.200 g" is as doubtful and is refused as well, but only in
    units that are counted in thousands: 1.250 kg is what a scale shows, and 66.667 % is a third.
    Raises UnitError naming the field, also when there is no number or one of far too many digits.
    """
    match = _NUMBER.match(text)
    if match is None:
        raise UnitError(field, repr(text), expected)
    if len(match[1]) > MOST_DIGITS:
        raise UnitError(
            field,
            f"{match[1][:12]}…",
            say("{expected}, of {most} digits at most", expected=expected, most=MOST_DIGITS),
        )
    unit = (match[2] or "").strip()
    if unit[:1] in (".", ","):  # "1,234.5": two marks, of which neither is sure
        raise UnitError(field, repr(text), expected)
    doubtful = _THOUSANDS_PERHAPS.fullmatch(match[1])
    if doubtful and (doubtful[2] == "," or (unit or bare).lower() in COUNTED_IN_THOUSANDS):
        part = doubtful[3].rstrip("0")
        part = f"{part}0" if len(part) == len(doubtful[3]) else part or "0"
        sure = {
            "expected": expected,
            "one": f"{doubtful[1]}{doubtful[3]}{unit}",
            "other": f"{doubtful[1]}.{part}{unit}",
        }
        if doubtful[2] == ",":
            expected = say(
                "{expected}, with no comma that might mean thousands: {one} or {other}", **sure
            )
        else:
            expected = say(
                "{expected}, with no point that might mean thousands: {one} or {other}", **sure
            )
        raise UnitError(field, repr(text), expected)
    return Fraction(match[1].replace(",", ".")), unit


def with_a_point(text: str) -> str:
    """`text` from a file or a program, where a point is a decimal point: never in doubt.

    "954.545g" becomes "954.5450g", which split_number reads.
    """
    return _A_POINT.sub(r"\g<1>0", text)


def parse_mass(text: str, field: str = "mass") -> Fraction:
    """Exact grams of "600g", "1.2kg", "8oz" or "600" (grams). Raises UnitError."""
    expected = say("a mass such as 600g or 1.2kg")
    number, unit = split_number(text, field, expected, "g")
    factor = GRAMS_PER.get(unit.lower() or "g")
    if factor is None:
        raise UnitError(field, repr(text), expected)
    if number < 0:
        raise UnitError(field, repr(text), say("a mass that is not negative"))
    return number * factor


def parse_volume(text: str, field: str = "volume") -> Fraction:
    """Litres of "2l", "750ml" or "2" (litres), above nothing. Raises UnitError."""
    expected = say("a volume such as 2l or 750ml")
    number, unit = split_number(text, field, expected)
    litres = number * LITRES_PER.get(unit.lower() or "l", Fraction(0))
    if litres <= 0:
        raise UnitError(field, repr(text), expected)
    return litres


def parse_length(text: str, field: str = "length") -> Fraction:
    """Millimetres of "12cm", "5in" or "120" (millimetres), above nothing. Raises UnitError."""
    expected = say("a length such as 120mm or 12cm")
    number, unit = split_number(text, field, expected, "mm")
    length = number * MILLIMETRES_PER.get(unit.lower() or "mm", Fraction(0))
    if length <= 0:
        raise UnitError(field, repr(text), expected)
    return length


def _degrees(text: str, field: str, expected: str) -> tuple[Fraction, bool]:
    number, unit = split_number(text, field, expected)
    letter = unit.replace("°", "").replace("deg", "").strip().upper() or "C"
    if letter not in {"C", "F", "K"} or (letter == "K" and expected.startswith("a temperature ")):
        raise UnitError(field, repr(text), expected)
    return number, letter == "F"


def parse_temperature(text: str, field: str = "temperature") -> Temperature:
    """A temperature from "25C", "25 °C", "77F" or "25" (Celsius). Raises UnitError."""
    number, fahrenheit = _degrees(text, field, say("a temperature such as 25C or 77F"))
    celsius = float((number - 32) * 5 / 9 if fahrenheit else number)
    if celsius < ABSOLUTE_ZERO_C:
        raise UnitError(field, repr(text), say("a temperature above absolute zero"))
    return Temperature(celsius)


def parse_difference(text: str, field: str = "difference") -> TemperatureDifference:
    """A temperature difference from "2C", "3.6F", "2K" or "2" (kelvin). Raises UnitError."""
    number, fahrenheit = _degrees(
        text, field, say("a difference of temperature such as 2C or 3.6F")
    )
    return TemperatureDifference(float(number * 5 / 9 if fahrenheit else number))


def parse_duration(text: str, field: str = "duration", bare: str = "h") -> timedelta:
    """A duration from "90min", "1.5h", "2d"; a bare number is in the unit `bare`."""
    expected = say("a duration such as 90min or 1.5h")
    number, unit = split_number(text, field, expected, bare)
    seconds = SECONDS_PER.get(unit.lower() or bare)
    if seconds is None or number < 0:
        raise UnitError(field, repr(text), expected)
    try:
        return timedelta(seconds=float(number * seconds))
    except OverflowError:
        raise UnitError(
            field, repr(text), say("{expected}, and a shorter one", expected=expected)
        ) from None


def parse_count(text: str, field: str = "count", most: int = 10_000) -> int:
    """A whole number from 1 to `most`, such as "12". Raises UnitError."""
    expected = say("a whole number from 1 to {most}", most=most)
    number, unit = split_number(text, field, expected, "pieces")
    if unit or number.denominator != 1 or not 1 <= number <= most:
        raise UnitError(field, repr(text), expected)
    return int(number)


def parse_percent(text: str, field: str = "share") -> Fraction:
    """The share that "12%" or "12" percent is, 0 to 1. Raises UnitError."""
    expected = say("a percentage such as 12%, 0 to 100")
    number, unit = split_number(text, field, expected)
    if unit not in ("", "%") or not 0 <= number <= 100:
        raise UnitError(field, repr(text), expected)
    return number / 100


def parse_clock(text: str, field: str = "time") -> time:
    """A time of the clock such as "15:00", "3:00 pm" or "3pm". Raises UnitError."""
    match = _CLOCK.fullmatch(text.strip())
    hour, minute = (int(match[1]), int(match[2] or 0)) if match else (24, 0)
    half = (match[3] or "").lower() if match else ""
    if half:
        hour = hour % 12 + (12 if half == "p" else 0) if 1 <= hour <= 12 else 24
    if hour > 23 or minute > 59 or (match and match[2] is None and not half):
        raise UnitError(field, repr(text), say("a clock time such as 15:00 or 3:00 pm"))
    return time(hour, minute)


def parse_zone(text: str, field: str = "zone") -> ZoneInfo:
    """A zone of the tz database, such as Europe/Dublin."""
    try:
        if len(text) > LONGEST_ZONE:  # a path without end, to who looks it up
            raise ValueError
        return ZoneInfo(text)
    except (ZoneInfoNotFoundError, ValueError, OSError):
        raise InputError(field, repr(text), say("a zone name such as Europe/Dublin")) from None


def parse_day(text: str, field: str = "day") -> date:
    """A day such as "2026-12-05", of a year within YEARS. Raises UnitError."""
    try:
        day = date.fromisoformat(text.strip())
    except ValueError:
        raise UnitError(field, repr(text), say("a date such as 2026-12-05")) from None
    _check_year(day, text, field)
    return day


def _check_year(day: date, text: str, field: str) -> None:
    first, last = YEARS
    if not first <= day.year <= last:
        raise UnitError(field, text, say("a time from {first} to {last}", first=first, last=last))


def parse_instant(text: str, zone: ZoneInfo, field: str = "time") -> datetime:
    """The UTC instant of a local clock time such as "2026-12-05T09:00" in `zone`.

    A time with its own offset ("…+01:00", "…Z") is taken as it is. A clock time that a change of
    the clocks skips, or that happens twice, is refused, for it names no instant or two; and so is
    a date without a time, and a year outside YEARS.
    """
    expected = say("a date and time such as 2026-12-05T09:00")
    typed = repr(_GLUED.sub(" ", text).strip())
    if len(text.strip()) <= LONGEST_DATE:  # Python would take it for midnight
        raise UnitError(field, typed, expected)
    try:
        local = datetime.fromisoformat(text.strip())
        _check_year(local, text, field)
        if local.tzinfo is not None:
            return local.astimezone(UTC)
        early = local.replace(tzinfo=zone, fold=0)
        late = local.replace(tzinfo=zone, fold=1)
        instant = early.astimezone(UTC)
        back = instant.astimezone(zone).replace(tzinfo=None)
    except ValueError:
        raise UnitError(field, typed, expected) from None
    if back != local:
        expected = say("a time that exists: the clocks go forward then in {zone}", zone=zone.key)
        raise InputError(field, text, expected)
    if early.utcoffset() != late.utcoffset():
        raise InputError(
            field,
            text,
            say(
                "the same with its offset, such as {early}: the clocks go back then in {zone} and "
                "that time comes twice",
                early=early.isoformat(),
                zone=zone.key,
            ),
        )
    return instant


def print_number(value: float, digits: int = 1) -> str:
    """A number with at most `digits` decimals and no idle zeros: 25.0 prints as 25."""
    text = f"{value:.{digits}f}"
    text = text.rstrip("0").rstrip(".") if "." in text else text
    return "0" if text == "-0" else text


def print_measure(value: float | Fraction, unit: str) -> str:
    """A number and its unit as a person writes them, however much: "850 g", "100000 kg"."""
    number = float(value)
    if unit == "g" and abs(number) >= 10_000:
        number, unit = float(Decimal(repr(number)) / 1000), "kg"
    digits = 0
    if number and isfinite(number):
        digits = max(0, 5 - floor(log10(abs(number))))
    text = print_number(number, min(digits, 9))
    if EXACT <= abs(number) < inf:
        text = f"{Decimal(repr(number)):f}"
    return f"{written(text)} {unit}".strip()


def print_duration(duration: timedelta) -> str:
    """As "1 h 35", "45 min" or "3 days"."""
    minutes = round(duration.total_seconds() / 60)
    hours, rest = divmod(minutes, 60)
    if hours == 0:
        return say("{minutes} min", minutes=rest)
    if hours >= 48:
        days, left = divmod(hours, 24)
        if left == 0:
            return say("{days} days", days=days)
        return say("{days} days {hours} h", days=days, hours=left)
    if rest == 0:
        return say("{hours} h", hours=hours)
    return say("{hours} h {minutes:02d}", hours=hours, minutes=rest)
