"""Advice on one culture: how to keep it, when to chill it, bake days, another flour, trouble."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from datetime import timedelta
from fractions import Fraction
from typing import Any

from starlette.responses import Response
from starlette.routing import Route

from pointage.bounds import WEIGHED_G
from pointage.culture.weeks import Use
from pointage.desk.cultures.care import Care
from pointage.errors import Faults, InputError
from pointage.formula.ingredients import ingredient
from pointage.kitchen.kitchen import PlaceKind
from pointage.language import mark, say
from pointage.quantities import parse_clock, parse_instant, split_number
from pointage.web.forms.field import Choice
from pointage.web.forms.form import Asked, Form, several
from pointage.web.screens.advice import changing as paths
from pointage.web.screens.advice import view as words
from pointage.web.screens.culture.page import AdvicePage, RecordForm, Table
from pointage.web.screens.culture.routes import life_of
from pointage.web.screens.culture.view import place_choices
from pointage.web.visit import Visit, reads, writes
from pointage.web.words.asked import flour_choices

Said = Mapping[str, Any]
"""What was asked, by field."""
Answer = tuple[tuple[Table, ...], tuple[str, ...], tuple[str, ...]]
"""Tables, notes and cautions."""


def keep(visit: Visit) -> Response:
    """The ways to keep it for how often it is baked with."""

    def answer(care: Care, said: Said) -> Answer:
        advice = care.ways(said["often"], said["needed"], away=said["often"] > MONTH_D)
        steps = words.keeping_steps(advice)
        tables = ((steps,) if steps else ()) + ((words.keeping(advice),) if advice.ways else ())
        return tables, words.keeping_notes(advice) + words.backups(), (say(words.TIGHT),)

    return _answered(visit, "keep", words.KEEP, _keep(), answer)


def rest(visit: Visit) -> Response:
    """When to chill it, until when it holds, and what wakes it."""

    def answer(care: Care, said: Said) -> Answer:
        advice = care.rest()
        return words.resting(advice), words.resting_notes(advice), (say(words.TIGHT),)

    return _answered(visit, "rest", words.REST, Form(()), answer)


def weeks(visit: Visit) -> Response:
    """Bake days as dates; what is to be done on which day."""

    def answer(care: Care, said: Said) -> Answer:
        faults = Faults()
        uses = [faults.take(_use, visit, each, said) for each in said["days"]]
        faults.check()
        found = care.weeks(uses)
        return (words.chores(found, visit.clock),), words.chores_notes(found), (say(words.TIGHT),)

    return _answered(visit, "weeks", words.WEEKS, WEEKS, answer, "days")


def change(visit: Visit) -> Response:
    """To another flour, hydration or place, with what to expect; taken, it stands on the Bench."""
    taken = list[tuple[str, str]]()

    def answer(care: Care, said: Said) -> Answer:
        here, kitchen, to = care.culture, visit.kitchen, said["place"] or ""
        flours = {said["flour"]: 1.0} if said["flour"] else here.flours
        shares = {kind: Fraction(part).limit_denominator(1000) for kind, part in flours.items()}
        wet = said["hydration"] or Fraction(here.hydration).limit_denominator(100)
        is_cold = bool(to) and kitchen.place(to).kind is PlaceKind.FRIDGE
        warm = to if to and not is_cold else here.place
        if kitchen.place(warm).kind is PlaceKind.FRIDGE:
            warm = kitchen.warmest_place.name
        feeds = care.change(shares, wet, said["kept"])
        notes = paths.moving_notes(care.rest(), to) if is_cold else ()
        water = f"{float(wet):g}" if said["hydration"] else ""
        kept = f"{float(said['kept']):g}"
        typed = (("flour", said["flour"]), ("hydration", water), ("place", to), ("keep", kept))
        taken.extend((key, text) for key, text in typed if text)
        table = paths.changing(feeds, care.expected(feeds, warm))
        return (table,), (*notes, *paths.changing_notes(feeds)), ()

    def begin(name: str) -> RecordForm | None:
        if not taken:
            return None
        action, button = f"/cultures/{name}/changing", say("Begin with its next feed")
        return RecordForm(action, say("Put it on the Bench"), button, (), sent=tuple(taken))

    return _answered(
        visit, "change", paths.CHANGE, _change(visit), answer, "flour", "hydration", "place",
        begin=begin,
    )  # fmt: skip


def changing(visit: Visit) -> Response:
    """It is to be changed over: what it needs next follows from that."""
    report, body = visit.of_culture(life_of(visit).name), dict[str, Any]()
    if flour := visit.fields.get("flour"):
        body["flour"] = ingredient(flour, "flour").name
    if place := visit.fields.get("place"):
        body["place"] = visit.kitchen.place(place).name
    if water := visit.fields.get("hydration"):
        expected = say("water over flour, from 0.5 to 2")
        body["hydration"] = float(split_number(water, "hydration", expected)[0])
    if keep := visit.fields.get("keep"):
        body["keep"] = float(split_number(keep, "keep", say("a share from 0.01 to 0.9"))[0])
    visit.desk.culture_records.becomes(report, "changing", body)
    return visit.go("/")


def trouble(visit: Visit) -> Response:
    """One question at a time, what is known left out, and the causes the answers point to."""
    care = visit.desk.care(life_of(visit).name)
    given = visit.request.query_params
    asked = care.questions
    said = {key: text for key, text in given.items() if key in asked and text}
    wrong: InputError | None = None
    try:
        found = care.trouble(said)
    except InputError as error:
        wrong, said = error, {}
        found = care.trouble(said)
    page = words.trouble_page(visit.frame("cultures"), care, found, said, asked)
    page = replace(page, error=str(wrong) if wrong else "")
    return visit.show(page, 422 if wrong else 200)


def _answered(
    visit: Visit,
    path: str,
    said: words.Said,
    form: Form,
    answer: Callable[[Care, Said], Answer],
    *starts: str,
    begin: Callable[[str], RecordForm | None] = lambda name: None,
) -> Response:
    """The page with its answer, or with what is wrong with the question.

    starts: the fields of which one must be given for an answer; none where all have a usual value.
    """
    care = visit.desk.care(life_of(visit).name)
    given = visit.request.query_params
    tables: tuple[Table, ...] = ()
    notes: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()
    wrong: InputError | None = None
    if not starts or any(given.get(name, "").strip() for name in starts):
        try:
            tables, notes, cautions = answer(care, form.read(given))
        except InputError as error:
            wrong = error
    fields, above = form.fields(given, wrong)
    name = care.culture.name
    page = AdvicePage(
        frame=visit.frame("cultures"),
        back=Choice(f"/cultures/{name}", name),
        path=f"/cultures/{name}/{path}",
        title=say(said.title, name=name),
        lead=say(said.lead),
        fields=fields,
        button=said.button and say(said.button),
        error=above,
        tables=tables,
        notes=notes,
        cautions=cautions,
        begin=begin(name),
    )
    return visit.show(page, 200 if wrong is None else 422)


def _percent(low: int, high: int) -> Callable[[str, str], Fraction]:
    def read(text: str, field: str) -> Fraction:
        expected = say("a percentage from {low} to {high}", low=low, high=high)
        number, unit = split_number(text, field, expected)
        if unit not in ("", "%") or not low <= number <= high:
            raise InputError(field, repr(text), expected)
        return number / 100

    return read


def _use(visit: Visit, day: str, said: Said) -> Use:
    at = parse_instant(f"{day}T{said['clock']:%H:%M}", visit.kitchen.zone, "days")
    if not visit.now < at < visit.now + timedelta(days=400):
        raise InputError("days", repr(day), say("a date still to come, within a year"))
    return Use(at, said["grams"])


MONTH_D = 30
OFTEN = (
    ("0.5", mark("twice a day")),
    ("1", mark("daily")),
    ("3.5", mark("twice a week")),
    ("7", mark("once a week")),
    ("30", mark("once a month")),
    ("42", mark("not for six weeks: away")),
)


def _often(text: str, field: str) -> float:
    if text not in dict(OFTEN):
        raise InputError(field, repr(text), say("one of the choices"))
    return float(text)


def _keep() -> Form:
    choices = tuple(Choice(days, say(text)) for days, text in OFTEN)
    return Form((
        Asked("often", say("I bake with it"), "", _often, choices=choices, usual="7"),
        Asked("needed", say("Culture that a bake takes"), say("grams"), WEIGHED_G.grams, "decimal",
              usual="100"),
    ))  # fmt: skip


WEEKS = Form((
    Asked("days", mark("Bake days"), mark("dates, with commas between: 2026-12-05, 2026-12-19"),
          several),
    Asked("clock", mark("Levain is built at"), "", parse_clock, usual="08:00"),
    Asked("grams", mark("Culture for each build"), mark("grams"), WEIGHED_G.grams, "decimal",
          usual="100"),
))  # fmt: skip


def _change(visit: Visit) -> Form:
    same = Choice("", say("as it is"))

    def flour(text: str, field: str) -> str:
        return ingredient(text, field).name

    def place(text: str, field: str) -> str:
        return visit.kitchen.place(text, field).name

    return Form((
        Asked("flour", say("Flour"), "", flour, choices=(same, *flour_choices()), needed=False),
        Asked("hydration", say("Water"), say("percent of the flour, or empty"), _percent(50, 200),
              "decimal", needed=False),
        Asked("place", say("Place"), "", place, choices=(same, *place_choices(visit.kitchen)),
              needed=False),
        Asked("kept", say("Seed at each feed"), say("percent of the whole"), _percent(1, 90),
              "decimal", usual="20"),
    ))  # fmt: skip


ROUTES = [
    Route("/cultures/{name}/keep", reads(keep), methods=["GET"]),
    Route("/cultures/{name}/rest", reads(rest), methods=["GET"]),
    Route("/cultures/{name}/weeks", reads(weeks), methods=["GET"]),
    Route("/cultures/{name}/change", reads(change), methods=["GET"]),
    Route("/cultures/{name}/changing", writes(changing), methods=["POST"]),
    Route("/cultures/{name}/trouble", reads(trouble), methods=["GET"]),
]
