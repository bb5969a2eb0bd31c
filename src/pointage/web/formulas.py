"""The formulas: the list, and each as the trade's table for so many pieces of such a mass."""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction

from starlette.responses import Response
from starlette.routing import Route

from pointage.errors import InputError
from pointage.quantities import parse_mass
from pointage.web.present.formulas import formula_page, formulas_page
from pointage.web.present.larder import piece_words
from pointage.web.visit import Visit, reads, under_field

BLOCK = "sheet"


def formulas(visit: Visit) -> Response:
    return visit.show(formulas_page(visit.desk.formulas(), visit.frame("formulas")))


def formula(visit: Visit) -> Response:
    """The sheet as asked for; as the formula's own, with the errors, when that will not do."""
    slug = visit.request.path_params["slug"]
    typed = {
        name: text.strip()
        for name, text in visit.request.query_params.items()
        if name in {"pieces", "piece"}
    }
    try:
        sheet = visit.desk.formula(slug, _pieces(typed), _piece(typed))
    except InputError as error:
        own = visit.desk.formula(slug, None, None)
        errors = {error.field: under_field(error)}
        page = formula_page(own, typed, errors, visit.frame("formulas"))
        return visit.show(page, 422, BLOCK)
    batch = visit.desk.larder.formula_cost(slug, sheet.summary.pieces, sheet.summary.piece_g)
    cost = piece_words(batch, visit.kitchen.currency)
    return visit.show(formula_page(sheet, typed, {}, visit.frame("formulas"), cost), 200, BLOCK)


def _pieces(typed: Mapping[str, str]) -> int | None:
    text = typed.get("pieces", "")
    if not text:
        return None
    if not text.isdecimal() or not int(text):
        raise InputError("pieces", repr(text), "a whole number, such as 12")
    return int(text)


def _piece(typed: Mapping[str, str]) -> Fraction | None:
    text = typed.get("piece", "")
    if not text:
        return None
    grams = parse_mass(text, "piece")
    if not grams:
        raise InputError("piece", repr(text), "more than nothing, such as 850g")
    return grams


ROUTES = [
    Route("/formulas", reads(formulas)),
    Route("/formulas/{slug}", reads(formula)),
]
