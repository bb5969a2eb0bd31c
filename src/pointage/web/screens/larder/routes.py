"""The larder: look at it, say what was bought, counted or used, and take the list along."""

from __future__ import annotations

from collections.abc import Callable
from urllib.parse import urlencode

from starlette.responses import Response
from starlette.routing import Route

from pointage.bounds import PIECES_MADE
from pointage.desk.larder.answers import LarderNow
from pointage.errors import Faults, InputError
from pointage.mixture.flours import FIGURES
from pointage.web.forms.faults import FORM, by_field
from pointage.web.forms.form import LONGEST_FIELD
from pointage.web.screens.larder.view import larder_page, shopping_page
from pointage.web.visit import (
    Screen,
    Visit,
    reads,
    tells,
)

FIELDS = {
    "buy": ("item", "mass", "packs", "price", "per", "bought", "best_before", "place", "supplier",
            "label", *FIGURES),
    "count": ("item", "mass", "lot"),
    "use": ("item", "mass", "lot", "remark"),
    "also": ("formula", "pieces"),
}  # fmt: skip
DAYS = 7


def larder(visit: Visit) -> Response:
    """The larder; with a formula that may be baked besides, when one is asked for."""
    return _with_also(visit, lambda found, query: _show(visit, found, query=query))


def paper(visit: Visit) -> Response:
    """The shopping list alone."""
    frame = visit.frame("larder")
    return _with_also(
        visit, lambda found, query: visit.show(shopping_page(found, visit.clock, frame))
    )


def buy(visit: Visit) -> Response:
    return _told(visit, "buy", visit.desk.larder.buy)


def counted(visit: Visit) -> Response:
    return _told(visit, "count", visit.desk.larder.count)


def use(visit: Visit) -> Response:
    return _told(visit, "use", visit.desk.larder.use)


def take_back(visit: Visit) -> Response:
    visit.desk.larder.take_back(visit.entry(), visit.field("wrong"))
    return visit.go("/larder")


def _told(visit: Visit, form: str, tell: Callable[..., object]) -> Response:
    """Tell the desk; or the form again, as it was typed, with what will not do."""
    fields = {name: visit.fields.get(name, "").strip() for name in FIELDS[form]}
    try:
        faults = Faults()
        for name, text in fields.items():
            if len(text) > LONGEST_FIELD:
                expected = f"at most {LONGEST_FIELD} characters"
                faults.found.append(InputError(name, text[:20] + "…", expected))
        faults.check()
        tell(visit.entry(), fields, visit.now, sure=visit.sure)
    except InputError as error:
        return _again(visit, form, fields, error)
    return visit.go("/larder")


def _again(visit: Visit, form: str, typed: dict[str, str], error: InputError) -> Response:
    error = error.at(lambda fault: "mass" if fault.path == ("grams",) else fault.field)
    errors, above = by_field(error, FIELDS[form])
    errors |= {FORM: above} if above else {}
    found = visit.desk.larder.look(visit.now, DAYS)
    page = larder_page(
        found, visit.desk.formulas(), visit.clock, visit.frame("larder"),
        opened=form, typed=typed, errors=errors,
    )  # fmt: skip
    return visit.show(page, 422)


def _with_also(visit: Visit, show: Callable[[LarderNow, str], Response]) -> Response:
    query = visit.request.query_params
    typed = {name: query.get(name, "").strip()[:LONGEST_FIELD] for name in FIELDS["also"]}
    if not typed["formula"]:
        return show(visit.desk.larder.look(visit.now, DAYS), "")
    try:
        pieces = _pieces(visit, typed)
        found = visit.desk.larder.look(visit.now, DAYS, [(typed["formula"], pieces)])
    except InputError as error:
        return _again(visit, "also", typed, error)
    return show(found, urlencode({"formula": typed["formula"], "pieces": pieces}))


def _pieces(visit: Visit, typed: dict[str, str]) -> int:
    if typed["pieces"]:
        return PIECES_MADE.count(typed["pieces"], "pieces")
    own = [each.pieces for each in visit.desk.formulas() if each.slug == typed["formula"]]
    return own[0] if own else 1


def _show(visit: Visit, found: LarderNow, query: str) -> Response:
    asked = visit.request.query_params
    page = larder_page(
        found, visit.desk.formulas(), visit.clock, visit.frame("larder"),
        query=query, typed={name: asked.get(name, "") for name in FIELDS["also"]},
    )  # fmt: skip
    return visit.show(page)


FORMS: tuple[tuple[str, Screen], ...] = (
    ("buy", buy),
    ("count", counted),
    ("use", use),
    ("take-back", take_back),
)
ROUTES = [
    Route("/larder", reads(larder)),
    Route("/larder/list", reads(paper)),
    *(Route(f"/larder/{path}", tells(screen), methods=["POST"]) for path, screen in FORMS),
]
