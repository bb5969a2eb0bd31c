"""The first minutes: a kitchen of the few things its baker was asked for."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime, time
from fractions import Fraction
from zoneinfo import ZoneInfo

import tomlkit
from tomlkit.items import Table

from pointage.kitchen.file.values import span
from pointage.kitchen.kitchen import Kitchen
from pointage.quantities import print_number

UNNAMED = "A kitchen without a name yet"
FRIDGE, JAR, BOWL, SCALE, OVEN = "Fridge", "Jar", "Mixing bowl", "Scale", "Oven"
CAPACITY_STEPS = 5000
"""Steps of its display that a kitchen scale carries at most (common practice, no source)."""


@dataclass(frozen=True, slots=True)
class FirstThings:
    """What a kitchen begins with; temperatures as they were typed ("65F").

    spot: where the jar stands. fridge_temperature: "" where there is no fridge. loaves: in the oven
    at once, 0 where there is no oven. step_g: of the scale. jar_l, jar_g:
    what the jar holds, and weighs empty. shown: how its reader sees things, by the fields of
    `Shown`.
    """

    name: str
    zone: ZoneInfo
    spot: str
    spot_temperature: str
    fridge_temperature: str
    loaves: int
    sleep: tuple[time, time]
    step_g: Fraction
    jar_l: float
    jar_g: float
    shown: dict[str, str]
    currency: str = "EUR"


@dataclass(frozen=True, slots=True)
class OwnCulture:
    """A culture that is brought along. flour: its kind. seed: percent of the new flour of its last
    feed. spot: where it stood `hours` after it, before it went to `place`."""

    name: str
    flour: str
    hydration: float
    grams: Fraction
    seed: float
    fed: datetime
    hours: float
    spot: str
    place: str


def is_unnamed(kitchen: Kitchen) -> bool:
    """Whether nobody has yet said whose kitchen it is."""
    return kitchen.name == UNNAMED


def sleep_span(text: str, field: str) -> tuple[time, time]:
    """Both ends of "22:30-06:00" or "10:30 pm to 6 am". Raises InputError."""
    return span(text, field)


def unnamed_kitchen() -> str:
    """The text of a kitchen of which nothing is known."""
    return first_kitchen(
        FirstThings(
            name=UNNAMED,
            zone=ZoneInfo("UTC"),
            spot="Counter",
            spot_temperature="20C",
            fridge_temperature="4C",
            loaves=1,
            sleep=(time(22, 30), time(6, 30)),
            step_g=Fraction(1),
            jar_l=1.0,
            jar_g=400.0,
            shown={},
        )
    )


def first_kitchen(said: FirstThings) -> str:
    """The text of the kitchen's file. What was not asked for is as in many homes, and can be
    changed on the Kitchen screen (common practice, no source)."""
    file = tomlkit.document()
    file["name"], file["zone"] = said.name, said.zone.key
    file["tap"] = "12C"
    file["currency"] = said.currency
    if said.shown:
        file["shown"] = said.shown
    file["hours"] = {"sleep": "{:%H:%M}-{:%H:%M}".format(*said.sleep)}
    places = [{"name": said.spot, "kind": "room", "temperature": said.spot_temperature}]
    if said.fridge_temperature:
        cold = {"name": FRIDGE, "kind": "fridge", "temperature": said.fridge_temperature}
        places.append(cold)
    file["place"] = _rows(*places)
    step = print_number(float(said.step_g), 3)
    capacity = print_number(float(said.step_g * CAPACITY_STEPS), 0)
    file["scale"] = _rows({"name": SCALE, "step": f"{step}g", "capacity": f"{capacity}g"})
    jar = {"name": JAR, "tare": f"{print_number(said.jar_g)}g", "material": "glass", "use": "jar"}
    bowl = {"name": BOWL, "tare": "800g", "volume": "6l", "material": "steel", "use": "bowl"}
    basket = {"name": "Basket", "tare": "165g", "volume": "1.9l", "material": "cane"}
    file["vessel"] = _rows(
        jar | {"volume": f"{print_number(said.jar_l, 3)}l"},
        bowl,
        basket | {"use": "basket", "count": max(1, said.loaves)},
    )
    if said.loaves:
        rolls = 12 * said.loaves
        file["oven"] = {"name": OVEN, "loaves": said.loaves, "rolls": rolls, "preheat": "45min"}
    return tomlkit.dumps(file)


def with_culture(text: str, said: OwnCulture) -> str:
    """The kitchen's file with a culture more, in the place of one of its name that is no more."""
    file = tomlkit.parse(text)
    before = file.get("culture", [])
    for number, each in reversed(list(enumerate(before))):
        if str(each.get("name", "")).casefold() == said.name.casefold():
            del before[number]
    row = {
        "name": said.name,
        "flours": tomlkit.inline_table().append(said.flour, 100),
        "hydration": said.hydration,
        "seed": said.seed,
        "mass": f"{print_number(float(said.grams), 2)}g",
        "fed": said.fed.isoformat(timespec="minutes"),
        "stood": f"{print_number(said.hours, 2)}h",
        "stood_in": said.spot,
        "place": said.place,
    }
    if "culture" not in file:
        file["culture"] = tomlkit.aot()
    file["culture"].append(_table(row))
    return tomlkit.dumps(file)


def _rows(*rows: Mapping[str, object]) -> object:
    found = tomlkit.aot()
    for each in rows:
        found.append(_table(each))
    return found


def _table(row: Mapping[str, object]) -> Table:
    made = tomlkit.table()
    made.update(row)
    return made
