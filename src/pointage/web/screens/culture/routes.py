"""One culture: read it, and tell what was done to it."""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from starlette.responses import Response
from starlette.routing import Route

from pointage.bounds import MIXTURE_C, WEIGHED_G
from pointage.culture.life import Life
from pointage.daybook.entry import EntryKind
from pointage.daybook.typed import as_typed
from pointage.desk.answers import NotThere
from pointage.errors import InputError
from pointage.kitchen.kitchen import Kitchen
from pointage.quantities import parse_instant
from pointage.web.forms.faults import under_field
from pointage.web.forms.field import Choice, Field
from pointage.web.screens.culture.page import TellForm
from pointage.web.screens.culture.view import (
    WHEN,
    culture_page,
    filled,
    place_choices,
)
from pointage.web.visit import (
    Visit,
    reads,
    tells,
)
from pointage.web.words import asked
from pointage.web.words.asked import flour_choices
from pointage.web.words.words import mass


@dataclass(frozen=True, slots=True)
class _Told:
    """Something to tell: its form, and the entry that it makes of what was typed."""

    title: str
    button: str
    kind: EntryKind
    fields: Callable[[Kitchen, Life], tuple[Field, ...]]
    body: Callable[[Visit, str], dict[str, Any]]
    caution: str = ""


def culture(visit: Visit) -> Response:
    return _shown(visit, life_of(visit))


def told(visit: Visit) -> Response:
    """One of the forms, sent. The name may be another one afterwards."""
    life, action = life_of(visit), visit.request.path_params["action"]
    if action not in TOLD:
        raise NotThere("form", action)
    what = TOLD[action]
    try:
        happened = _happened(visit)
        body = what.body(visit, life.name)
        visit.desk.records.record(visit.entry(), what.kind, happened, body, sure=visit.sure)
    except InputError as error:
        return _shown(visit, life, action, error)
    renamed = visit.fields.get("new_name", "").strip() if action == "renamed" else ""
    return visit.go(f"/cultures/{renamed or life.name}")


def _shown(visit: Visit, life: Life, wrong: str = "", error: InputError | None = None) -> Response:
    asked_for = {key: TOLD[key] for key in TOLD if (key in OF_EMPTY) == life.is_empty}
    asked_for |= {"retired": TOLD["retired"]} | ({wrong: TOLD[wrong]} if wrong else {})
    forms = [_form(key, each, visit, life) for key, each in asked_for.items()]
    above = ""
    if error is not None:
        names = {each.name for each in TOLD[wrong].fields(visit.kitchen, life)} | {"happened"}
        field = _field_of(error, names)
        above = "" if field in names else str(error)
        typed, errors = dict(visit.fields), {field: under_field(error)}
        forms = [
            filled(form, typed, errors) if form.action.endswith(f"/{wrong}") else form
            for form in forms
        ]
    lives = visit.present.lives
    now = next((n for n in visit.desk.cultures(visit.now) if n.culture.name == life.name), None)
    page = culture_page(
        life, now, lives, visit.desk.bakes(), clock=visit.clock,
        frame=visit.frame("cultures"), forms=forms, error=above,
    )  # fmt: skip
    return visit.show(page, 200 if error is None else 422)


def _field_of(error: InputError, names: Collection[str]) -> str:
    """The field of the form that an error of the door is about."""
    field = error.field.split(",")[-1].strip()
    if field == "flour" and error.value == "no fresh flour":
        field = "flour_g"
    elif field == "culture":
        field = "new_name" if "new_name" in names else "origin"
    return field


def life_of(visit: Visit) -> Life:
    name = visit.request.path_params["name"]
    for life in visit.present.lives:
        if name.casefold() in (each.casefold() for each in life.names):
            return life
    raise NotThere("culture", name)


def _form(key: str, what: _Told, visit: Visit, life: Life) -> TellForm:
    fields = (*what.fields(visit.kitchen, life), WHEN)
    action = f"/cultures/{life.name}/{key}"
    return TellForm(action, what.title, what.button, fields, caution=what.caution)


def _happened(visit: Visit) -> datetime:
    text = visit.fields.get("happened", "").strip()
    return parse_instant(text, visit.kitchen.zone, "happened") if text else visit.now


def _grams(visit: Visit, name: str) -> float:
    return WEIGHED_G.read(visit.field(name), name)


def _fed_fields(kitchen: Kitchen, life: Life) -> tuple[Field, ...]:
    flour = max(life.flours, key=lambda kind: life.flours[kind]) if life.flours else "rye-whole"
    return (
        Field("seed_g", "Kept", "", "decimal", hint="grams of the old"),
        Field("flour", "Flour", flour, "select", flour_choices()),
        Field("flour_g", "Fresh flour", "", "decimal", hint="grams"),
        Field("water_g", "Water", "", "decimal", hint="grams"),
        Field("temperature_c", "Temperature after", "", "decimal", hint="°C, if taken"),
        Field("place", "Stands", life.place or "", "select", place_choices(kitchen)),
    )


