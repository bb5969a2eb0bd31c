"""What the single values of a kitchen file can be, read as they stand in its tables."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from datetime import date, datetime, time
from fractions import Fraction
from math import isfinite
from typing import Any
from zoneinfo import ZoneInfo

from pydantic import ValidationInfo

from pointage.bounds import ANYWHERE_C, FRIDGE_C, OUTDOORS_C, PLACE_C, POWER_KW, Bound
from pointage.errors import InputError, UnitError
from pointage.language import say
from pointage.mixture.flours import flour_record
from pointage.money import parse_currency, parse_money
from pointage.quantities import (
    parse_clock,
    parse_difference,
    parse_duration,
    parse_instant,
    parse_volume,
    parse_zone,
    split_number,
)
from pointage.toml import names_of, nearest

BY_KIND: Mapping[object, Bound] = {
    "fridge": FRIDGE_C, "outdoors": OUTDOORS_C, None: ANYWHERE_C
}  # fmt: skip
KILOWATTS_PER = {"kw": Fraction(1), "w": Fraction(1, 1000)}
CURRENCY = "EUR"
ANY_YEAR = 2026  # one without a leap day


def celsius(text: str, field: str, kind: object) -> float:
    """The temperature of a place of this kind; of one whose kind is not known, of any."""
    return BY_KIND.get(kind, PLACE_C).read(text, field)


def kelvin(text: str, field: str) -> float:
    return parse_difference(text, field).kelvin


def hour(text: str, field: str) -> float:
    """The hour of the clock: 7.5 for half past seven."""
    clock = parse_clock(text, field)
    return clock.hour + clock.minute / 60


def day(text: str, field: str) -> float:
    """Days from 1 January of a date such as 08-05."""
    month, _, number = text.strip().partition("-")
    try:
        return float(date(ANY_YEAR, int(month), int(number)).timetuple().tm_yday - 1)
    except (ValueError, OverflowError):
        raise UnitError(field, repr(text), say("a month and day such as 08-05")) from None


def litres(text: str, field: str) -> float:
    return float(parse_volume(text, field))


def minutes(text: str, field: str) -> float:
    return parse_duration(text, field, bare="min").total_seconds() / 60


def hours(text: str, field: str) -> float:
    return parse_duration(text, field).total_seconds() / 3600


def power(text: str, field: str) -> Fraction:
    """Kilowatts of an oven."""
    number, unit = split_number(text, field, POWER_KW.expected)
    found = number * KILOWATTS_PER.get(unit.lower() or "kw", Fraction())
    POWER_KW.check(found, field, repr(text))
    return found


def seed(text: str, field: str) -> float:
    """The share that a percentage above 0 is."""
    expected = say("a percentage such as 100")
    number, unit = split_number(text, field, expected)
    if unit not in ("", "%"):
        raise UnitError(field, repr(text), expected)
    if number <= 0:
        raise InputError(field, repr(text), say("a percentage above 0"))
    return float(number) / 100


def span(text: str, field: str) -> tuple[time, time]:
    """Both ends of "22:30-06:00" or "10:30 pm to 6 am"; a span whose end is the earlier clock time
    passes midnight."""
    ends = re.split(r"\s*[-–—]\s*|\s+(?:to|till|until)\s+", text.strip())
    expected = say("a span of the clock such as 22:30-06:00 or 10:30 pm to 6 am")
    if len(ends) != 2:
        raise UnitError(field, repr(text), expected)
    try:
        start, end = (parse_clock(each, field) for each in ends)
    except UnitError:
        raise UnitError(field, repr(text), expected) from None
    if start == end:
        raise InputError(field, repr(text), say("a span with two different ends"))
    return start, end


def instant(text: str, field: str, zone: ZoneInfo) -> datetime:
    return parse_instant(text, zone, field)


def one_of(text: str, field: str, known: Sequence[str]) -> str:
    """One of these names. Raises InputError with the nearest."""
    if text not in known:
        raise InputError(field, repr(text), nearest(text, known))
    return text


def mixer(text: str, field: str, known: Sequence[str]) -> str:
    """The mixer that doughs are mixed in."""
    if not known:
        raise InputError(field, repr(text), say("a [[mixer]] of that name"))
    return one_of(text, field, known)


def price(text: str, field: str, currency: str) -> Fraction:
    """The price of a kWh, in the kitchen's currency."""
    found, named = parse_money(text, field, currency)
    if named != currency:
        expected = say("a price in {currency}, the kitchen's currency", currency=currency)
        raise InputError(field, repr(text), expected)
    return found


def flours(parts: Mapping[str, float]) -> None:
    """Raises InputError for parts that are nothing, or of no flour."""
    if not all(isfinite(part) and part > 0 for part in parts.values()):
        raise InputError("", repr(dict(parts)), say("parts of flour above 0"))
    for kind in parts:
        flour_record(kind, field="")


def kind_beside(info: ValidationInfo) -> Any:
    """The kind of the same table; None where that is at fault itself."""
    return info.data.get("kind")


def places_of_file(info: ValidationInfo) -> list[str]:
    """The names of the places in the file, also of those that are at fault, or no longer there."""
    gone = (info.context or {}).get("gone", [])
    before = [each for each in gone if isinstance(each, str)] if isinstance(gone, list) else []
    return [*_names(info, "place"), *before]


def mixers_of_file(info: ValidationInfo) -> list[str]:
    return _names(info, "mixer")


def _names(info: ValidationInfo, kind: str) -> list[str]:
    return [name for name in names_of(info.context or {}, kind) if name]


def currency_of_file(info: ValidationInfo) -> str:
    """The kitchen's currency; the usual one where that is at fault itself."""
    try:
        return parse_currency(str((info.context or {}).get("currency", CURRENCY)))
    except InputError:
        return CURRENCY


def zone_of_file(info: ValidationInfo) -> ZoneInfo:
    """The zone of the file; UTC where that is at fault itself."""
    try:
        return parse_zone(str((info.context or {}).get("zone")))
    except InputError:
        return ZoneInfo("UTC")
