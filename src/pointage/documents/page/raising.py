"""The days of a new culture in many rooms, from which a learner's page takes those of its own."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from fractions import Fraction
from typing import Any

from pointage.culture.raising import WARM_C, RaisedDay, Raising, raise_days
from pointage.data import load
from pointage.formula.ingredients import ingredient
from pointage.language import say
from pointage.mixture.flours import flour_record
from pointage.mixture.temperature.surroundings import Constant
from pointage.science.heat_balance import HEAT_CAPACITY, flour_heat_capacity

FLOURS = ("wheat-whole", "rye-whole", "spelt-whole", "wheat-white")
ROOMS_C = tuple(float(celsius) for celsius in range(16, 33, 2))
DAYS = 16
MEMBERS = 60
FLOUR_G = Fraction(50)
_START = datetime(2026, 1, 1, 8, tzinfo=UTC)


@dataclass(frozen=True, slots=True)
class RaisedRoom:
    """A culture raised on one flour in one room."""

    flour: str
    room_c: float
    days: tuple[RaisedDay, ...]


def raised_grid(reached: Callable[[float], None] = lambda share: None) -> dict[str, Any]:
    """By flour and room, the days of a culture of equal parts of flour and water fed once a day."""
    found = []
    for number, flour in enumerate(FLOURS):
        rooms = []
        for celsius in ROOMS_C:
            rooms.append(_room(raised(flour, celsius)))
            reached((number + len(rooms) / len(ROOMS_C)) / len(FLOURS))
        damp = flour_record(flour).moisture
        found.append(
            {
                "name": flour,
                "label": say(ingredient(flour).label),
                "heat": flour_heat_capacity(damp),
                "rooms": rooms,
            }
        )
    table = load("raising.toml")
    return {
        "rooms": ROOMS_C,
        "days": DAYS,
        "flours": found,
        "water": HEAT_CAPACITY["water"],
        "warmth": table["warmth"],
        "warm_c": WARM_C,
        "phases": {
            name: {key: say(text) for key, text in phase.items()}
            for name, phase in table["phase"].items()
        },
    }


def raised(flour: str, room_c: float) -> RaisedRoom:
    """What the engine has of one flour in one room."""
    wish = Raising({flour: 1.0}, Fraction(1), FLOUR_G, Constant(room_c), _START, room_c)
    return RaisedRoom(flour, room_c, raise_days(wish, DAYS, members=MEMBERS))


def _room(found: RaisedRoom) -> dict[str, Any]:
    return {
        "litres": max(day.litres() for day in found.days) / float(FLOUR_G),
        "ready": _ready(found.days),
        "days": [
            {
                "feeds": day.feeds,
                "keep": float(day.keep_g / FLOUR_G),
                "phase": day.phase.value,
                "open": day.lid_open,
                "rise": [round(each, 3) for each in day.rise()],
                "ph": [round(each, 2) for each in day.ph()],
                "ready": round(day.ready, 2),
            }
            for day in found.days
        ],
    }


def _ready(days: Sequence[RaisedDay]) -> int:
    """The first day with even odds that it may be trusted; 0 for none of those looked at."""
    return next((day.number for day in days if day.ready >= 0.5), 0)
