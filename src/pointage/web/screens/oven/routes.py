"""The oven: how long a loaf bakes in this kitchen's, and when it may be cut."""

from __future__ import annotations

from starlette.responses import Response
from starlette.routing import Route

from pointage.desk.calculators.bake import BakeAnswer, bake_for
from pointage.errors import InputError
from pointage.kitchen.kitchen import Kitchen, Oven
from pointage.quantities import print_number
from pointage.web.forms.form import LONGEST_FIELD, with_unit
from pointage.web.screens.oven.view import (
    FIRST,
    OTHERS,
    WHICH,
    first_oven,
    oven_page,
)
from pointage.web.visit import (
    Visit,
    reads,
)

BLOCK = "answer"


def oven(visit: Visit) -> Response:
    """The page for what was asked, the usual loaf where nothing was; its errors in its place."""
    query = {name: text[:LONGEST_FIELD] for name, text in visit.request.query_params.items()}
    typed = FIRST.typed(query) | OTHERS.typed(query)
    kitchen = visit.kitchen
    which = kitchen.oven_called(query.get(WHICH, "")) or first_oven(kitchen)
    typed[WHICH] = which.name
    if not typed["on"]:
        typed["on"] = "tin" if typed["shape"] == "tin" else which.surface
    answer: BakeAnswer | None = None
    wrong: InputError | None = None
    try:
        answer = _bake(kitchen, which, typed)
    except InputError as error:
        wrong = error
    page = oven_page(typed, answer, wrong, kitchen, visit.frame("oven"))
    return visit.show(page, 422 if wrong else 200, BLOCK)


def _bake(kitchen: Kitchen, which: Oven, typed: dict[str, str]) -> BakeAnswer:
    steam = typed["steam"]
    if not steam and typed["on"] in ("stone", "sheet") and which.steam_minutes is not None:
        steam = f"{print_number(which.steam_minutes)}min"
    return bake_for(
        typed["mass"],
        typed["shape"],
        with_unit(typed["oven"]),
        with_unit(typed["from"]),
        altitude=f"{print_number(kitchen.altitude_m)}m",
        core=with_unit(typed["core"]) or None,
        steam=steam or None,
        on=typed["on"],
        loaves=typed["loaves"],
        offset=f"{print_number(which.offset_k)}C",
        bread=typed["type"],
    )


ROUTES = [Route("/oven", reads(oven))]
