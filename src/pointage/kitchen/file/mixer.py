"""What warms a dough as it is mixed: the mixers of a kitchen, and reading them from its file."""

from __future__ import annotations

from dataclasses import dataclass
from typing import get_args

from pointage.errors import InputError
from pointage.kitchen.file.shape import MixerTable, MixingWay
from pointage.language import say
from pointage.science.mixing_work import LONGEST_MIN, mixing_heat
from pointage.science.wetting import heat_of_wetting
from pointage.toml import place_of

WAYS: tuple[str, ...] = get_args(MixingWay)

# A lean dough of 65 % hydration, kJ/(kg·K), and its flour at 14 % water; docs/kitchen.md says so.
DOUGH_HEAT = (1.84 + 0.65 * 4.18) / 1.65
DOUGH_WETTING = heat_of_wetting(0.14) / 1.65


@dataclass(frozen=True, slots=True)
class Mixer:
    """A mixer. friction_k: what a usual dough gains in it, in kelvin, as a thermometer says;
    power_w: what its motor gives to the dough; where neither is given, its way of mixing decides.
    """

    name: str
    way: str
    friction_k: float | None = None
    power_w: float | None = None

    def warming_k(self, minutes: float, dough_kg: float) -> float:
        """What it warms a dough by, in kelvin: as given, else its work and the flour's wetting."""
        if self.friction_k is not None:
            return self.friction_k
        if self.power_w is not None:
            work = self.power_w * minutes * 60 / 1000 / dough_kg
        else:
            work = mixing_heat(self.way, min(minutes, LONGEST_MIN))
        return (work + DOUGH_WETTING) / DOUGH_HEAT


def read_mixer(table: MixerTable, here: str) -> Mixer:
    """The mixer that `table` describes. Raises InputError with `here`, its place."""
    if table.friction is not None and table.power is not None:
        raise InputError(
            place_of(here, "power"), f"{table.power:g} W", say("either power or friction, not both")
        )
    return Mixer(table.name, table.way, table.friction, table.power)
