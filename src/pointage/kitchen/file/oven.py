"""Read the ovens of a kitchen file."""

from __future__ import annotations

from collections.abc import Sequence

from pointage.bounds import (
    COOLING_MIN,
    HOTTEST_C,
    OVEN_OFFSET_K,
    STEAM_MIN,
    Bound,
)
from pointage.kitchen.file import shape
from pointage.kitchen.file.heater import read_heater
from pointage.kitchen.kitchen import Oven
from pointage.quantities import parse_duration
from pointage.toml import place_of


def read_ovens(tables: Sequence[shape.OvenTable], source: str) -> tuple[Oven, ...]:
    """The ovens that `tables` describe. Raises InputError with `source`, the file's name."""
    if len(tables) == 1:
        return (_oven(tables[0], place_of(source, "oven")),)
    return tuple(_oven(each, place_of(source, f"oven {each.name!r}")) for each in tables)


def _oven(table: shape.OvenTable, here: str) -> Oven:
    def field(key: str) -> str:
        return place_of(here, key)

    def said(bound: Bound, key: str) -> float | None:
        text: str | None = getattr(table, key)
        return None if text is None else bound.read(text, field(key))

    preheat = parse_duration(table.preheat, field("preheat"), bare="min")
    return Oven(
        name=table.name,
        loaves=table.loaves,
        rolls=table.rolls,
        preheat_minutes=preheat.total_seconds() / 60,
        heater=read_heater(table, here),
        surface=table.surface,
        offset_k=OVEN_OFFSET_K.read(table.offset, field("offset")),
        steam_minutes=said(STEAM_MIN, "steam"),
        cooling_minutes=said(COOLING_MIN, "cooling"),
        hottest_c=said(HOTTEST_C, "hottest"),
    )
