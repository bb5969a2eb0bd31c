"""The Week: read it, or give a bake up."""

from __future__ import annotations

from dataclasses import replace

from starlette.responses import Response
from starlette.routing import Route

from pointage.web.screens.moves.routes import block
from pointage.web.screens.week.view import week_page
from pointage.web.visit import Visit, reads, writes


def week(visit: Visit) -> Response:
    bakes = visit.desk.bakes()
    page = week_page(visit.kitchen, bakes, visit.clock, visit.frame("week"))
    return visit.show(replace(page, moves=block(visit, "/week")))


def give_up(visit: Visit) -> Response:
    visit.desk.give_up(visit.entry(), visit.field("bake"), visit.happened())
    return visit.go("/week")


ROUTES = [
    Route("/week", reads(week)),
    Route("/week/give-up", writes(give_up), methods=["POST"]),
]
