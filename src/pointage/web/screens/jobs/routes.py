"""What is being worked out, as it stands on every page: how far it is, and stopping it."""

from __future__ import annotations

from dataclasses import replace

from starlette.responses import Response
from starlette.routing import Route

from pointage.web.door.guard import own_path
from pointage.web.frame import WorkBlock
from pointage.web.screens.jobs.view import work_now
from pointage.web.visit import Visit, whole, writes

ENDED = "work-ended"
"""The event by which a page learns that the last of the work has ended since it was made."""


def block(visit: Visit) -> Response:
    """The block alone, for the page at `path`, which shows what was known at `since`."""
    asked = visit.request.query_params
    known = asked.get("since", "")
    work = work_now(visit.desk.work, whole(known))
    path = own_path(asked.get("path", "/"))
    frame = replace(visit.frame(""), path=path, work=lambda: work)
    response = visit.show(WorkBlock(frame))
    if not work.busy and known not in {"", str(work.since)}:
        response.headers["HX-Trigger"] = ENDED
    return response


def stop(visit: Visit) -> Response:
    visit.desk.work.stop(visit.field("kind"), visit.field("name"))
    return visit.go(own_path(visit.fields.get("path", "/")))


def go_on(visit: Visit) -> Response:
    visit.desk.work.go_on(visit.field("kind"), visit.field("name"))
    return visit.go(own_path(visit.fields.get("path", "/")))


ROUTES = [
    # Made anew each time it is asked for: work comes on while the store stays as it is.
    Route("/jobs", writes(block), methods=["GET"]),
    Route("/jobs/cancel", writes(stop), methods=["POST"]),
    Route("/jobs/start", writes(go_on), methods=["POST"]),
]
