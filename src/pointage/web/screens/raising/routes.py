"""Raise a culture: the plan before it is begun, and the days of one that is on its way."""

from __future__ import annotations

from fractions import Fraction
from uuid import NAMESPACE_URL, uuid5

from starlette.responses import Response
from starlette.routing import Route

from pointage.daybook.entry import EntryKind
from pointage.desk.cultures.raising import CAUTIONS, Tub, raise_culture
from pointage.desk.now.young import fed_days
from pointage.errors import InputError
from pointage.kitchen.kitchen import (
    Kitchen,
    PlaceKind,
    Vessel,
    VesselUse,
)
from pointage.quantities import parse_mass
from pointage.web.forms.faults import under_field
from pointage.web.forms.field import Choice, Field
from pointage.web.screens.culture.page import AdvicePage, Table, TellForm
from pointage.web.screens.culture.routes import life_of
from pointage.web.screens.culture.view import place_choices
from pointage.web.screens.raising import view as words
from pointage.web.visit import (
    Visit,
    reads,
    tells,
)
from pointage.web.words.asked import flour_choices

PATH = "/cultures/raise"
USES = (VesselUse.TUB, VesselUse.JAR)
DAYS = 9
NAMES = {"flour": "--flour-kind", "vessel": "--vessel", "daily": "--daily-flour"}


def plan(visit: Visit) -> Response:
    """The days of a culture that is yet to be begun."""
    return _plan(visit, dict(visit.request.query_params))


def begin(visit: Visit) -> Response:
    """Begin it: two entries, whose ids follow from the form's own, so that twice is once."""
    try:
        name, entry = visit.field("name"), visit.entry()
        taken = {each.casefold() for life in visit.desk.lives() for each in life.names}
        if "/" in name or (name.casefold() in taken and not visit.desk.records.has(entry)):
            raise InputError("name", repr(name), "a name that no culture has had")
        flour, daily = visit.field("flour"), parse_mass(visit.field("daily"), "daily")
        place = visit.kitchen.place(visit.field("place")).name
        body = {
            "culture": name,
            "seed_g": 0.0,
            "parts": [
                {"ingredient": flour, "grams": float(daily)},
                {"ingredient": "water", "grams": float(daily)},
            ],
            "place": place,
        }
        records = visit.desk.records
        began = {"event": "began", "culture": name}
        records.record(entry, EntryKind.CULTURE, visit.now, began, sure=visit.sure)
        records.record(str(uuid5(NAMESPACE_URL, entry)), EntryKind.FED, visit.now, body, sure=True)
    except InputError as error:
        return _plan(visit, dict(visit.fields), error)
    return visit.go(f"/cultures/{name}/raising")


def on_its_way(visit: Visit) -> Response:
    """The days of a young culture, its next feed first, and where its signs are told."""
    life = life_of(visit)
    days = visit.desk.raising(life.name)
    fed = len(fed_days(life))
    today, ahead = days[fed - 1], days[fed:]
    page = AdvicePage(
        frame=visit.frame("cultures"),
        back=Choice(f"/cultures/{life.name}", life.name),
        path=f"/cultures/{life.name}/raising",
        title=f"{life.name}, day {today.number}",
        lead=f"{words.lead(today, days)} {words.due(life, ahead[0], visit.clock)}",
        fields=(),
        button="",
        error="",
        tables=(
            words.amounts(ahead, Fraction(0)),
            words.signs_table(days[fed - 1 :]),
            words.done(life, days, visit.clock),
        ),
        notes=words.signs(today),
        cautions=CAUTIONS,
        begin=_saw(life.name),
    )
    return visit.show(page)


