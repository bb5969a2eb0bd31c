"""Read the [oven] of a kitchen file."""

from __future__ import annotations

from pointage.bounds import OVEN_OFFSET_K, STEAM_MIN
from pointage.kitchen import shape
from pointage.kitchen.heater import read_heater
from pointage.kitchen.kitchen import Oven
from pointage.quantities import parse_duration
from pointage.toml import place_of


def read_oven(table: shape.OvenTable, source: str) -> Oven:
    """The oven that `table` describes. Raises InputError with `source`, the file's name."""

    def field(key: str) -> str:
        return place_of(source, "oven", key)

    preheat = parse_duration(table.preheat, field("preheat"), bare="min")
    steam = None if table.steam is None else STEAM_MIN.read(table.steam, field("steam"))
    return Oven(
        name=table.name,
        loaves=table.loaves,
        rolls=table.rolls,
        preheat_minutes=preheat.total_seconds() / 60,
        heater=read_heater(table, source),
        surface=table.surface,
        offset_k=OVEN_OFFSET_K.read(table.offset, field("offset")),
        steam_minutes=steam,
    )
