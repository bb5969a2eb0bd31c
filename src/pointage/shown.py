"""How quantities and times are shown to whoever reads: decided at the door, asked where words are
made.

Inside, everything is grams, °C and UTC. A door (a page, a command) settles once how its reader
wants them, and makes its words within `showing`; what is made outside any is °C and 24 hours. No
figure may depend on it, and nothing that is kept for other readers is made within it.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import dataclass, fields, replace
from datetime import date, datetime, time
from fractions import Fraction
from math import ceil, floor
from typing import Literal, get_args, get_type_hints

from pointage.language import language, say, written
from pointage.quantities import GRAMS_PER, TemperatureDifference, print_number

FIXED = "\u00a0"  # a space at which no line ends

Degrees = Literal["C", "F"]
KELVIN_TO = {"C": 1.0, "F": 1.8}


@dataclass(frozen=True, slots=True)
class Shown:
    """How a reader is shown things.

    degrees: the scale of temperatures. clock: hours of it. ounces: whether ounces and pounds stand
    beside the grams. dates: what comes first in one. week: its first day. money: where its
    currency stands.
    """

    degrees: Degrees = "C"
    clock: Literal["24", "12"] = "24"
    ounces: Literal["no", "yes"] = "no"
    dates: Literal["day", "month", "year"] = "day"
    week: Literal["monday", "saturday", "sunday"] = "monday"
    money: Literal["after", "before"] = "after"

    def with_(self, said: Mapping[str, str]) -> Shown:
        """The same, but for what is said; a word that is none of a field's changes nothing."""
        known = {name: said[name] for name, words in WORDS.items() if said.get(name) in words}
        return replace(self, **known)  # type: ignore[arg-type]


WORDS: Mapping[str, tuple[str, ...]] = {
    each.name: get_args(get_type_hints(Shown)[each.name]) for each in fields(Shown)
}
"""What each field may say, the usual first."""

PLAIN = Shown()
_shown: ContextVar[Shown] = ContextVar("shown", default=PLAIN)
_settled: ContextVar[bool] = ContextVar("settled", default=True)


def shown() -> Shown:
    """How things are shown here."""
    return _shown.get()


@contextmanager
def showing(how: Shown) -> Iterator[None]:
    """Within it things are shown so; in this thread or task alone."""
    token = _shown.set(how)
    try:
        yield
    finally:
        _shown.reset(token)


def show(how: Shown) -> None:
    """Show things so from here on, in this thread or task."""
    _shown.set(how)


def show_here(how: Shown, *, whatever_the_kitchen: bool = False) -> None:
    """Show things so from here on, and whatever kitchen is opened, if that is said."""
    show(how)
    _settled.set(whatever_the_kitchen)


def follow(kitchen_shows: Mapping[str, str]) -> None:
    """Show things as a kitchen has them, unless it was settled otherwise."""
    if not _settled.get():
        show(shown().with_(kitchen_shows))


def in_degrees(celsius: float) -> float:
    """A temperature as a number of the degrees shown."""
    return celsius if shown().degrees == "C" else celsius * 9 / 5 + 32


def of_degrees(number: float) -> float:
    """The temperature in °C that a number of the degrees shown is."""
    return number if shown().degrees == "C" else (number - 32) * 5 / 9


def apart_in_degrees(kelvin: float) -> float:
    """A difference of temperature as a number of the degrees shown."""
    return kelvin * KELVIN_TO[shown().degrees]


def degrees_sign() -> str:
    """ "°C" or "°F"."""
    return f"°{shown().degrees}"


def warmth(celsius: float, *, tenths: bool = False) -> str:
    """A temperature as people say it: "24.5 °C" to half a degree, "76 °F" to a whole one.

    tenths: for what a thermometer was read to.
    """
    number = warmth_number(celsius, tenths=tenths)
    return say("{number} {degrees}", number=number, degrees=degrees_sign())


def warmth_number(celsius: float, *, tenths: bool = False) -> str:
    """The same without its unit."""
    value = in_degrees(celsius) if tenths else _rounded(celsius)
    return written(print_number(value, 1).replace("-", "−"))


def _rounded(celsius: float) -> float:
    steps = 2 if shown().degrees == "C" else 1
    return floor(in_degrees(celsius) * steps + 0.5) / steps


def apart_as_shown(one: float, other: float) -> str:
    """How far two temperatures in °C are apart as `warmth` has them: 76 °F and 99 °F are 23 °F."""
    number = print_number(abs(_rounded(one) - _rounded(other)), 1)
    return say("{number} {degrees}", number=number, degrees=degrees_sign())


def at_most(celsius: float) -> str:
    """A limit that can be had, to a tenth: never above it."""
    return warmth(of_degrees(floor(in_degrees(celsius) * 10 + 1e-6) / 10), tenths=True)


