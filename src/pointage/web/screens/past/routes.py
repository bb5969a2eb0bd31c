"""Looking back: a culture, a formula, and what changed between two bakes."""

from __future__ import annotations

from starlette.responses import Response
from starlette.routing import Route

from pointage.desk.answers import Bake, NotThere
from pointage.language import say
from pointage.shown import first_weekday
from pointage.web.screens.past.view import compare_page, culture_past_page, formula_past_page
from pointage.web.visit import Visit, reads

BLOCK = "past"


def culture(visit: Visit) -> Response:
    past = visit.desk.past.culture(visit.request.path_params["name"], first_weekday())
    return visit.show(culture_past_page(past, visit.clock, visit.frame("daybook")), 200, BLOCK)


def formula(visit: Visit) -> Response:
    slug = visit.request.path_params["slug"]
    summary = next((each for each in visit.desk.formulas() if each.slug == slug), None)
    if summary is None:
        raise NotThere("formula", slug)
    past = visit.desk.past.formula(summary.name)
    return visit.show(formula_past_page(past, slug, visit.clock, visit.frame("daybook")))


def compare(visit: Visit) -> Response:
    query = visit.request.query_params
    bakes = [bake for bake in visit.desk.past.bakes().values() if _done(bake)]
    typed = (query.get("a", ""), query.get("b", ""))
    found, error = None, ""
    if all(typed):
        if typed[0] == typed[1]:
            error = say("It is the same bake; choose two")
        else:
            found = visit.desk.past.changed(*typed)
    frame = visit.frame("daybook")
    page = compare_page(bakes, typed, found, error, clock=visit.clock, frame=frame)
    return visit.show(page, 422 if error else 200)


def _done(bake: Bake) -> bool:
    return any(news.done for news in bake.news.values())


ROUTES = [
    Route("/daybook/culture/{name}", reads(culture), methods=["GET"]),
    Route("/daybook/formula/{slug}", reads(formula), methods=["GET"]),
    Route("/daybook/compare", reads(compare), methods=["GET"]),
]
