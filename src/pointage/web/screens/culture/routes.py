"""One culture: read it, and record what was done to it."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Any

from starlette.responses import Response
from starlette.routing import Route

from pointage.bounds import WEIGHED_G
from pointage.culture.life import Life
from pointage.desk.answers import NotThere
from pointage.desk.cultures.record import CultureRecordDesk, CultureReport
from pointage.desk.now.cultures.needs import backup_need
from pointage.desk.now.cultures.young import is_young
from pointage.errors import MISSING, InputError
from pointage.language import mark, say
from pointage.quantities import parse_instant
from pointage.shown import warmth
from pointage.web.forms.field import Choice
from pointage.web.forms.form import Asked, Form
from pointage.web.screens.bench.cultures import culture_actions
from pointage.web.screens.bench.needed import needed_of
from pointage.web.screens.bench.page import CultureAction, LastDone
from pointage.web.screens.bench.undo import done_last, last_recorded
from pointage.web.screens.culture.backup import DRIED_BELOW_C, backup_form, form_of_backup
from pointage.web.screens.culture.names import free_name
from pointage.web.screens.culture.page import RecordForm
from pointage.web.screens.culture.view import (
    culture_page,
    place_choices,
    when_field,
)
from pointage.web.screens.cultures.backups import STATES
from pointage.web.visit import (
    Visit,
    reads,
    writes,
)
from pointage.web.words import asked
from pointage.web.words.asked import flour_choices
from pointage.web.words.words import mass


@dataclass(frozen=True, slots=True)
class _Recording:
    """Something to record: its form, and how what was typed is recorded of a culture."""

    title: str
    button: str
    asked: Callable[[Visit, Life], tuple[Asked, ...]]
    record: Callable[[CultureRecordDesk, CultureReport, Mapping[str, Any]], None]
    caution: str = ""

    def form(self, visit: Visit, life: Life) -> Form:
        """Its fields, and when it was."""
        return Form((*self.asked(visit, life), _when(visit)))


def culture(visit: Visit) -> Response:
    return shown(visit, life_of(visit))


def recorded(visit: Visit) -> Response:
    """One of the forms, sent. The name may be another one afterwards."""
    life, action = life_of(visit), visit.request.path_params["action"]
    if action not in RECORDINGS:
        raise NotThere("form", action)
    what = RECORDINGS[action]
    try:
        said = what.form(visit, life).read(visit.fields)
        report = visit.of_culture(life.name, said["happened"])
        what.record(visit.desk.culture_records, report, said)
    except InputError as error:
        return shown(visit, life, action, error)
    renamed = visit.fields.get("new_name", "").strip() if action == "renamed" else ""
    return visit.go(f"/cultures/{renamed or life.name}")


def so(visit: Visit) -> Response:
    """What was read of it, or of a bake's mixture of it, and does not fit was so."""
    life, bake = life_of(visit), visit.fields.get("bake", "")
    of = {"bake": bake, "step": visit.field("step")} if bake else {"culture": life.name}
    body = {**of, "reading": visit.field("reading")}
    visit.desk.records.confirm(visit.entry(), visit.now, body)
    raised = not bake and is_young(life, visit.now)
    return visit.go(f"/cultures/{life.name}{'/raising' if raised else ''}")


def backed_up(visit: Visit) -> Response:
    """A backup is taken."""
    life = life_of(visit)
    try:
        said = form_of_backup(visit, life, visit.entry()).read(visit.fields)
        name = said["new_name"]
        visit.desk.culture_records.backed_up(
            visit.of_culture(name), life.name, said["grams"], said["how"]
        )
    except InputError as error:
        return shown(visit, life, "backup", error)
    return visit.go(f"/cultures/{name}")


