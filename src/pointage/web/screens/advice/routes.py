"""Advice on one culture: how to keep it, when to chill it, bake days, another flour, trouble."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import datetime, timedelta
from fractions import Fraction

from starlette.responses import Response
from starlette.routing import Route

from pointage.bounds import WEIGHED_G
from pointage.culture.trouble import questions
from pointage.culture.weeks import Use
from pointage.desk.cultures.care import Care
from pointage.errors import InputError
from pointage.formula.ingredients import ingredient
from pointage.quantities import parse_instant, split_number
from pointage.web.forms.faults import under_field
from pointage.web.forms.field import Choice, Field
from pointage.web.screens.advice import view as words
from pointage.web.screens.culture.page import AdvicePage, Table
from pointage.web.screens.culture.routes import life_of
from pointage.web.visit import Visit, reads
from pointage.web.words.asked import flour_choices

UNKNOWN = Choice("", "I cannot say")
Answer = tuple[tuple[Table, ...], tuple[str, ...], tuple[str, ...]]
"""Tables, notes and cautions."""


def keep(visit: Visit) -> Response:
    """The seed and the amounts for each place and rhythm."""
    needed = _typed(visit, "needed") or "100"
    fields = (Field("needed", "Builds take at most", needed, "decimal", hint="grams at once"),)

    def answer(care: Care) -> Answer:
        choices = care.choices(_grams(needed, "needed"))
        return (words.keeping(choices),), words.keeping_notes(choices), ()

    return _answered(visit, "keep", words.KEEP, fields, answer, asked=True)


def rest(visit: Visit) -> Response:
    """When to chill it, until when it holds, and what wakes it."""

    def answer(care: Care) -> Answer:
        advice = care.rest()
        return words.resting(advice), words.resting_notes(advice), (words.TIGHT,)

    return _answered(visit, "rest", words.REST, (), answer, asked=True)


def weeks(visit: Visit) -> Response:
    """Bake days as dates; what is to be done on which day."""
    days, grams = _typed(visit, "days"), _typed(visit, "grams") or "100"
    clock = _typed(visit, "clock") or "08:00"
    fields = (
        Field("days", "Bake days", days, hint="dates with commas: 2026-12-05, 2026-12-19"),
        Field("clock", "Levain is built at", clock),
        Field("grams", "Each build takes", grams, "decimal", hint="grams of culture"),
    )

    def answer(care: Care) -> Answer:
        each = _grams(grams, "grams")
        uses = [Use(_build_at(visit, day, clock), each) for day in days.split(",") if day.strip()]
        found = care.weeks(uses)
        return (words.chores(found, visit.clock),), words.chores_notes(found), (words.TIGHT,)

    return _answered(visit, "weeks", words.WEEKS, fields, answer, asked=bool(days))


def change(visit: Visit) -> Response:
    """To another flour or hydration, with how much of the old is left."""
    flour, wet = _typed(visit, "flour"), _typed(visit, "hydration") or "100"
    kept = _typed(visit, "kept") or "20"
    fields = (
        Field("flour", "To", flour or "wheat-white", "select", flour_choices()),
        Field("hydration", "Water", wet, "decimal", hint="percent of the flour"),
        Field("kept", "Kept at each feed", kept, "decimal", hint="percent of the whole"),
    )

    def answer(care: Care) -> Answer:
        feeds = care.change(
            {ingredient(flour, "flour").name: Fraction(1)},
            _percent(wet, "hydration", 50, 200),
            _percent(kept, "kept", 1, 90),
        )
        return (words.changing(feeds),), words.changing_notes(feeds), ()

    return _answered(visit, "change", words.CHANGE, fields, answer, asked=bool(flour))


def trouble(visit: Visit) -> Response:
    """A short set of questions, and the causes they point to."""
    asked = questions()
    given = {each.key: _typed(visit, each.key) for each in asked}
    fields = tuple(
        Field(
            each.key, each.asks, given[each.key], "select",
            (UNKNOWN, *(Choice(key, text) for key, text in each.answers.items())),
        )
        for each in asked
    )  # fmt: skip

    def answer(care: Care) -> Answer:
        found = care.trouble({key: text for key, text in given.items() if text})
        return words.troubles(found), words.trouble_notes(found), words.trouble_cautions(found)

    return _answered(visit, "trouble", words.TROUBLE, fields, answer, asked=any(given.values()))


def _answered(
    visit: Visit,
    path: str,
    said: words.Said,
    fields: tuple[Field, ...],
    answer: Callable[[Care], Answer],
    *,
    asked: bool,
) -> Response:
    """The page with its answer, or with what is wrong with the question."""
    care = visit.desk.care(life_of(visit).name)
    tables: tuple[Table, ...] = ()
    notes: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()
    error, status = "", 200
    if asked:
        try:
            tables, notes, cautions = answer(care)
        except InputError as wrong:
            fields, error, status = *_marked(fields, wrong), 422
    name = care.culture.name
    page = AdvicePage(
        frame=visit.frame("cultures"),
        back=Choice(f"/cultures/{name}", name),
        path=f"/cultures/{name}/{path}",
        title=said.title.format(name=name),
        lead=said.lead,
        fields=fields,
        button=said.button,
        error=error,
        tables=tables,
        notes=notes,
        cautions=cautions,
    )
    return visit.show(page, status)


def _marked(fields: tuple[Field, ...], wrong: InputError) -> tuple[tuple[Field, ...], str]:
    """The fields with the error under its own; an error of no field stands above them all."""
    line = under_field(wrong)
    marked = tuple(
        replace(each, error=line) if each.name == wrong.field else each for each in fields
    )
    return marked, "" if marked != fields else str(wrong)


def _typed(visit: Visit, name: str) -> str:
    return visit.request.query_params.get(name, "").strip()[:200]


def _grams(text: str, field: str) -> Fraction:
    return WEIGHED_G.grams(text, field)


def _percent(text: str, field: str, low: int, high: int) -> Fraction:
    expected = f"a percentage from {low} to {high}"
    number, unit = split_number(text, field, expected)
    if unit not in ("", "%") or not low <= number <= high:
        raise InputError(field, repr(text), expected)
    return number / 100


def _build_at(visit: Visit, day: str, clock: str) -> datetime:
    at = parse_instant(f"{day.strip()}T{clock}", visit.kitchen.zone, "days")
    if not visit.now < at < visit.now + timedelta(days=400):
        raise InputError("days", repr(day.strip()), "a date still to come, within a year")
    return at


ROUTES = [
    Route("/cultures/{name}/keep", reads(keep), methods=["GET"]),
    Route("/cultures/{name}/rest", reads(rest), methods=["GET"]),
    Route("/cultures/{name}/weeks", reads(weeks), methods=["GET"]),
    Route("/cultures/{name}/change", reads(change), methods=["GET"]),
    Route("/cultures/{name}/trouble", reads(trouble), methods=["GET"]),
]
