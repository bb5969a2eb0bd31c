"""Read the [[place]] tables of a kitchen file: what each place is, and how warm it is there."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from zoneinfo import ZoneInfo

from pointage.errors import InputError, UnitError
from pointage.heat.vessel import Air
from pointage.kitchen.file import shape
from pointage.kitchen.file.place_from_readings import (
    ClockReading,
    PlaceHistory,
    place_from_readings,
    usual_spread,
)
from pointage.kitchen.kitchen import Place, PlaceKind
from pointage.quantities import (
    parse_clock,
    parse_difference,
    parse_temperature,
    parse_volume,
)
from pointage.toml import place_of

# What a place can be, common practice with no source: outside these a unit was mistaken.
PLACE_C = (-5.0, 50.0)
FRIDGE_C = (0.0, 12.0)
OUTDOORS_C = (-40.0, 50.0)
WIDEST_K = 15.0
MOST_ROOM_L = 50_000.0  # a cold room
NONE_FOR_DOUGH = ("fridge", "outdoors")
ANY_YEAR = 2026  # one without a leap day


def read_places(
    tables: Sequence[shape.PlaceTable], zone: ZoneInfo, source: str
) -> tuple[Place, ...]:
    """The places of a kitchen. Raises InputError unless one is a fridge and one is for dough."""
    kinds = {each.kind for each in tables}
    if "fridge" not in kinds:
        raise InputError(place_of(source, "place"), "no fridge", "one [[place]] of kind fridge")
    if not kinds.difference(NONE_FOR_DOUGH):
        given = "only a fridge" if kinds == {"fridge"} else "only fridge and outdoors"
        raise InputError(place_of(source, "place"), given, "a [[place]] of kind room")
    return tuple(_place(each, zone, source) for each in tables)


def _place(table: shape.PlaceTable, zone: ZoneInfo, source: str) -> Place:
    here = place_of(source, f"place {table.name!r}")
    kind = PlaceKind(table.kind)
    if table.log is not None:
        raise InputError(
            place_of(here, "log"), repr(table.log.file), "a log that lies beside the file it is in"
        )
    if table.readings:
        history = _from_readings(table, kind, here)
    else:
        history = _from_numbers(table, kind, here)
    usual = Air.MOVING if kind is PlaceKind.OUTDOORS else Air.STILL
    air = usual if table.air is None else Air(table.air)
    room_l = _room(table.room, kind, place_of(here, "room"))
    return Place(table.name, kind, history.surroundings(zone, table.name), air, room_l)


def _room(text: str | None, kind: PlaceKind, field: str) -> float | None:
    if text is None:
        return None
    if kind is not PlaceKind.FRIDGE:
        raise InputError(field, repr(text), "it for a fridge alone")
    litres = float(parse_volume(text, field))
    if litres > MOST_ROOM_L:
        raise InputError(field, repr(text), f"a volume of at most {MOST_ROOM_L:g} l")
    return litres


def _from_readings(table: shape.PlaceTable, kind: PlaceKind, here: str) -> PlaceHistory:
    for key in ("temperature", "swing", "warmest", "yearly", "warmest_day"):
        given = getattr(table, key)
        if given is not None:
            raise InputError(
                place_of(here, key), repr(given), "either it or readings, which tell the same"
            )
    readings = []
    for number, each in enumerate(table.readings, start=1):
        field = place_of(here, f"reading {number}")
        clock = parse_clock(each.at, place_of(field, "at"))
        celsius = _celsius(each.temperature, kind, place_of(field, "temperature"))
        readings.append(ClockReading(clock.hour + clock.minute / 60, celsius))
    found = place_from_readings(readings, kind)
    if table.spread is None:
        return found
    return PlaceHistory(found.mean_c, found.swing_k, found.warmest_h, _spread(table, kind, here))


def _from_numbers(table: shape.PlaceTable, kind: PlaceKind, here: str) -> PlaceHistory:
    if table.temperature is None:
        raise InputError(
            place_of(here, "temperature"), "nothing", "a temperature such as 17C, or readings"
        )
    mean = _celsius(table.temperature, kind, place_of(here, "temperature"))
    swing, warmest = _swing(table.swing, table.warmest, ("swing", "warmest"), here)
    yearly, day = _swing(table.yearly, table.warmest_day, ("yearly", "warmest_day"), here)
    hour = 0.0
    if warmest is not None:
        clock = parse_clock(warmest, place_of(here, "warmest"))
        hour = clock.hour + clock.minute / 60
    return PlaceHistory(
        mean_c=mean,
        swing_k=swing,
        warmest_h=hour,
        spread_k=_spread(table, kind, here),
        yearly_k=yearly,
        warmest_day=0.0 if day is None else _day(day, place_of(here, "warmest_day")),
    )


def _swing(
    swing: str | None, warmest: str | None, keys: tuple[str, str], here: str
) -> tuple[float, str | None]:
    """Half the way from coldest to warmest and when that is: both are given or neither."""
    if swing is None:
        if warmest is not None:
            raise InputError(
                place_of(here, keys[0]), "nothing", f"a difference such as 2C beside {keys[1]!r}"
            )
        return 0.0, None
    kelvin = parse_difference(swing, place_of(here, keys[0])).kelvin
    if not 0 <= kelvin <= WIDEST_K:
        raise InputError(
            place_of(here, keys[0]), repr(swing), "half the way from coldest to warmest"
        )
    if warmest is None:
        when = "clock time" if keys[0] == "swing" else "date, such as 08-05,"
        raise InputError(place_of(here, keys[1]), "nothing", f"the {when} at which it is warmest")
    return kelvin, warmest


def _spread(table: shape.PlaceTable, kind: PlaceKind, here: str) -> float:
    if table.spread is None:
        return usual_spread(kind)
    kelvin = parse_difference(table.spread, place_of(here, "spread")).kelvin
    if not 0 <= kelvin <= WIDEST_K:
        raise InputError(
            place_of(here, "spread"),
            repr(table.spread),
            f"how far a day strays, a difference from 0C to {WIDEST_K:g}C",
        )
    return kelvin


def _celsius(text: str, kind: PlaceKind, field: str) -> float:
    celsius = parse_temperature(text, field).celsius
    (low, high), what = {
        PlaceKind.FRIDGE: (FRIDGE_C, "a fridge"),
        PlaceKind.OUTDOORS: (OUTDOORS_C, "the open air"),
    }.get(kind, (PLACE_C, "a place for dough"))
    if not low <= celsius <= high:
        raise InputError(field, repr(text), f"the temperature of {what}, {low:g} to {high:g} °C")
    return celsius


def _day(text: str, field: str) -> float:
    """Days from 1 January of a date such as 08-05."""
    month, _, day = text.strip().partition("-")
    try:
        return float(date(ANY_YEAR, int(month), int(day)).timetuple().tm_yday - 1)
    except (ValueError, OverflowError):
        raise UnitError(field, repr(text), "a month and day such as 08-05") from None
