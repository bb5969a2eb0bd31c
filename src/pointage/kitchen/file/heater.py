"""What the oven draws, as the kitchen file gives it."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from pointage.kitchen.file import shape


@dataclass(frozen=True, slots=True)
class Heater:
    """What an oven draws: its power in kW, and the shares of it while heating up and baking."""

    power_kw: Fraction
    heating_duty: Fraction
    baking_duty: Fraction


def read_heater(table: shape.OvenTable) -> Heater | None:
    """The heater of an oven; None where its power is not given."""
    if table.power is None:
        return None
    return Heater(table.power, table.heating_duty, table.baking_duty)
