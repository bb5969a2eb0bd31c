"""The web application: the screens, their files, and what stands guard before them."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import UTC, datetime
from secrets import token_hex

from anyio import CapacityLimiter
from starlette.applications import Starlette
from starlette.middleware import Middleware
from starlette.middleware.gzip import GZipMiddleware
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from pointage.desk.sheets.feed import FeedKeys
from pointage.web import (
    archive,
    assets,
    licences,
    photos,
    probe,
    theme,
    troubles,
)
from pointage.web.door.bodies import Bodies
from pointage.web.door.gate import DeviceGate
from pointage.web.door.guard import LOOPBACK, Guard
from pointage.web.door.outside import Outside
from pointage.web.door.tour import Tour
from pointage.web.port import Desk
from pointage.web.screens.advice import routes as advice
from pointage.web.screens.bench import routes as bench
from pointage.web.screens.culture import routes as culture
from pointage.web.screens.cultures import routes as cultures
from pointage.web.screens.daybook import routes as daybook
from pointage.web.screens.devices import routes as devices
from pointage.web.screens.first import routes as first
from pointage.web.screens.flour import routes as flour
from pointage.web.screens.formula_book import routes as formula_book
from pointage.web.screens.formula_edit import routes as formula_edit
from pointage.web.screens.formula_read import routes as formula_read
from pointage.web.screens.formulas import routes as formulas
from pointage.web.screens.ingredients import routes as ingredients
from pointage.web.screens.jobs import routes as jobs
from pointage.web.screens.kitchen import routes as kitchen
from pointage.web.screens.label import routes as labels
from pointage.web.screens.larder import routes as larder
from pointage.web.screens.moves import change
from pointage.web.screens.moves import routes as moves
from pointage.web.screens.outcome import routes as outcome
from pointage.web.screens.oven import routes as oven
from pointage.web.screens.past import routes as past
from pointage.web.screens.raising import routes as raising
from pointage.web.screens.share import routes as shares
from pointage.web.screens.sheets import routes as sheets
from pointage.web.screens.units import routes as units
from pointage.web.screens.water import routes as water
from pointage.web.screens.week import routes as week
from pointage.web.screens.week import wish
from pointage.web.screens.wishes import can
from pointage.web.screens.wishes import routes as wishes

READERS = 8
"""How many pages are made at the same time: more only take turns at the same two hands."""


def utc_now() -> datetime:
    return datetime.now(UTC)


def alive(request: Request) -> Response:
    """An empty answer, with the time here: a page asks whether the network is there, and how far
    its own clock is off."""
    now: datetime = request.app.state.now()
    headers = {"Cache-Control": "no-store", "Pointage-Now": now.isoformat()}
    return Response(status_code=204, headers=headers)


def create_app(
    desk: Desk,
    now: Callable[[], datetime] = utc_now,
    allowed_hosts: Sequence[str] = LOOPBACK,
    trouble: Callable[[], str] = lambda: "",
    *,
    tour: Tour | None = None,
    home: int = 0,
    outside: Outside | None = None,
    feed_keys: FeedKeys | None = None,
) -> Starlette:
    """The application on a desk. now: the clock. allowed_hosts: the names it answers to.

    trouble: a sentence that every page is to show, or nothing. tour: the kitchen to look round in,
    which is another application; that one has a home, the port of this. outside: how other devices
    come in; without it none is asked who it is. feed_keys: of its calendar; without them nobody can
    subscribe.
    """
    app = Starlette(
        routes=[
            *bench.ROUTES,
            *first.ROUTES,
            *devices.ROUTES,
            *week.ROUTES,
            *wish.ROUTES,
            *wishes.ROUTES,
            *can.ROUTES,
            *moves.ROUTES,
            *change.ROUTES,
            *cultures.ROUTES,
            *kitchen.ROUTES,
            *raising.ROUTES,
            *advice.ROUTES,
            *culture.ROUTES,
            *daybook.ROUTES,
            *outcome.ROUTES,
            *past.ROUTES,
            *photos.ROUTES,
            *formula_edit.ROUTES,
            *formula_read.ROUTES,
            *formula_book.ROUTES,
            *formulas.ROUTES,
            *labels.ROUTES,
            *shares.ROUTES,
            *sheets.ROUTES,
            *larder.ROUTES,
            *ingredients.ROUTES,
            *flour.ROUTES,
            *probe.ROUTES,
            *archive.ROUTES,
            *water.ROUTES,
            *oven.ROUTES,
            *theme.ROUTES,
            *units.ROUTES,
            *jobs.ROUTES,
            *licences.ROUTES,
            Route("/alive", alive),
            Route("/worker.js", assets.worker),
            Route("/static/{name}", assets.static),
        ],
        middleware=[
            Middleware(Guard, allowed_hosts=allowed_hosts),
            Middleware(DeviceGate, devices=None if outside is None else outside.devices),
            Middleware(Bodies),
            # Level 9 takes twice as long for a twentieth less.
            Middleware(GZipMiddleware, minimum_size=1000, compresslevel=4),
        ],
        exception_handlers=troubles.HANDLERS,
    )
    app.state.desk = desk
    app.state.now = now
    app.state.run = token_hex(8)
    app.state.readers = CapacityLimiter(READERS)
    app.state.trouble = trouble
    app.state.tour = tour
    app.state.home = home
    app.state.outside = outside
    app.state.feed_keys = feed_keys
    return app
