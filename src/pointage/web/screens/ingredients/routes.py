"""Ingredients of one's own: describe one, put it right, remove it, bring it back."""

from __future__ import annotations

from collections.abc import Mapping

from starlette.responses import Response
from starlette.routing import Route

from pointage.errors import InputError
from pointage.web.forms.form import NOTHING
from pointage.web.screens.ingredients.forms import at_fields, described
from pointage.web.screens.ingredients.view import ingredients_page
from pointage.web.visit import Visit, reads, writes

PAGE = "/ingredients"


def ingredients(visit: Visit) -> Response:
    """Those there are; a form for another, which may have its name already."""
    name = visit.request.query_params.get("name", "").strip()[:80]
    return _show(visit, given={"name": name} if name else NOTHING)


def describe(visit: Visit) -> Response:
    entry = visit.entry()
    try:
        visit.desk.own.describe(entry, described(visit.fields, entry, visit.kitchen.currency))
    except InputError as error:
        return _show(visit, given=visit.fields, error=at_fields(error))
    return visit.go(PAGE)


def put_right(visit: Visit) -> Response:
    entry, wrong = visit.entry(), visit.field("wrong")
    held = next((each for each in visit.desk.own.held() if each.entry == wrong), None)
    if held is None:
        return visit.go(PAGE)
    try:
        own = described(visit.fields, entry, visit.kitchen.currency, held.own.id)
        visit.desk.own.put_right(entry, wrong, own)
    except InputError as error:
        return _show(visit, given=visit.fields, error=at_fields(error), which=wrong)
    return visit.go(PAGE)


def remove(visit: Visit) -> Response:
    visit.desk.own.remove(visit.entry(), visit.field("wrong"))
    return visit.go(PAGE)


def bring_back(visit: Visit) -> Response:
    visit.desk.own.bring_back(visit.entry(), visit.field("removal"))
    return visit.go(PAGE)


def _show(
    visit: Visit,
    *,
    given: Mapping[str, str] = NOTHING,
    error: InputError | None = None,
    which: str = "",
) -> Response:
    own = visit.desk.own
    page = ingredients_page(
        visit.frame("larder"), own.held(), own.removed(), visit.kitchen.currency,
        {slug: each.name for slug, each in visit.present.formulas.items()},
        given=given, error=error, which=which,
    )  # fmt: skip
    return visit.show(page, 422 if error else 200)


ROUTES = [
    Route(PAGE, reads(ingredients)),
    Route(PAGE, writes(describe), methods=["POST"]),
    Route(f"{PAGE}/correct", writes(put_right), methods=["POST"]),
    Route(f"{PAGE}/remove", writes(remove), methods=["POST"]),
    Route(f"{PAGE}/bring-back", writes(bring_back), methods=["POST"]),
]
