"""Read the [[place]] tables of a kitchen file: what each place is, and how warm it is there."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any
from zoneinfo import ZoneInfo

from pointage.errors import MISSING, At, Faults, InputError
from pointage.heat.vessel import Air
from pointage.kitchen.file import shape, values
from pointage.kitchen.file.place_from_readings import (
    ClockReading,
    PlaceHistory,
    place_from_readings,
    usual_spread,
)
from pointage.kitchen.kitchen import Place, PlaceKind
from pointage.language import say
from pointage.toml import place_of, row_of, rows_of

MOST_ROOM_L = 50_000.0  # a cold room
NONE_FOR_DOUGH = ("fridge", "outdoors")


def check_kinds(table: Mapping[str, Any], source: str) -> None:
    """Raises InputError unless one place of a kitchen file is for dough."""
    kinds = {str(each.get("kind")) for each in rows_of(table, "place")}
    if not kinds:
        return  # the file's shape says so itself
    if not kinds.difference(NONE_FOR_DOUGH):
        given = say("only a fridge") if kinds == {"fridge"} else say("only fridge and outdoors")
        raise InputError(place_of(source, "place"), given, say("a [[place]] of kind room"))


def read_place(table: shape.PlaceTable, here: str, zone: ZoneInfo) -> Place:
    """The place that `table` describes. Raises InputError with `here`, its place in the file."""
    kind = PlaceKind(table.kind)
    faults = Faults()
    if table.log is not None:
        expected = say("a log in the same folder as this file")
        raise InputError(place_of(here, "log"), repr(table.log.file), expected)
    read = _from_readings if table.readings else _from_numbers
    history = faults.take(read, table, kind, here)
    usual = Air.MOVING if kind is PlaceKind.OUTDOORS else Air.STILL
    air = usual if table.air is None else Air(table.air)
    room_l = faults.take(_room, table.room, kind, place_of(here, "room"))
    faults.check()
    return Place(table.name, kind, history.surroundings(zone, table.name), air, room_l)


def _room(litres: float | None, kind: PlaceKind, field: str) -> float | None:
    if litres is None:
        return None
    if kind is not PlaceKind.FRIDGE:
        raise InputError(field, f"{litres:g} l", say("a room for a fridge only"))
    if litres > MOST_ROOM_L:
        raise InputError(
            field,
            f"{litres:g} l",
            say("a volume of at most {litres:g} l", litres=MOST_ROOM_L),
        )
    return litres


def _from_readings(table: shape.PlaceTable, kind: PlaceKind, here: str) -> PlaceHistory:
    faults = Faults()
    for key in ("temperature", "swing", "warmest", "yearly", "warmest_day"):
        if getattr(table, key) is not None:
            expected = say("either temperature or readings, not both")
            faults.found.append(
                InputError(place_of(here, key), say("a value beside readings"), expected)
            )
    readings = []
    for number, each in enumerate(table.readings):
        field = At(
            say("{place}, reading {number}", place=here, number=number + 1),
            row_of(here, "readings", number).path,
        )
        hour = faults.take(values.hour, each.at, place_of(field, "at"))
        place = place_of(field, "temperature")
        readings.append((hour, faults.take(values.celsius, each.temperature, place, kind.value)))
    faults.check()
    found = place_from_readings([ClockReading(*each) for each in readings], kind)
    if table.spread is None:
        return found
    return PlaceHistory(found.mean_c, found.swing_k, found.warmest_h, table.spread)


def _from_numbers(table: shape.PlaceTable, kind: PlaceKind, here: str) -> PlaceHistory:
    faults = Faults()
    if table.temperature is None:
        expected = say("a temperature such as 17C, or readings")
        faults.found.append(InputError(place_of(here, "temperature"), MISSING, expected))
    for swing, warmest in (("swing", "warmest"), ("yearly", "warmest_day")):
        faults.take(_check_pair, table, swing, warmest, here)
    faults.check()
    return PlaceHistory(
        mean_c=table.temperature or 0.0,
        swing_k=table.swing or 0.0,
        warmest_h=table.warmest or 0.0,
        spread_k=usual_spread(kind) if table.spread is None else table.spread,
        yearly_k=table.yearly or 0.0,
        warmest_day=table.warmest_day or 0.0,
    )


def _check_pair(table: shape.PlaceTable, swing: str, warmest: str, here: str) -> None:
    """Half the way from coldest to warmest and when that is: both are given or neither."""
    if getattr(table, swing) is None and getattr(table, warmest) is not None:
        expected = say("a difference such as 2C beside {warmest!r}", warmest=warmest)
        raise InputError(place_of(here, swing), MISSING, expected)
    if getattr(table, swing) is not None and getattr(table, warmest) is None:
        if swing == "swing":
            expected = say("the clock time at which it is warmest")
        else:
            expected = say("the date, such as 08-05, at which it is warmest")
        raise InputError(place_of(here, warmest), MISSING, expected)
