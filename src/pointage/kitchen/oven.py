"""Read the [oven] of a kitchen file."""

from __future__ import annotations

from pointage.errors import InputError
from pointage.kitchen import shape
from pointage.kitchen.heater import read_heater
from pointage.kitchen.kitchen import Oven
from pointage.quantities import parse_difference, parse_duration
from pointage.toml import place_of

# Beyond these a unit was mistaken.
MOST_OFFSET_K = 60.0
MOST_STEAM_MIN = 60.0


def read_oven(table: shape.OvenTable, source: str) -> Oven:
    """The oven that `table` describes. Raises InputError with `source`, the file's name."""

    def field(key: str) -> str:
        return place_of(source, "oven", key)

    preheat = parse_duration(table.preheat, field("preheat"), bare="min")
    offset_k = parse_difference(table.offset, field("offset")).kelvin
    if abs(offset_k) > MOST_OFFSET_K:
        expected = f"a difference of at most {MOST_OFFSET_K:g} °C either way"
        raise InputError(field("offset"), repr(table.offset), expected)
    steam = None
    if table.steam is not None:
        steam = parse_duration(table.steam, field("steam"), bare="min").total_seconds() / 60
        if steam > MOST_STEAM_MIN:
            raise InputError(field("steam"), repr(table.steam), f"{MOST_STEAM_MIN:g}min at most")
    return Oven(
        name=table.name,
        loaves=table.loaves,
        rolls=table.rolls,
        preheat_minutes=preheat.total_seconds() / 60,
        heater=read_heater(table, source),
        surface=table.surface,
        offset_k=offset_k,
        steam_minutes=steam,
    )
