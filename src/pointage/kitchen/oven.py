"""Read the ovens of a kitchen file."""

from __future__ import annotations

from collections.abc import Sequence

from pointage.errors import InputError
from pointage.kitchen import shape
from pointage.kitchen.heater import read_heater
from pointage.kitchen.kitchen import Oven
from pointage.quantities import parse_difference, parse_duration, parse_temperature
from pointage.toml import place_of

# Beyond these a unit was mistaken.
MOST_OFFSET_K = 60.0
MOST_STEAM_MIN = 60.0
MOST_COOLING_MIN = 24 * 60.0
HOTTEST_C = (100.0, 600.0)


def read_ovens(tables: Sequence[shape.OvenTable], source: str) -> tuple[Oven, ...]:
    """The ovens that `tables` describe. Raises InputError with `source`, the file's name."""
    if len(tables) == 1:
        return (_oven(tables[0], place_of(source, "oven")),)
    return tuple(_oven(each, place_of(source, f"oven {each.name!r}")) for each in tables)


def _oven(table: shape.OvenTable, here: str) -> Oven:
    def field(key: str) -> str:
        return place_of(here, key)

    def minutes(key: str, most: float) -> float | None:
        text: str | None = getattr(table, key)
        if text is None:
            return None
        found = parse_duration(text, field(key), bare="min").total_seconds() / 60
        if found > most:
            raise InputError(field(key), repr(text), f"{most:g}min at most")
        return found

    preheat = parse_duration(table.preheat, field("preheat"), bare="min")
    offset_k = parse_difference(table.offset, field("offset")).kelvin
    if abs(offset_k) > MOST_OFFSET_K:
        expected = f"a difference of at most {MOST_OFFSET_K:g} °C either way"
        raise InputError(field("offset"), repr(table.offset), expected)
    hottest_c = None
    if table.hottest is not None:
        hottest_c = parse_temperature(table.hottest, field("hottest")).celsius
        low, high = HOTTEST_C
        if not low <= hottest_c <= high:
            expected = f"a temperature of {low:g} to {high:g} °C"
            raise InputError(field("hottest"), repr(table.hottest), expected)
    return Oven(
        name=table.name,
        loaves=table.loaves,
        rolls=table.rolls,
        preheat_minutes=preheat.total_seconds() / 60,
        heater=read_heater(table, here),
        surface=table.surface,
        offset_k=offset_k,
        steam_minutes=minutes("steam", MOST_STEAM_MIN),
        cooling_minutes=minutes("cooling", MOST_COOLING_MIN),
        hottest_c=hottest_c,
    )
