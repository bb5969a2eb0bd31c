"""Flour arithmetic with a mill's sheet in hand: one page, three small forms, nothing kept."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import TypeVar

from starlette.responses import Response
from starlette.routing import Route

from pointage.desk.calculators.flour import blend_two, convert, types
from pointage.errors import InputError, RangeError
from pointage.web.forms.faults import under_field
from pointage.web.forms.form import LONGEST_FIELD
from pointage.web.screens.flour.view import flour_page
from pointage.web.visit import (
    Visit,
    reads,
)

T = TypeVar("T")

# What the forms say before anything is typed: two flours as sheets often describe them.
FIRST = {
    "one-grams": "700", "one-moisture": "14", "one-ash": "0.55", "one-protein": "12.5",
    "one-falling": "320", "two-grams": "300", "two-moisture": "14", "two-ash": "1.6",
    "two-protein": "14", "two-falling": "250", "figure": "ash", "wanted": "",
    "value": "12", "from": "14", "to": "0", "type": "T65", "grain": "wheat",
}  # fmt: skip


def flour(visit: Visit) -> Response:
    """The page, with what each form came to; a form that cannot be used keeps what was typed."""
    sent = {name: text[:LONGEST_FIELD] for name, text in visit.request.query_params.items()}
    typed = FIRST | sent
    errors: dict[str, str] = {}
    blended = _tried(blend_two, typed, errors, "blend")
    converted = _tried(convert, typed, errors, "value")
    named = _tried(types, typed, errors, "type") or ()
    page = flour_page(
        typed, errors, visit.frame("flour"), blended=blended, converted=converted, types=named
    )
    return visit.show(page, 422 if errors else 200)


def _tried(
    sum_of: Callable[[Mapping[str, str]], T],
    typed: Mapping[str, str],
    errors: dict[str, str],
    form: str,
) -> T | None:
    try:
        return sum_of(typed)
    except InputError as error:
        errors |= {each.field: under_field(each) for each in error.faults}
    except RangeError as error:
        errors[form] = str(error)
    return None


ROUTES = [Route("/flour", reads(flour))]
