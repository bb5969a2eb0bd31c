"""Energy for the oven: what one firing takes, and each piece's share of it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from pointage.errors import RangeError
from pointage.kitchen.file.heater import Heater


@dataclass(frozen=True, slots=True)
class Load:
    """One load of a firing: minutes from the door's opening to bread out, and its pieces."""

    key: str
    minutes: Fraction
    pieces: int


def firing_kwh(heater: Heater, heating: Fraction, hot: Fraction) -> Fraction:
    """Energy of one firing, kWh.

    E = P · (duty_heating · t_heating + duty_baking · t_hot). Units: power kW, times minutes;
    t_hot: from hot to the last load out, gaps between loads as well. Raises RangeError for a time
    below nothing.
    """
    for minutes in (heating, hot):
        if minutes < 0:
            raise RangeError("time", float(minutes), 0.0, float("inf"), "min")
    drawn = heater.heating_duty * heating + heater.baking_duty * hot
    return heater.power_kw * drawn / 60


def shares(loads: Sequence[Load]) -> list[Fraction]:
    """Each load's share of its firing: by its minutes in the oven. They sum to 1.

    Heating up and gaps are borne by all loads alike, minute for minute; within a load each piece
    bears the same. Raises RangeError for loads that take no time.
    """
    whole = sum((load.minutes for load in loads), Fraction())
    if whole <= 0:
        raise RangeError("time in the oven", float(whole), 0.0, float("inf"), "min")
    return [load.minutes / whole for load in loads]