def _plan(visit: Visit, typed: dict[str, str], error: InputError | None = None) -> Response:
    kitchen = visit.kitchen
    typed = _defaults(kitchen) | {key: text.strip() for key, text in typed.items() if text.strip()}
    tables: tuple[Table, ...] = ()
    notes: tuple[str, ...] = ()
    status, begun = 200 if error is None else 422, None
    errors: dict[str, str] = {}
    try:
        vessel = _vessel(kitchen, typed["vessel"])
        place = kitchen.place(typed["place"])
        answer = raise_culture(
            kind=typed["flour"],
            tub=Tub(vessel.volume_l, Fraction(vessel.tare_g).limit_denominator(10)),
            celsius=words.mean_c(place, visit.now),
            days=DAYS,
            daily_flour_g=parse_mass(typed["daily"], "--daily-flour"),
            room_c=words.mean_c(words.room(kitchen), visit.now),
            start=visit.now,
        )
        tables = (
            words.amounts(answer.days, answer.tub.tare_g or Fraction(0)),
            words.signs_table(answer.days),
            words.sizes(answer),
        )
        notes = words.plan_notes(answer, vessel)
        begun = _begin_form(typed, error)
    except InputError as refused:
        status = 422
        field = next((key for key, option in NAMES.items() if option == refused.field), "")
        errors[field or "flour"] = under_field(refused)
    page = AdvicePage(
        frame=visit.frame("cultures"),
        back=Choice("/cultures", "All cultures"),
        path=PATH,
        title="Raise a culture",
        lead="From flour and water, in a week or two, by signs rather than by the calendar.",
        fields=tuple(_fields(kitchen, typed, errors)),
        button="Show the days",
        error="" if error is None or begun is None or _marked(begun) else str(error),
        tables=tables,
        notes=notes,
        cautions=CAUTIONS,
        begin=begun,
    )
    return visit.show(page, status)


def _defaults(kitchen: Kitchen) -> dict[str, str]:
    vessel = min(
        (each for each in kitchen.vessels if each.use in USES), key=lambda each: each.volume_l,
        default=kitchen.vessels[0],
    )  # fmt: skip
    return {
        "flour": "wheat-whole",
        "vessel": vessel.name,
        "place": kitchen.warmest_place.name,
        "daily": "50",
    }


def _fields(kitchen: Kitchen, typed: dict[str, str], errors: dict[str, str]) -> list[Field]:
    vessels = tuple(
        Choice(each.name, f"{each.name}, {each.volume_l:g} l")
        for each in kitchen.vessels
        if each.use in USES
    )
    warm = tuple(
        each
        for each in place_choices(kitchen)
        if kitchen.place(each.value).kind is not PlaceKind.FRIDGE
    )
    return [
        Field("flour", "Flour", typed["flour"], "select", flour_choices(),
              error=errors.get("flour", "")),
        Field("vessel", "In", typed["vessel"], "select", vessels, error=errors.get("vessel", "")),
        Field("place", "Stands", typed["place"], "select", warm),
        Field("daily", "Fresh flour a day", typed["daily"], "decimal", hint="grams",
              error=errors.get("daily", "")),
    ]  # fmt: skip


def _marked(form: TellForm) -> bool:
    return any(each.error for each in form.fields)


def _begin_form(typed: dict[str, str], error: InputError | None) -> TellForm:
    errors = {} if error is None else {error.field: under_field(error)}
    fields = (
        Field("name", "Its name", typed.get("name", ""), error=errors.get("name", "")),
        Field("flour", "Flour", typed["flour"], "select", flour_choices(),
              error=errors.get("flour", "")),
        Field("daily", "Flour, and as much water", typed["daily"], "decimal", hint="grams",
              error=errors.get("daily", "")),
        Field("place", "Stands", typed["place"], error=errors.get("place", "")),
    )  # fmt: skip
    return TellForm(PATH, "Begin it now", "It is mixed", fields, opened=bool(errors))


def _saw(name: str) -> TellForm:
    fields = (
        Field("rise", "Risen to", "", "decimal", hint="times its mark, such as 1.6"),
        Field("ph", "pH", "", "decimal", hint="if taken"),
    )
    return TellForm(f"/cultures/{name}/measured", "Tell what you see", "Write it down", fields)


def _vessel(kitchen: Kitchen, name: str) -> Vessel:
    for each in kitchen.vessels:
        if each.name == name:
            return each
    known = ", ".join(each.name for each in kitchen.vessels)
    raise InputError("--vessel", repr(name), f"one of {known}")


ROUTES = [
    Route(PATH, reads(plan), methods=["GET"]),
    Route(PATH, tells(begin), methods=["POST"]),
    Route("/cultures/{name}/raising", reads(on_its_way), methods=["GET"]),
]
