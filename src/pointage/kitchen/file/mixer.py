"""What warms a dough as it is mixed: the mixers of a kitchen, and reading them from its file."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import get_args

from pointage.bounds import FRICTION_K, MOTOR_W
from pointage.errors import InputError
from pointage.kitchen.file.shape import MixerTable, MixingWay
from pointage.science.mixing_work import LONGEST_MIN, mixing_heat
from pointage.science.wetting import heat_of_wetting
from pointage.toml import nearest, place_of

WAYS: tuple[str, ...] = get_args(MixingWay)

# A lean dough of 65 % hydration, kJ/(kg·K), and its flour at 14 % water; docs/kitchen.md says so.
DOUGH_HEAT = (1.84 + 0.65 * 4.18) / 1.65
DOUGH_WETTING = heat_of_wetting(0.14) / 1.65


@dataclass(frozen=True, slots=True)
class Mixer:
    """A mixer. friction_k: what a usual dough gains in it, in kelvin, as a thermometer says;
    power_w: what its motor gives to the dough; where neither is told, its way of mixing tells.
    """

    name: str
    way: str
    friction_k: float | None = None
    power_w: float | None = None

    def warming_k(self, minutes: float, dough_kg: float) -> float:
        """What it warms a dough by, in kelvin: as told, else its work and the flour's wetting."""
        if self.friction_k is not None:
            return self.friction_k
        if self.power_w is not None:
            work = self.power_w * minutes * 60 / 1000 / dough_kg
        else:
            work = mixing_heat(self.way, min(minutes, LONGEST_MIN))
        return (work + DOUGH_WETTING) / DOUGH_HEAT


def read_mixers(tables: Sequence[MixerTable], source: str) -> tuple[Mixer, ...]:
    """The [[mixer]] tables of a kitchen file. Raises InputError."""
    return tuple(_mixer(each, source) for each in tables)


def read_mixed_in(name: str | None, mixers: Sequence[Mixer], source: str) -> str:
    """The mixer that doughs are mixed in, "" for none. Raises InputError with the names known."""
    known = [each.name for each in mixers]
    if name is not None and name not in known:
        expected = nearest(name, known) if known else "a [[mixer]] of that name"
        raise InputError(place_of(source, "mixed_in"), repr(name), expected)
    return name or ""


def _mixer(table: MixerTable, source: str) -> Mixer:
    here = place_of(source, f"mixer {table.name!r}")
    if table.friction is not None and table.power is not None:
        raise InputError(place_of(here, "power"), repr(table.power), "either it or friction")
    return Mixer(table.name, table.way, _friction(table.friction, here), _power(table.power, here))


def _friction(text: str | None, here: str) -> float | None:
    if text is None:
        return None
    field = place_of(here, "friction")
    return FRICTION_K.read(text, field)


def _power(text: str | None, here: str) -> float | None:
    if text is None:
        return None
    return MOTOR_W.read(text, place_of(here, "power"))
