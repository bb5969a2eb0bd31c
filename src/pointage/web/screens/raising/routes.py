"""Raise a culture: the plan before it is begun, and the days of one that is on its way."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from datetime import datetime
from fractions import Fraction

from starlette.responses import Response
from starlette.routing import Route

from pointage.bounds import PART_G
from pointage.desk.cultures.needed import is_eaten, need_ladder, vessel_of
from pointage.desk.cultures.raising import CAUTIONS, Tub, raise_culture
from pointage.desk.cultures.record import CultureReport
from pointage.desk.now.cultures.needs import spoiled_need, young_need
from pointage.desk.now.cultures.young import (
    AHEAD,
    elsewhere_of,
    fed_days,
    is_young,
    number_of_day,
    raised_in,
    set_aside,
    spoiled_at,
)
from pointage.errors import InputError
from pointage.kitchen.kitchen import (
    Kitchen,
    Place,
    PlaceKind,
    Vessel,
    VesselUse,
)
from pointage.language import mark, say, written
from pointage.quantities import parse_instant, parse_mass
from pointage.web.forms.field import Choice, Field
from pointage.web.forms.form import Asked, Form
from pointage.web.frame import Doubt
from pointage.web.screens.bench.cultures import Needed, culture_actions
from pointage.web.screens.bench.undo import last_recorded, take_back
from pointage.web.screens.culture.names import free_name
from pointage.web.screens.culture.page import AdvicePage, RecordForm, Table
from pointage.web.screens.culture.routes import life_of
from pointage.web.screens.culture.view import place_choices, when_field
from pointage.web.screens.raising import view as words
from pointage.web.screens.raising.page import RaisingPage
from pointage.web.visit import (
    Visit,
    reads,
    writes,
)
from pointage.web.words.aside import questioned_words
from pointage.web.words.asked import flour_choices

PATH = "/cultures/raise"
USES = (VesselUse.TUB, VesselUse.JAR)
DAYS = 9
NAMES = {"flour-kind": "flour", "daily-flour": "daily", "at": "place"}


def plan(visit: Visit) -> Response:
    """The days of a culture that is yet to be begun."""
    return _plan(visit, visit.request.query_params)


def begin(visit: Visit) -> Response:
    """Begin it."""
    try:
        said = _begun(visit, visit.entry()).read(visit.fields)
        name = said["name"]
        visit.desk.culture_records.begun(
            visit.of_culture(name, said["happened"]),
            said["flour"], said["daily"], said["place"].name, said["vessel"],
        )  # fmt: skip
    except InputError as error:
        return _plan(visit, visit.fields, error)
    return visit.go(f"/cultures/{name}/raising")


def on_its_way(visit: Visit) -> Response:
    """A young culture: what is due, what to see and to record, and how far it is."""
    life, now = life_of(visit), visit.now
    days = visit.desk.raising(life.name)
    fed = len(fed_days(life))
    today, ahead = days[fed - 1], days[fed:]
    said = visit.present.about_culture(life)
    aside = set_aside(life, said, days)
    spoiled = spoiled_at(life, said)
    today_number = number_of_day(days, now)
    need = (
        spoiled_need(life.name, spoiled) if spoiled else young_need(life, days, visit.kitchen, now)
    )
    vessel = vessel_of(visit.kitchen, life.name, said)
    readings = need_ladder(need, vessel, visit.kitchen, now)
    due = Needed(need, readings, vessel.name, is_eaten(today))
    cool = raised_in(life, visit.kitchen).mean_c(now, 0.0, 24.0) < words.COOL_C
    asked = "warmer" in visit.request.query_params and not spoiled
    page = RaisingPage(
        frame=visit.frame("cultures"),
        back=Choice(f"/cultures/{life.name}", life.name),
        title=say("{name}, day {number}", name=life.name, number=today_number),
        lead="" if spoiled else words.lead(today, days),
        due=replace(culture_actions((due,), visit.clock)[0], path=""),
        taps=() if spoiled else words.taps(life.name, said, fed_days(life)[-1].fed.at),
        expect=() if spoiled else words.expect(today),
        ahead=() if spoiled else words.milestones(days, fed, visit.clock),
        warmer=words.warmer(visit.present.raising_elsewhere(life.name, now)) if asked else (),
        ask_warmer=not (spoiled or asked or not cool or today.ready >= 0.5),
        asks=words.asks(life.name) if today.ready >= words.SURE and not spoiled else (),
        chart=words.picture(life, days[: fed if spoiled else fed + AHEAD], said, visit.clock),
        tables=(
            words.amounts(ahead[:AHEAD], Fraction(vessel.tare_g).limit_denominator(10)),
            words.signs_table(days[fed - 1 : fed + AHEAD]),
            words.done(life, days, visit.clock),
        ),
        cautions=tuple(map(say, CAUTIONS)),
        measure=_saw(life.name),
        so=f"/cultures/{life.name}/so",
        undo=f"/cultures/{life.name}/undo",
        last=recorded[1] if (recorded := last_recorded(visit, life.names)) else None,
        doubts=tuple(
            Doubt(questioned_words(each, after, visit.clock), each.entry) for each, after in aside
        ),
    )
    return visit.show(page)


def tapped(visit: Visit) -> Response:
    """What was seen, recorded with one tap: "seen=bubbles", "smelled=yoghurt"."""
    life, touch = life_of(visit), visit.field("touch")
    kind, _, text = touch.partition("=")
    if touch not in words.TOUCHES:
        raise InputError("touch", repr(touch), say("one of the buttons"))
    report = CultureReport(visit.entry(), life.name, visit.happened())
    records = visit.desk.culture_records
    (records.smelled if kind == "smelled" else records.seen)(report, text)
    return visit.go(f"/cultures/{life.name}/raising")


def undone(visit: Visit) -> Response:
    """What was recorded last was not so."""
    name, raised = life_of(visit).name, is_young(life_of(visit), visit.now)
    take_back(visit)
    return visit.go(f"/cultures/{name}{'/raising' if raised else ''}")


def _day_c(place: Place, at: datetime) -> float:
    """The place's mean over the day to come, to what a whole °F is read back from."""
    return round(place.mean_c(at, 0.0, 24.0), 2)


