"""The larder: look at it, say what was bought, counted or used, and take the list along."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from functools import partial
from urllib.parse import urlencode

from starlette.responses import Response
from starlette.routing import Route

from pointage.desk.larder.answers import LarderNow
from pointage.errors import InputError
from pointage.web.forms.form import NOTHING
from pointage.web.screens.larder.forms import ALSO, forms, purchase, taken
from pointage.web.screens.larder.view import larder_page, shopping_page
from pointage.web.visit import (
    Screen,
    Visit,
    reads,
    writes,
)

READ = forms()[ALSO]
DAYS = 7


def larder(visit: Visit) -> Response:
    """The larder; with a formula that may be baked besides, when one is asked for."""
    given = visit.request.query_params
    return _with_also(visit, lambda found, query: _show(visit, found, query=query, given=given))


def paper(visit: Visit) -> Response:
    """The shopping list alone."""
    frame = visit.frame("larder")
    return _with_also(
        visit, lambda found, query: visit.show(shopping_page(found, visit.clock, frame))
    )


def buy(visit: Visit) -> Response:
    read = partial(purchase, currency=visit.kitchen.currency)
    return _recorded(visit, "buy", read, visit.desk.larder.buy)


def counted(visit: Visit) -> Response:
    return _recorded(visit, "count", partial(taken, "count"), visit.desk.larder.count)


def use(visit: Visit) -> Response:
    return _recorded(visit, "use", partial(taken, "use"), visit.desk.larder.use)


def take_back(visit: Visit) -> Response:
    visit.desk.larder.take_back(visit.entry(), visit.field("wrong"))
    return visit.go("/larder")


def _recorded(
    visit: Visit, form: str, read: Callable[..., object], record: Callable[..., object]
) -> Response:
    """Record what was typed; or the form again, with what cannot be used."""
    try:
        what = read(visit.fields)
        record(visit.entry(), what, visit.now, sure=visit.sure)
    except InputError as error:
        return _again(visit, form, visit.fields, error)
    return visit.go("/larder")


def _again(visit: Visit, form: str, given: Mapping[str, str], error: InputError) -> Response:
    error = error.at(lambda fault: "mass" if fault.path == ("grams",) else fault.field)
    found = visit.desk.larder.look(visit.now, DAYS)
    return _show(visit, found, form=form, given=given, error=error)


def _with_also(visit: Visit, show: Callable[[LarderNow, str], Response]) -> Response:
    query = visit.request.query_params
    if not query.get("formula", "").strip():
        return show(visit.desk.larder.look(visit.now, DAYS), "")
    try:
        said = READ.read(query)
        own = (each.pieces for each in visit.desk.formulas() if each.slug == said["formula"])
        pieces = said["pieces"] or next(own, 1)
        found = visit.desk.larder.look(visit.now, DAYS, [(said["formula"], pieces)])
    except InputError as error:
        return _again(visit, ALSO, query, error)
    return show(found, urlencode({"formula": said["formula"], "pieces": pieces}))


def _show(
    visit: Visit,
    found: LarderNow,
    *,
    query: str = "",
    form: str = "",
    given: Mapping[str, str] = NOTHING,
    error: InputError | None = None,
) -> Response:
    offered = [each for each in visit.desk.formulas() if not each.put_away]
    page = larder_page(
        found, offered, visit.clock, visit.frame("larder"),
        query=query, opened=form, given=given, error=error,
    )  # fmt: skip
    return visit.show(page, 422 if error else 200)


FORMS: tuple[tuple[str, Screen], ...] = (
    ("buy", buy),
    ("count", counted),
    ("use", use),
    ("take-back", take_back),
)
ROUTES = [
    Route("/larder", reads(larder)),
    Route("/larder/list", reads(paper)),
    *(Route(f"/larder/{path}", writes(screen), methods=["POST"]) for path, screen in FORMS),
]
