"""The water for a mix: which temperature, how much of it as ice, and what the factors say."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from starlette.responses import Response
from starlette.routing import Route

from pointage.bounds import MIXED_IN_C
from pointage.desk.calculators.water_page import (
    USUAL_G,
    Mix,
    Warmths,
    plain_mix,
)
from pointage.errors import InputError
from pointage.shown import in_degrees, of_degrees, shown
from pointage.web.forms.faults import under_field
from pointage.web.forms.form import LONGEST_FIELD, with_unit
from pointage.web.screens.water.view import (
    BOUNDS,
    DIALS,
    MASSES,
    PIECES,
    water_page,
)
from pointage.web.visit import (
    Visit,
    reads,
)

FIELDS = ("formula", "pieces", *(f"{each[0]}_c" for each in DIALS), *(each.name for each in MASSES))
BLOCK = "water"


def water(visit: Visit) -> Response:
    """The page for what was asked; where that cannot be used, the usual values and the errors."""
    query = visit.request.query_params
    typed = {name: query[name].strip()[:LONGEST_FIELD] for name in FIELDS if name in query}
    asked = query.get("formula", "")
    formulas = [each for each in visit.desk.formulas() if not each.put_away or each.slug == asked]
    if "formula" not in typed and formulas:
        typed["formula"] = formulas[0].slug
    errors: dict[str, str] = {}
    mix = _mix(visit, typed, errors)
    usual = _as_said(visit.desk.water.warmths(mix))
    warmths = _warmths(usual, typed, errors)
    friction = visit.desk.water.friction_of(mix)
    frame = visit.frame("water")
    page = water_page(mix, warmths, friction, formulas, typed=typed, errors=errors, frame=frame)
    return visit.show(page, 422 if errors else 200, BLOCK)


def _mix(visit: Visit, typed: dict[str, str], errors: dict[str, str]) -> Mix:
    slug = typed.get("formula", "")
    if not slug:
        return _plain(typed, errors)
    try:
        return visit.desk.water.mix(slug, PIECES.value(typed.get("pieces", "")))
    except InputError as error:
        errors[error.field if error.field == "pieces" else "formula"] = under_field(error)
    try:
        return visit.desk.water.mix(slug)
    except InputError:  # this formula's dough has no water of its own
        typed["formula"] = ""
        return _plain(typed, {})


def _plain(typed: dict[str, str], errors: dict[str, str]) -> Mix:
    grams = dict(USUAL_G)
    for each in MASSES:
        name = each.name.removesuffix("_g")
        text = typed.setdefault(each.name, f"{USUAL_G[name]:g}")
        try:
            grams[name] = each.value(text)
        except InputError as error:
            errors[each.name] = under_field(error)
    return plain_mix(grams)


def _as_said(usual: Warmths) -> Warmths:
    """The usual temperatures as a reader of whole °F is shown them, so that the figures agree."""
    if shown().degrees == "C":
        return usual
    names = [each[0] for each in DIALS if each[0] != "friction"]
    return replace(usual, **{n: of_degrees(round(in_degrees(getattr(usual, n)))) for n in names})


def _warmths(usual: Warmths, typed: Mapping[str, str], errors: dict[str, str]) -> Warmths:
    """The usual temperatures with those that were typed in their place."""
    found = {}
    for name in (each[0] for each in DIALS):
        text = typed.get(f"{name}_c", "")
        if not text:
            continue
        try:
            found[name] = BOUNDS.get(name, MIXED_IN_C).read(with_unit(text), f"{name}_c")
        except InputError as error:
            errors[f"{name}_c"] = under_field(error)
    return replace(usual, **found)


ROUTES = [Route("/water", reads(water))]
