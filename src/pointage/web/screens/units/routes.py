"""How this browser shows quantities and times: kept in a cookie, as the theme is."""

from __future__ import annotations

from collections.abc import Mapping

from starlette.responses import Response
from starlette.routing import Route

from pointage.language import mark, say
from pointage.shown import WORDS
from pointage.web.door.guard import own_path
from pointage.web.door.reader import COOKIE, as_cookie, choices, chosen
from pointage.web.forms.field import Choice, Field
from pointage.web.screens.units.page import UnitsPage
from pointage.web.theme import YEAR_S
from pointage.web.visit import Visit, reads, writes

LABELS: Mapping[str, tuple[str, Mapping[str, str]]] = {
    "degrees": (mark("Temperatures"), {"C": "°C", "F": "°F"}),
    "ounces": (mark("Weights"), {"no": mark("grams"), "yes": mark("g, with lb and oz beside")}),
    "clock": (mark("Clock"), {"24": "15:00", "12": mark("3:00 pm")}),
    "dates": (
        mark("Dates"),
        {"day": mark("5 Dec"), "month": mark("Dec 5"), "year": mark("2026 Dec 5")},
    ),
    "week": (
        mark("The week begins on"),
        {"monday": mark("Monday"), "saturday": mark("Saturday"), "sunday": mark("Sunday")},
    ),
    "money": (mark("Prices"), {"after": mark("9.50 €"), "before": mark("€9.50")}),
}


def units(visit: Visit) -> Response:
    """The choices, each with what holds where none is made."""
    return visit.show(UnitsPage(visit.frame("units"), _fields(visit), _back(visit)))


def choose(visit: Visit) -> Response:
    """Keep what was chosen; of a field that was not sent, what was chosen before."""
    before = chosen(visit.request.cookies.get(COOKIE, ""))
    kept = {name: before[name] for name in before if name not in visit.fields}
    said = kept | choices(visit.fields)
    response = visit.go(_back(visit))
    if said:
        response.set_cookie(COOKIE, as_cookie(said), max_age=YEAR_S, samesite="strict")
    else:
        response.delete_cookie(COOKIE, samesite="strict")
    return response


def _back(visit: Visit) -> str:
    path = own_path(visit.fields.get("path") or visit.request.query_params.get("path", "/"))
    # What was typed in other degrees is not to be read in these.
    return path.partition("?")[0] if "degrees=" in path else path


def _fields(visit: Visit) -> tuple[Field, ...]:
    mine = chosen(visit.request.cookies.get(COOKIE, ""))
    found = []
    for name, (label, texts) in LABELS.items():
        words = {word: say(texts[word]) for word in WORDS[name]}
        here = say("Automatic: {usual}", usual=words[getattr(visit.unchosen, name)])
        options = (Choice("", here), *(Choice(word, text) for word, text in words.items()))
        found.append(Field(name, say(label), mine.get(name, ""), "select", options))
    return tuple(found)


ROUTES = [
    Route("/units", reads(units), methods=["GET"]),
    Route("/units", writes(choose), methods=["POST"]),
]
