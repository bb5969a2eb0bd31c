"""Paper, dark, or as the device: kept in a cookie, so that the first paint is already right."""

from __future__ import annotations

from starlette.responses import Response
from starlette.routing import Route

from pointage.web.door.guard import own_path
from pointage.web.visit import (
    THEME_COOKIE,
    THEMES,
    Visit,
    writes,
)

YEAR_S = 365 * 24 * 3600


def choose(visit: Visit) -> Response:
    response = visit.go(own_path(visit.fields.get("path", "/")))
    theme = visit.fields.get("theme", "")
    if theme in THEMES:
        response.set_cookie(THEME_COOKIE, theme, max_age=YEAR_S, samesite="strict")
    else:
        response.delete_cookie(THEME_COOKIE, samesite="strict")
    return response


ROUTES = [Route("/theme", writes(choose), methods=["POST"])]