def _fed_body(visit: Visit, name: str) -> dict[str, Any]:
    kind = visit.field("flour")
    if kind not in {each.value for each in flour_choices()}:
        raise InputError("flour", repr(kind), "one of the flours")
    flour = {"ingredient": kind, "grams": _grams(visit, "flour_g")}
    water = {"ingredient": "water", "grams": _grams(visit, "water_g")}
    warmth = visit.fields.get("temperature_c", "").strip()
    body: dict[str, Any] = {
        "culture": name,
        "seed_g": _grams(visit, "seed_g"),
        "parts": [flour, water],
        "place": visit.kitchen.place(visit.field("place")).name,
    }
    if warmth:
        body["temperature_c"] = MIXTURE_C.read(warmth, "temperature_c")
        body["typed"] = {"temperature_c": as_typed(warmth, MIXTURE_C)}
    return body


def _moved_fields(kitchen: Kitchen, life: Life) -> tuple[Field, ...]:
    return (Field("place", "To", life.place or "", "select", place_choices(kitchen)),)


def _moved_body(visit: Visit, name: str) -> dict[str, Any]:
    return {"culture": name, "place": visit.kitchen.place(visit.field("place")).name}


def _grams_field(kitchen: Kitchen, life: Life) -> tuple[Field, ...]:
    return (Field("grams", "How much", "", "decimal", hint="grams"),)


def _split_fields(kitchen: Kitchen, life: Life) -> tuple[Field, ...]:
    return (
        Field("new_name", "Name of the new one", ""),
        Field("grams", "How much goes into it", "", "decimal", hint="grams"),
    )


def _again_fields(kitchen: Kitchen, life: Life) -> tuple[Field, ...]:
    others = tuple(
        Choice(each.name, f"{each.name}, {mass(each.mass_g)}") for each in kitchen.cultures
    )
    return (
        Field("origin", "From", "", "select", others),
        Field("grams", "How much of it", "", "decimal", hint="grams"),
    )


def _name_field(kitchen: Kitchen, life: Life) -> tuple[Field, ...]:
    return (Field("new_name", "New name", ""),)


def _none(kitchen: Kitchen, life: Life) -> tuple[Field, ...]:
    return ()


def _new_name(visit: Visit) -> str:
    name = visit.field("new_name")
    if "/" in name:
        raise InputError("new_name", repr(name), "a name without a slash")
    taken = {each.casefold() for life in visit.desk.lives() for each in life.names}
    if name.casefold() in taken:
        raise InputError("new_name", repr(name), "a name that no culture has had")
    return name


def _event(event: str) -> Callable[[Visit, str], dict[str, Any]]:
    return lambda visit, name: {"event": event, "culture": name}


OF_EMPTY = frozenset({"begun-again"})
"""What can be done with an empty jar, but to retire it."""
SEEN = ("rise", "temperature_c", "ph")


def _measured_fields(kitchen: Kitchen, life: Life) -> tuple[Field, ...]:
    return asked.fields(SEEN)


def _measured_body(visit: Visit, name: str) -> dict[str, Any]:
    body = asked.read(SEEN, visit.fields)
    if not body:
        raise InputError("rise", "nothing", "a rise, a temperature or a pH")
    return {"culture": name, **body}


TOLD: Mapping[str, _Told] = {
    "measured": _Told(
        "What I see", "Write it down", EntryKind.MEASURED, _measured_fields, _measured_body
    ),
    "fed": _Told("It was fed", "Write the feed down", EntryKind.FED, _fed_fields, _fed_body),
    "moved": _Told(
        "It was moved",
        "Write it down",
        EntryKind.HELD,
        _moved_fields,
        _moved_body,
        "In a jar with its lid shut tight the gas of a live culture can burst the glass.",
    ),
    "poured-off": _Told(
        "Some was poured off",
        "Write it down",
        EntryKind.POURED_OFF,
        _grams_field,
        lambda visit, name: {"culture": name, "grams": _grams(visit, "grams")},
    ),
    "split": _Told(
        "Split it",
        "Split it",
        EntryKind.CULTURE,
        _split_fields,
        lambda visit, name: {
            "event": "split",
            "culture": _new_name(visit),
            "origin": name,
            "grams": _grams(visit, "grams"),
        },
    ),
    "begun-again": _Told(
        "Begin it again",
        "It is in the jar",
        EntryKind.CULTURE,
        _again_fields,
        lambda visit, name: {
            "event": "split",
            "culture": name,
            "origin": visit.field("origin"),
            "grams": _grams(visit, "grams"),
        },
    ),
    "renamed": _Told(
        "Rename it",
        "Rename it",
        EntryKind.CULTURE,
        _name_field,
        lambda visit, name: {"event": "renamed", "culture": _new_name(visit), "origin": name},
    ),
    "dried": _Told(
        "It was dried",
        "Write it down",
        EntryKind.CULTURE,
        _none,
        _event("dried"),
        "A thin layer on paper, dried in a warm draught below 30 °C and kept dry and dark, is the "
        "usual backup; it lives again with its next feed (common practice, no source).",
    ),
    "retired": _Told("Retire it", "Retire it", EntryKind.CULTURE, _none, _event("retired")),
}

ROUTES = [
    Route("/cultures/{name}", reads(culture), methods=["GET"]),
    Route("/cultures/{name}/{action}", tells(told), methods=["POST"]),
]
