"""A wish for bread: which formula, how many pieces, when out of the oven."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime, timedelta

from starlette.responses import Response
from starlette.routing import Route

from pointage.bounds import PIECES_MADE
from pointage.desk.answers import NotThere
from pointage.errors import InputError
from pointage.quantities import parse_instant
from pointage.timetable.plan import Plan, Status
from pointage.web.screens.week.page import Choice, WishPage
from pointage.web.visit import (
    Visit,
    reads,
    tells,
    under_field,
)
from pointage.web.words.conflicts import conflict_notes
from pointage.web.words.words import count, mass

FIELDS = frozenset({"formula", "pieces", "ready"})
FAR_ENOUGH = timedelta(days=2)  # a first guess at the form, which a wish may come under
BREAKFAST = "09:00"


def blank(visit: Visit) -> Response:
    """The form with a first guess: the formula asked for, its own pieces, in two mornings."""
    formulas = visit.desk.formulas()
    wanted = visit.request.query_params.get("formula", "")
    chosen = next((each for each in formulas if each.slug == wanted), None)
    chosen = chosen or (formulas[0] if formulas else None)
    day = visit.clock.local(visit.now + FAR_ENOUGH).date().isoformat()
    typed = {
        "formula": chosen.slug if chosen else "",
        "pieces": "",
        "day": day,
        "clock": BREAKFAST,
    }
    return visit.show(_page(visit, typed))


def sent(visit: Visit) -> Response:
    try:
        slug = visit.field("formula")
        plan = visit.desk.wish(visit.entry(), slug, _pieces(visit, slug), _ready(visit), visit.now)
    except InputError as error:
        place = error.field if error.field in FIELDS else "form"
        line = str(error) if place == "form" else under_field(error)
        return visit.show(_page(visit, visit.fields, {place: line}), 422)
    if plan.status is Status.IMPOSSIBLE:
        return visit.show(_page(visit, visit.fields, plan=plan), 422)
    return visit.go("/week")


def _page(
    visit: Visit,
    typed: Mapping[str, str],
    errors: Mapping[str, str] | None = None,
    plan: Plan | None = None,
) -> WishPage:
    return WishPage(
        frame=visit.frame("week"),
        choices=tuple(
            Choice(each.slug, f"{each.name}, {count(each.pieces, 'piece')} of {mass(each.piece_g)}")
            for each in visit.desk.formulas()
        ),
        formula=typed.get("formula", ""),
        pieces=typed.get("pieces", ""),
        day=typed.get("day", ""),
        clock=typed.get("clock", ""),
        zone=visit.kitchen.zone.key,
        errors=dict(errors or {}),
        conflicts=conflict_notes(plan) if plan else (),
    )


def _pieces(visit: Visit, slug: str) -> int:
    """As many as were typed; those of the formula itself when the field was left empty."""
    text = visit.fields.get("pieces", "").strip()
    if not text:
        own = next((each for each in visit.desk.formulas() if each.slug == slug), None)
        if own is None:
            raise NotThere("formula", slug)
        return own.pieces
    return PIECES_MADE.count(text, "pieces")


def _ready(visit: Visit) -> datetime:
    text = f"{visit.fields.get('day', '').strip()}T{visit.fields.get('clock', '').strip()}"
    ready = parse_instant(text, visit.kitchen.zone, "ready")
    if ready <= visit.now:
        raise InputError("ready", visit.clock.text(ready), "a time still to come")
    return ready


ROUTES = [
    Route("/week/wish", reads(blank), methods=["GET"]),
    Route("/week/wish", tells(sent), methods=["POST"]),
]