def shown(visit: Visit, life: Life, wrong: str = "", error: InputError | None = None) -> Response:
    """Its page. wrong: the form that was sent and cannot be used, and why."""
    asked_for = {key: RECORDINGS[key] for key in RECORDINGS if (key in OF_EMPTY) == life.is_empty}
    asked_for |= {"retired": RECORDINGS["retired"]} | (
        {wrong: RECORDINGS[wrong]} if wrong in RECORDINGS else {}
    )
    forms, above = [], ""
    for key, what in asked_for.items():
        form, given = what.form(visit, life), visit.fields if key == wrong else {}
        faults = error.at(_own(form)) if error is not None and key == wrong else None
        fields, lines = form.fields(given, faults)
        above += lines
        action = f"/cultures/{life.name}/{key}"
        opened = key == wrong
        title, button = say(what.title), say(what.button)
        caution = what.caution and say(what.caution, warmest=warmth(DRIED_BELOW_C))
        forms.append(RecordForm(action, title, button, fields, opened, caution))
    sent = wrong == "backup"
    if sent or (life.state == "living" and life.stands and not life.is_empty):
        given = visit.fields if sent else {}
        form_of_it, lines = backup_form(visit, life, given, error if sent else None)
        forms.append(form_of_it)
        above += lines
    if error is not None and life.state == "retired":  # its page has no form to say it in
        above = str(error)
    due = visit.if_possible(lambda: _due(visit, life), None)
    lives = visit.present.lives
    now = next((n for n in visit.desk.cultures(visit.now) if n.culture.name == life.name), None)
    page = culture_page(
        life, now, lives, visit.desk.bakes(), clock=visit.clock,
        frame=visit.frame("cultures"), forms=forms, error=above,
        questioned=visit.present.learning.questioned(life.name), last=_last(visit, life), due=due,
    )  # fmt: skip
    return visit.show(page, 200 if error is None else 422)


def _due(visit: Visit, life: Life) -> CultureAction | None:
    """What puts a backup away, or brings it back."""
    if life.state not in STATES or not life.flours:
        return None
    need = backup_need(life, visit.kitchen, visit.now)
    return replace(culture_actions((needed_of(visit, need),), visit.clock)[0], path="")


def _last(visit: Visit, life: Life) -> LastDone | None:
    """What may be taken back: what was recorded lately, and at any time that it was retired."""
    if life.state != "retired":
        recorded = last_recorded(visit, life.names)
        return recorded and recorded[1]
    gone = [
        each for each in visit.present.about_culture(life) if each.body.get("event") == "retired"
    ]
    return done_last(gone[-1], visit) if gone else None


def _own(form: Form) -> Callable[[InputError], str]:
    """The field of a form that a fault of the entry it makes is about."""

    def name(fault: InputError) -> str:
        match fault.path:
            case ("culture",):
                return "new_name" if "new_name" in form else "origin"
            case ("parts", 0 | 1 as part, "grams"):
                return "water_g" if part else "flour_g"
            case ("parts", 0, "ingredient"):
                return "flour"
            case ("flour_g",):
                return "flour_g"
        return fault.field

    return name


def life_of(visit: Visit) -> Life:
    return visit.present.life(visit.request.path_params["name"])


def _when(visit: Visit) -> Asked:
    def read(text: str, field: str) -> datetime:
        return parse_instant(text, visit.kitchen.zone, field)

    when = when_field()
    return Asked(when.name, when.label, when.hint, read, when.kind, needed=False)


def _grams(name: str, label: str, hint: str = "") -> Asked:
    return Asked(name, label, hint or say("grams"), WEIGHED_G.read, "decimal")


def _place(visit: Visit, life: Life, label: str) -> Asked:
    def read(text: str, field: str) -> str:
        return visit.kitchen.place(text, field).name

    choices = place_choices(visit.kitchen)
    return Asked("place", label, "", read, choices=choices, usual=life.place or "")


def _flour(text: str, field: str) -> str:
    if text not in {each.value for each in flour_choices()}:
        raise InputError(field, repr(text), say("one of the flours"))
    return text


def _fed_asked(visit: Visit, life: Life) -> tuple[Asked, ...]:
    flour = max(life.flours, key=lambda kind: life.flours[kind]) if life.flours else "rye-whole"
    return (
        _grams("seed_g", say("Seed"), say("grams kept of the old")),
        Asked("flour", say("Flour"), "", _flour, choices=flour_choices(), usual=flour),
        _grams("flour_g", say("Fresh flour")),
        _grams("water_g", say("Water")),
        Asked("temperature_c", say("Temperature after"), say("if taken"), _part, "decimal",
              needed=False, warm="point"),
        _place(visit, life, say("Place")),
    )  # fmt: skip