def at_least(celsius: float) -> str:
    """The same from the other side: never below it."""
    return warmth(of_degrees(ceil(in_degrees(celsius) * 10 - 1e-6) / 10), tenths=True)


def warmth_span(low: float, high: float) -> str:
    """ "24 to 28 °C"."""
    return say("{low} to {high}", low=warmth_number(low), high=warmth(high))


def apart(difference: TemperatureDifference | float, digits: int = 1) -> str:
    """A difference of temperature: "2 °C", "3.6 °F"."""
    kelvin = difference if isinstance(difference, int | float) else difference.kelvin
    number = print_number(apart_in_degrees(kelvin), digits)
    return say("{number} {degrees}", number=number, degrees=degrees_sign())


DAYS = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")
MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")
"""In English: the tables of other languages take a moment to read."""


def day_name(day: date) -> str:
    """The day of the week, short: "Sat"."""
    here = language()
    return (DAYS if here.tag == "en" else here.days)[day.weekday()]


def month_name(day: date) -> str:
    """The month, short: "Dec"."""
    here = language()
    return (MONTHS if here.tag == "en" else here.months)[day.month - 1]


def long_month_name(day: date) -> str:
    """The month, whole: "December"."""
    here = language()
    return f"{day:%B}" if here.tag == "en" else here.long_months[day.month - 1]


def clock_text(at: datetime | time) -> str:
    """A time of the clock: "09:00", or "9:00 am"."""
    if shown().clock == "24":
        return f"{at.hour:02d}:{at.minute:02d}"  # a tenth of what strftime takes
    return f"{at.hour % 12 or 12}:{at.minute:02d}{FIXED}{_half(at.hour)}"


def hour_text(hour: int) -> str:
    """A full hour on a narrow scale: "15", or "3 pm"."""
    if shown().clock == "24":
        return f"{hour:02d}"
    return f"{hour % 12 or 12}{FIXED}{_half(hour)}"


def _half(hour: int) -> str:
    """Which half of the day an hour is in."""
    return say("am") if hour % 24 < 12 else say("pm")


def scale_hour(hour: int) -> str:
    """An hour at the head of a day's scale, from 0 to 24: "15", or "3 pm"."""
    return str(hour) if shown().clock == "24" else hour_text(hour)


def date_text(day: date) -> str:
    """A day of a month: "5 Dec", or "Dec 5"."""
    month = month_name(day)
    if shown().dates == "day":
        return say("{day} {month}", day=day.day, month=month)
    return say("{month} {day}", day=day.day, month=month)


def dated_text(day: date) -> str:
    """A date with its year: "5 Dec 2026", "Dec 5, 2026", "2026 Dec 5"."""
    match shown().dates:
        case "day":
            return say("{date} {year}", date=date_text(day), year=day.year)
        case "month":
            return say("{date}, {year}", date=date_text(day), year=day.year)
    return say("{year} {date}", date=date_text(day), year=day.year)


def long_date_text(day: date) -> str:
    """The same with the month's whole name: "05 December 2026", "December 5, 2026"."""
    month = long_month_name(day)
    match shown().dates:
        case "day":
            return say("{day:02d} {month} {year}", day=day.day, month=month, year=day.year)
        case "month":
            return say("{month} {day}, {year}", day=day.day, month=month, year=day.year)
    return say("{year} {month} {day}", day=day.day, month=month, year=day.year)


def first_weekday() -> int:
    """On which day weeks begin: 0 is Monday, as `date.weekday` has it."""
    return {"monday": 0, "saturday": 5, "sunday": 6}[shown().week]


def day_text(day: date) -> str:
    """A day with that of the week: "Sat 5 Dec", "Sat Dec 5"."""
    return say("{weekday} {date}", weekday=day_name(day), date=date_text(day))


def ounces_text(grams: float | Fraction) -> str:
    """What stands beside grams where ounces are wanted: "1 lb 3.3 oz"; else nothing."""
    if shown().ounces == "no":
        return ""
    exact = float(grams) / float(GRAMS_PER["oz"])
    tenths = round(exact * 10)
    if tenths >= 160:  # from a pound on nobody asks for tenths
        tenths = 10 * floor(exact + 0.5)
    pounds, rest = divmod(tenths, 160)
    if tenths == 0 and grams > 0:
        return say("under {number}\u00a0oz", number="0.1")
    ounces = f"{written(print_number(rest / 10))}{FIXED}oz"
    if not pounds:
        return ounces
    return f"{pounds}{FIXED}lb {ounces}" if rest else f"{pounds}{FIXED}lb"


def with_ounces(text: str, grams: float | Fraction) -> str:
    """A mass in grams as it was printed, with ounces beside it where they are wanted."""
    beside = ounces_text(grams)
    return f"{text} ({beside})" if beside else text
