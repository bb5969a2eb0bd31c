"""What a kitchen is asked for in its first minutes, each with a sensible value to begin with."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime
from fractions import Fraction
from typing import Any

from pointage.bounds import HYDRATION, LOAVES_AT_ONCE, PART_G, ROOM_C, TARE_G
from pointage.desk.kitchen.begin import FRIDGE, FirstThings, OwnCulture, sleep_span
from pointage.desk.kitchen.zones import zone_called, zone_of_country
from pointage.errors import InputError
from pointage.kitchen.kitchen import Kitchen
from pointage.language import say
from pointage.quantities import parse_duration, parse_instant, parse_volume
from pointage.shown import WORDS, shown
from pointage.web.forms.field import Choice
from pointage.web.forms.form import Asked, Form, with_unit
from pointage.web.visit import Visit
from pointage.web.words.asked import flour_choices

STEPS = ("1", "0.1", "0.5", "2", "5")
CURRENCIES = {"US": "USD", "GB": "GBP", "CA": "CAD", "AU": "AUD", "NZ": "NZD", "CH": "CHF"}
"""Of countries without the euro whose bakers read English, from memory; else it is the euro."""


def first_form(country: str) -> Form:
    """country: where the browser's language is spoken (ISO 3166), or nothing."""
    fahrenheit, half_days = shown().degrees == "F", shown().clock == "12"
    sleep = "10:30 pm to 6:30 am" if half_days else "22:30 to 06:30"
    steps = tuple(Choice(each, say("{step} g", step=each)) for each in STEPS)
    return Form((
        Asked("name", say("Name of your kitchen"), usual=say("My kitchen")),
        Asked(
            "town", say("Where it is"), say("a large town nearby, or a time zone"), zone_called,
            usual=zone_of_country(country) if country else "",
        ),
        Asked("spot", say("Where the jar will stand"), usual=say("Counter")),
        Asked(
            "spot_c", say("How warm it is there"), "", _air, "decimal",
            usual="68F" if fahrenheit else "20C", warm="point",
        ),
        Asked(
            "fridge_c", say("How cold the fridge is"), say("or none"), _cold,
            "decimal", usual="39F" if fahrenheit else "4C", warm="point",
        ),
        Asked(
            "loaves", say("Loaves the oven bakes at once"), say("or none"), _loaves,
            "numeric", usual="1",
        ),
        Asked("sleep", say("When you sleep"), "", sleep_span, usual=sleep),
        Asked("step", say("The scale shows steps of"), choices=steps, usual="1"),
        Asked(
            "jar_l", say("The jar holds"), say("such as 1 l or 1 quart"), _litres, usual="1 l"
        ),
        Asked(
            "jar_g", say("Weight of the empty jar"), say("grams, if you know it"), TARE_G.read,
            "decimal", needed=False,
        ),
    ))  # fmt: skip


def things(form: Form, visit: Visit) -> FirstThings:
    """What was typed. Raises InputError, all faults at once."""
    said = form.read(visit.fields)
    typed = form.typed(visit.fields)
    return FirstThings(
        name=said["name"],
        zone=said["town"],
        spot=said["spot"],
        spot_temperature=with_unit(typed["spot_c"], always=True),
        fridge_temperature=""
        if said["fridge_c"] is None
        else with_unit(typed["fridge_c"], always=True),
        loaves=said["loaves"],
        sleep=said["sleep"],
        step_g=Fraction(said["step"]),
        jar_l=said["jar_l"],
        jar_g=said["jar_g"] or 0.0,
        shown={name: str(getattr(shown(), name)) for name in WORDS},
        currency=CURRENCIES.get(visit.country, "EUR"),
    )


def bring_form(kitchen: Kitchen) -> Form:
    """A culture that is brought along, and how it was fed last."""

    def instant(text: str, field: str) -> datetime:
        return parse_instant(text, kitchen.zone, field)

    places = tuple(Choice(each.name, each.name) for each in kitchen.places)
    warm = tuple(each for each in places if each.value != FRIDGE) or places
    now = FRIDGE if len(warm) < len(places) else kitchen.room.name
    return Form((
        Asked("name", say("Its name"), usual=say("My levain")),
        Asked("flour", say("Its flour"), choices=flour_choices(), usual="wheat-white"),
        Asked(
            "hydration", say("Water"), say("percent of its flour"), HYDRATION.read, "decimal",
            usual="100",
        ),
        Asked("grams", say("How much there is of it"), say("grams"), PART_G.grams, "decimal",
              usual="100"),
        Asked("fed", say("Last fed"), "", instant, "datetime-local"),
        Asked(
            "old", say("Old culture in that feed"), say("grams"), PART_G.grams, "decimal",
            usual="20",
        ),
        Asked("new", say("New flour in that feed"), say("grams"), _some, "decimal", usual="40"),
        Asked("spot", say("After it, it stood"), choices=warm, usual=kitchen.room.name),
        Asked("hours", say("How long it stood there"), say("hours"), _hours, "decimal", usual="4"),
        Asked("place", say("Now it stands"), choices=places, usual=now),
    ))  # fmt: skip


def own_culture(said: Mapping[str, Any]) -> OwnCulture:
    """What was typed of a culture that is brought along."""
    return OwnCulture(
        name=said["name"],
        flour=said["flour"],
        hydration=said["hydration"],
        grams=said["grams"],
        seed=float(said["old"] / said["new"] * 100),
        fed=said["fed"],
        hours=said["hours"],
        spot=said["spot"],
        place=said["place"],
    )


def _air(text: str, field: str) -> float:
    return ROOM_C.read(text, field)


def _cold(text: str, field: str) -> float | None:
    return None if text.strip() != "0" and _is_none(text) else _air(text, field)


def _is_none(text: str) -> bool:
    """Whether it says that there is no such thing, in our words or the reader's."""
    return text.strip().casefold() in {"0", "no", "none", "-", "–", say("none").casefold()}


def _loaves(text: str, field: str) -> int:
    return 0 if _is_none(text) else LOAVES_AT_ONCE.count(text, field)


def _some(text: str, field: str) -> Fraction:
    grams = PART_G.grams(text, field)
    if not grams:
        raise InputError(field, repr(text), say("a mass above 0"))
    return grams


def _litres(text: str, field: str) -> float:
    return float(parse_volume(text, field))


def _hours(text: str, field: str) -> float:
    return parse_duration(text, field).total_seconds() / 3600
