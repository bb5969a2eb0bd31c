"""The cultures of the kitchen."""

from __future__ import annotations

from dataclasses import replace

from starlette.responses import Response
from starlette.routing import Route

from pointage.web.screens.cultures.backups import backups
from pointage.web.screens.cultures.view import cultures_page
from pointage.web.visit import Visit, reads


def cultures(visit: Visit) -> Response:
    page = cultures_page(
        visit.desk.cultures(visit.now), visit.desk.bakes(), visit.clock, visit.frame("cultures"),
        visit.present.lives,
    )  # fmt: skip
    return visit.show(replace(page, backups=backups(visit.present.lives, visit.clock)))


ROUTES = [Route("/cultures", reads(cultures))]
