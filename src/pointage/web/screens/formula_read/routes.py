"""Paste a recipe: each line with what it is taken for, then the draft of its formula."""

from __future__ import annotations

from starlette.responses import Response
from starlette.routing import Route

from pointage.desk.formulas.read import read_text_of_recipe
from pointage.errors import InputError
from pointage.web.screens.formula_read.view import SENSES, read_page, recipe_page
from pointage.web.visit import Visit, reads, writes
from pointage.web.words.sense import sense_of


def paste(visit: Visit) -> Response:
    return visit.show(recipe_page(visit.frame("formulas"), "", sense_of(visit)))


def pasted(visit: Visit) -> Response:
    """What the text says; nothing is kept."""
    text = visit.fields.get("text", "").replace("\r\n", "\n")
    country = visit.fields.get("country", "")
    country = country if country in SENSES else sense_of(visit)
    frame = visit.frame("formulas")
    try:
        found = read_text_of_recipe(text, country)
    except InputError as error:
        return visit.show(recipe_page(frame, text, country, str(error)), 422)
    return visit.show(read_page(frame, text, country, found))


ROUTES = [
    Route("/formulas/read", reads(paste)),
    Route("/formulas/read", writes(pasted), methods=["POST"]),
]
