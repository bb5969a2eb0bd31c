"""Take what is offered when things have moved, and undo it."""

from __future__ import annotations

from dataclasses import replace

from starlette.responses import Response
from starlette.routing import Route

from pointage.desk.moves.step import AnotherTime
from pointage.errors import InputError
from pointage.language import say
from pointage.quantities import parse_instant
from pointage.web.screens.moves.page import UNMOVED, MovesBlock
from pointage.web.screens.moves.view import moves_block
from pointage.web.visit import Visit, writes

PAGES = ("/", "/week")
"""The pages that show what is offered."""
STALE = "moved"
"""Asked of a page: to say that what was to be taken is no longer offered."""


def block(visit: Visit, back: str) -> MovesBlock:
    """What stands on a page of it; nothing where it cannot be worked out."""
    found = visit.if_possible(
        lambda: moves_block(
            visit.desk.moves.look(visit.now),
            visit.desk.moves.taken(visit.now),
            visit.desk.bakes(),
            visit.clock,
            back,
        ),
        UNMOVED,
    )
    return replace(found, error=_stale() if STALE in visit.request.query_params else "")


def _stale() -> str:
    return say("Things have moved since that was offered. Nothing was changed; this holds now.")


def take(visit: Visit) -> Response:
    back = _back(visit)
    try:
        visit.desk.moves.take(visit.entry(), visit.field("move"), visit.now, _wanted(visit))
    except InputError as error:
        if error.field != "move":
            raise
        return visit.go(f"{back}?{STALE}=1")
    return visit.go(back)


def _wanted(visit: Visit) -> AnotherTime | None:
    """The bake, or the step of it, whose time was typed anew, and that time."""
    field = next((name for name in ("ready", "at") if name in visit.fields), None)
    if field is None:
        return None
    at = parse_instant(visit.field(field), visit.kitchen.zone, field)
    return AnotherTime(visit.field("bake"), at, visit.field("step") if field == "at" else "")


def let_go(visit: Visit) -> Response:
    visit.desk.moves.let_go(visit.entry(), visit.field("bake"), visit.now)
    return visit.go(_back(visit))


def undo(visit: Visit) -> Response:
    visit.desk.moves.undo(visit.entry(), visit.field("offer"), visit.now)
    return visit.go(_back(visit))


def _back(visit: Visit) -> str:
    back = visit.fields.get("back", "/")
    return back if back in PAGES else PAGES[0]


ROUTES = [
    Route("/week/moves/take", writes(take), methods=["POST"]),
    Route("/week/moves/let-go", writes(let_go), methods=["POST"]),
    Route("/week/moves/undo", writes(undo), methods=["POST"]),
]