def _plan(visit: Visit, given: Mapping[str, str], wrong: InputError | None = None) -> Response:
    """wrong: what cannot be used of the form that begins it, which is then shown with it."""
    kitchen, form = visit.kitchen, _asked(visit.kitchen)
    tables: tuple[Table, ...] = ()
    notes: tuple[str, ...] = ()
    refused: InputError | None = None
    try:
        said = form.read(given)
        vessel = said["vessel"]
        answer = raise_culture(
            kind=said["flour"],
            tub=Tub(vessel.volume_l, Fraction(vessel.tare_g).limit_denominator(10)),
            celsius=_day_c(said["place"], visit.now),
            days=DAYS,
            to_ready=True,
            daily_flour_g=said["daily"],
            room_c=_day_c(kitchen.room, visit.now),
            start=visit.now,
        )
        tables = (
            words.amounts(answer.days, answer.tub.tare_g or Fraction(0)),
            words.signs_table(answer.days),
            words.sizes(answer),
        )
        notes = words.plan_notes(answer, vessel)
        if _day_c(said["place"], visit.now) < words.COOL_C:
            notes += words.warmer(elsewhere_of(answer.wish, visit.kitchen, said["place"].name))
    except InputError as error:
        refused = error.at(lambda fault: NAMES.get(fault.field, fault.field))
    fields, above = form.fields(given, None if wrong else refused)
    begun: RecordForm | None = None
    if wrong or not refused:
        begin_fields, above = _begun(visit).fields(form.typed(given) | dict(given), wrong)
        begun = RecordForm(PATH, say("Start it now"), say("Save"), begin_fields, opened=bool(wrong))
    page = AdvicePage(
        frame=visit.frame("cultures"),
        back=Choice("/cultures", say("All cultures")),
        path=PATH,
        title=say("Raise a culture"),
        lead=say(
            "From flour and water, in one or two weeks, by its signs rather than by the calendar."
        ),
        fields=fields,
        button=say("Show the days"),
        error=above,
        tables=tables,
        notes=notes,
        cautions=tuple(map(say, CAUTIONS)),
        begin=begun,
        links=(Choice(f"{PATH}/share", say("Page for a class")),),
    )
    return visit.show(page, 422 if wrong or refused else 200)


