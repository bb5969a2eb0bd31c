"""The oven: how long a loaf bakes in this kitchen's, and when it may be cut."""

from __future__ import annotations

from starlette.responses import Response
from starlette.routing import Route

from pointage.desk.calculators.bake import BakeAnswer, bake_for
from pointage.errors import InputError
from pointage.kitchen.kitchen import Kitchen, Oven
from pointage.quantities import print_number
from pointage.web.forms.faults import under_field
from pointage.web.forms.form import LONGEST_FIELD
from pointage.web.screens.oven.view import (
    FIRST,
    OTHERS,
    WHICH,
    oven_page,
)
from pointage.web.visit import (
    Visit,
    reads,
)

BLOCK = "answer"
USUAL = {
    "mass": "900g", "shape": "boule", "oven": "240C", "from": "24C", "type": "lean", "on": "",
    "loaves": "1", "steam": "", "core": "", "in": "",
}  # fmt: skip


def oven(visit: Visit) -> Response:
    """The page for what was asked, the usual loaf where nothing was; its errors in its place."""
    query = visit.request.query_params
    asked = (each for each in (*FIRST, *OTHERS, WHICH) if each in query)
    typed = USUAL | {name: query[name].strip()[:LONGEST_FIELD] for name in asked}
    kitchen = visit.kitchen
    which = kitchen.oven_called(typed["in"]) or kitchen.oven
    typed["in"] = which.name
    if not typed["on"]:
        typed["on"] = "tin" if typed["shape"] == "tin" else which.surface
    answer: BakeAnswer | None = None
    errors: dict[str, str] = {}
    try:
        answer = _bake(kitchen, which, typed)
    except InputError as error:
        errors |= {each.field: under_field(each) for each in error.faults}
    page = oven_page(typed, answer, errors, kitchen, visit.frame("oven"))
    return visit.show(page, 422 if errors else 200, BLOCK)


def _bake(kitchen: Kitchen, which: Oven, typed: dict[str, str]) -> BakeAnswer:
    steam = typed["steam"]
    if not steam and typed["on"] in ("stone", "sheet") and which.steam_minutes is not None:
        steam = f"{print_number(which.steam_minutes)}min"
    return bake_for(
        typed["mass"],
        typed["shape"],
        typed["oven"],
        typed["from"],
        altitude=f"{print_number(kitchen.altitude_m)}m",
        core=typed["core"] or None,
        steam=steam or None,
        on=typed["on"],
        loaves=typed["loaves"],
        offset=f"{print_number(which.offset_k)}C",
        bread=typed["type"],
    )


ROUTES = [Route("/oven", reads(oven))]
