"""Flour arithmetic with a mill's sheet in hand: one page, three small forms, nothing kept."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any, TypeVar

from starlette.responses import Response
from starlette.routing import Route

from pointage.desk.calculators.flour import BlendAnswer, blend_two, convert, types
from pointage.errors import InputError
from pointage.formula.flour.sheet import MillSheet
from pointage.formula.flour.types import FlourType
from pointage.web.forms.faults import under_field
from pointage.web.forms.form import LONGEST_FIELD, Form
from pointage.web.screens.flour.forms import BASIS, BLEND, FIRST, TYPES
from pointage.web.screens.flour.view import flour_page
from pointage.web.visit import (
    Visit,
    reads,
)

T = TypeVar("T")


def flour(visit: Visit) -> Response:
    """The page, with what each form came to; a form that cannot be used keeps what was typed."""
    sent = {name: text[:LONGEST_FIELD] for name, text in visit.request.query_params.items()}
    typed = FIRST | sent
    errors: dict[str, str] = {}
    blended = _tried(BLEND, blend_of, typed, errors)
    converted = _tried(
        BASIS, lambda said: convert(said["value"], said["from"], said["to"]), typed, errors
    )
    named = _tried(TYPES, _types, typed, errors) or ()
    page = flour_page(
        typed, errors, visit.frame("flour"), blended=blended, converted=converted, types=named
    )
    return visit.show(page, 422 if errors else 200)


def blend_of(said: Mapping[str, Any]) -> BlendAnswer:
    """What the form of a blend comes to. Raises InputError."""
    figures = ("moisture", "ash", "protein", "falling")
    one, two = (
        (MillSheet(*(said[f"{which}-{each}"] for each in figures)), said[f"{which}-grams"])
        for which in ("one", "two")
    )
    return blend_two(one, two, said["figure"], said["wanted"])


def _types(said: Mapping[str, Any]) -> tuple[FlourType, ...]:
    called, ash = said["type"]
    return types(called, ash, said["grain"])


def _tried(
    form: Form,
    sum_of: Callable[[Mapping[str, Any]], T],
    typed: Mapping[str, str],
    errors: dict[str, str],
) -> T | None:
    try:
        return sum_of(form.read(typed))
    except InputError as error:
        errors |= {each.field: under_field(each) for each in error.faults}
    return None


ROUTES = [Route("/flour", reads(flour))]