def _vessel(kitchen: Kitchen) -> Asked:
    """The vessel that it is raised in; at first the smallest that is free."""
    tubs = [each for each in kitchen.vessels if each.use in USES] or list(kitchen.vessels)
    vessels = tuple(
        Choice(each.name, f"{each.name}, {written(f'{each.volume_l:g} l')}") for each in tubs
    )
    # One that is called after a culture has it in it.
    own = [each.name.casefold() for each in kitchen.cultures]
    empty = [each for each in tubs if not any(name in each.name.casefold() for name in own)] or tubs
    smallest = min(empty, key=lambda each: each.volume_l).name

    def vessel(text: str, field: str) -> Vessel:
        known = ", ".join(each.name for each in kitchen.vessels)
        found = next((each for each in kitchen.vessels if each.name == text), None)
        if found is None:
            raise InputError(field, repr(text), say("one of {known}", known=known))
        return found

    return Asked("vessel", mark("Vessel"), "", vessel, choices=vessels, usual=smallest)


def _asked(kitchen: Kitchen) -> Form:
    """What the days follow from."""
    warm = tuple(
        each
        for each in place_choices(kitchen)
        if kitchen.place(each.value).kind is not PlaceKind.FRIDGE
    )
    return Form((
        Asked("flour", mark("Flour"), choices=flour_choices(), usual="wheat-whole"),
        _vessel(kitchen),
        Asked("place", mark("Place"), "", kitchen.place, choices=warm,
              usual=kitchen.warmest_place.name),
        Asked("daily", mark("Fresh flour a day"), mark("grams"), parse_mass, "decimal",
              usual="50"),
    ))  # fmt: skip


def _begun(visit: Visit, entry: str = "") -> Form:
    """What begins it; the name may be there already where the very `entry` gave it."""

    def name(text: str, field: str) -> str:
        return text if visit.desk.records.has(entry) else free_name(visit, text, field)

    def begun(text: str, field: str) -> datetime:
        at = parse_instant(text, visit.kitchen.zone, field)
        if at > visit.now:
            raise InputError(field, visit.clock.text(at), say("a time in the past"))
        return at

    when = when_field()
    return Form((
        Asked("name", mark("Name"), "", name),
        Asked("flour", mark("Flour"), choices=flour_choices()),
        Asked("daily", mark("Flour, and the same mass of water"), mark("grams"), PART_G.read,
              "decimal"),
        Asked("place", mark("Place"), "", visit.kitchen.place),
        _vessel(visit.kitchen),
        Asked(when.name, when.label, when.hint, begun, when.kind, needed=False),
    ))  # fmt: skip


def _saw(name: str) -> RecordForm:
    fields = (
        Field("rise", say("Risen to"), "", "decimal", hint=say("times its mark, such as 1.6")),
        Field("ph", "pH", "", "decimal", hint=say("if taken")),
    )
    action = f"/cultures/{name}/measured"
    return RecordForm(action, say("With a number"), say("Save"), fields)


ROUTES = [
    Route(PATH, reads(plan), methods=["GET"]),
    Route(PATH, writes(begin), methods=["POST"]),
    Route("/cultures/{name}/raising", reads(on_its_way), methods=["GET"]),
    Route("/cultures/{name}/raising", writes(tapped), methods=["POST"]),
    Route("/cultures/{name}/undo", writes(undone), methods=["POST"]),
]