def _fed(records: CultureRecordDesk, report: CultureReport, said: Mapping[str, Any]) -> None:
    grams = {said["flour"]: said["flour_g"], "water": said["water_g"]}
    records.fed(report, said["seed_g"], grams, said["place"], said["temperature_c"] or {})


def _again_asked(visit: Visit, life: Life) -> tuple[Asked, ...]:
    others = tuple(
        Choice(each.name, f"{each.name}, {mass(each.mass_g)}") for each in visit.kitchen.cultures
    )
    return (Asked("origin", say("From"), choices=others), _grams("grams", say("How much of it")))


def _new_name(visit: Visit, label: str) -> Asked:
    def read(name: str, field: str) -> str:
        return free_name(visit, name, field)

    return Asked("new_name", label, "", read)


def _none(visit: Visit, life: Life) -> tuple[Asked, ...]:
    return ()


OF_EMPTY = frozenset({"begun-again"})
"""What can be done with an empty jar, but to retire it."""
SEEN = ("rise", "temperature_c", "ph")


def _measured_asked(visit: Visit, life: Life) -> tuple[Asked, ...]:
    return tuple(replace(asked.ASKED[name], read=_part) for name in SEEN)


def _part(text: str, field: str) -> dict[str, Any]:
    """What one quantity of a body says, also as it was typed."""
    return asked.read((field,), {field: text})


def _measured(records: CultureRecordDesk, report: CultureReport, said: Mapping[str, Any]) -> None:
    parts = [said[each] for each in SEEN if said[each]]
    if not parts:
        raise InputError("rise", MISSING, say("a rise, a temperature or a pH"))
    typed = {key: pair for part in parts for key, pair in part.get("typed", {}).items()}
    body = {key: value for part in parts for key, value in part.items()}
    records.measured(report, body | ({"typed": typed} if typed else {}))


RECORDINGS: Mapping[str, _Recording] = {
    "measured": _Recording(mark("Record what I see"), mark("Save"), _measured_asked, _measured),
    "fed": _Recording(mark("Record a feed"), mark("Save the feed"), _fed_asked, _fed),
    "moved": _Recording(
        mark("Record a move"),
        mark("Save"),
        lambda visit, life: (_place(visit, life, say("To")),),
        lambda records, report, said: records.moved(report, said["place"]),
        mark("In a jar with its lid shut tight the gas of a live culture can burst the glass."),
    ),
    "poured-off": _Recording(
        mark("Record discard"),
        mark("Save"),
        lambda visit, life: (_grams("grams", say("How much")),),
        lambda records, report, said: records.discarded(report, said["grams"]),
    ),
    "split": _Recording(
        mark("Split"),
        mark("Split"),
        lambda visit, life: (
            _new_name(visit, say("Name of the new one")),
            _grams("grams", say("How much goes into the new one")),
        ),
        lambda records, report, said: records.split(
            replace(report, culture=said["new_name"]), report.culture, said["grams"]
        ),
    ),
    "begun-again": _Recording(
        mark("Start it again"),
        mark("Save"),
        _again_asked,
        lambda records, report, said: records.split(report, said["origin"], said["grams"]),
    ),
    "renamed": _Recording(
        mark("Rename"),
        mark("Rename"),
        lambda visit, life: (_new_name(visit, say("New name")),),
        lambda records, report, said: records.renamed(
            replace(report, culture=said["new_name"]), report.culture
        ),
    ),
    "dried": _Recording(
        mark("Record drying"),
        mark("Save"),
        _none,
        lambda records, report, _: records.becomes(report, "dried"),
        mark(
            "A thin layer on paper, dried in moving air below {warmest} and kept dry and dark, is "
            "the usual backup. To revive it, soak the flakes in their own weight of lukewarm "
            "water, then feed; it takes several feeds over some days (common practice, no source)."
        ),
    ),
    "retired": _Recording(
        mark("Retire"),
        mark("Retire"),
        _none,
        lambda records, report, _: records.becomes(report, "retired"),
    ),
}

ROUTES = [
    Route("/cultures/{name}", reads(culture), methods=["GET"]),
    Route("/cultures/{name}/backup", writes(backed_up), methods=["POST"]),
    Route("/cultures/{name}/so", writes(so), methods=["POST"]),
    Route("/cultures/{name}/{action}", writes(recorded), methods=["POST"]),
]
