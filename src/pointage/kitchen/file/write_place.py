"""Write a place's history into the text of a kitchen file; all else stays as it was written."""

from __future__ import annotations

from datetime import date, timedelta

import tomlkit
from tomlkit.items import AbstractTable

from pointage.errors import InputError
from pointage.kitchen.file.place_from_readings import PlaceHistory
from pointage.kitchen.file.values import ANY_YEAR
from pointage.language import say
from pointage.quantities import print_number

REPLACED = ("readings", "log", "temperature", "swing", "warmest", "yearly", "warmest_day", "spread")


def with_history(text: str, name: str, history: PlaceHistory) -> str:
    """The kitchen file `text` with this history for the place called `name`.

    Its other keys, the other tables and every comment stay. Raises InputError when no place is
    called so.
    """
    document = tomlkit.parse(text)
    found = [
        each
        for each in document.get("place", ())
        if str(each.get("name")).casefold() == name.casefold()
    ]
    if not found:
        raise InputError("place", repr(name), say("a place of the kitchen's file"))
    _put(found[0], history_keys(history))
    return tomlkit.dumps(document)


def history_keys(history: PlaceHistory) -> dict[str, str]:
    """The keys that say the same, rounded as a file would have it."""
    keys = {"temperature": f"{print_number(history.mean_c)}C"}
    if round(history.swing_k, 1):
        minutes = round(60 * history.warmest_h) % 1440
        keys["swing"] = f"{print_number(history.swing_k)}C"
        keys["warmest"] = f"{minutes // 60:02}:{minutes % 60:02}"
    if round(history.yearly_k, 1):
        day = date(ANY_YEAR, 1, 1) + timedelta(days=round(history.warmest_day) % 365)
        keys["yearly"] = f"{print_number(history.yearly_k)}C"
        keys["warmest_day"] = f"{day:%m-%d}"
    keys["spread"] = f"{print_number(history.spread_k, 2)}C"
    return keys


def _put(place: AbstractTable, keys: dict[str, str]) -> None:
    """Keys that are there change where they stand; new ones follow the last of them."""
    for key in REPLACED:
        if key in place and key not in keys:
            place.remove(key)
    for key, value in keys.items():
        place[key] = value
