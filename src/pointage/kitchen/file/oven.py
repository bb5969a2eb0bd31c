"""Read the ovens of a kitchen file."""

from __future__ import annotations

from pointage.kitchen.file import shape
from pointage.kitchen.file.heater import read_heater
from pointage.kitchen.kitchen import Oven


def read_oven(table: shape.OvenTable) -> Oven:
    """The oven that `table` describes."""
    return Oven(
        name=table.name,
        loaves=table.loaves,
        rolls=table.rolls,
        preheat_minutes=table.preheat,
        heater=read_heater(table),
        surface=table.surface,
        offset_k=table.offset,
        steam_minutes=table.steam,
        cooling_minutes=table.cooling,
        hottest_c=table.hottest,
    )
