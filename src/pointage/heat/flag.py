"""What to know of a figure that a calculation was not made for, or that bodes ill, as a code.

Words are made where it is shown.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum


class FlagCode(StrEnum):
    """What is flagged. After each, its unit."""

    HYDRATION = "hydration"  # a share of the flour
    SALT = "salt"  # a share of the flour; above `high`
    WARM_FOR_YEAST = "warm-for-yeast"  # °C; above `low`
    TEMPERATURE = "temperature"  # °C

    MASS = "mass"  # g
    OVEN = "oven"  # °C
    ALTITUDE = "altitude"  # m
    START = "start"  # °C
    RAW = "raw"  # K below boiling
    DARK = "dark"  # minutes until the crust is above `low` °C


@dataclass(frozen=True, slots=True)
class Flag:
    """A figure outside `low` to `high`, in the unit of its code; of a bound that it has not, 0."""

    code: FlagCode
    value: float
    low: float = 0.0
    high: float = 0.0
