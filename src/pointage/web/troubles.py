"""What went wrong, as a page with one sentence and a way on."""

from __future__ import annotations

import logging
from collections.abc import Callable
from typing import Any

from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import Response

from pointage.daybook.errors import (
    EntryClashError,
    NewerStoreError,
    StaleRevisionError,
    StoreError,
)
from pointage.desk.answers import NotThere
from pointage.errors import PointageError
from pointage.web.door.guard import HEADERS
from pointage.web.screens.error.page import ErrorPage
from pointage.web.visit import Visit

log = logging.getLogger(__name__)

RETRY_AFTER_S = "20"
"""When a store that cannot be used may be worth another try (RFC 9110, 10.2.3)."""


def _page(request: Request, status: int, title: str, sentence: str) -> Response:
    visit = Visit.of(request)
    return visit.show(ErrorPage(visit.frame(""), title, sentence), status)


def not_there(request: Request, error: NotThere) -> Response:
    return _page(request, 404, "Not here", f"{str(error)[0].upper()}{str(error)[1:]}.")


def cannot_use(request: Request, error: PointageError) -> Response:
    """What has no field on a page to stand beside: the one line, as the command line prints it."""
    return _page(request, 400, "That will not do", f"{error}.")


def unavailable(request: Request, error: StoreError) -> Response:
    """The store cannot be used. Where it lies is for the server's log, not for a page."""
    log.error("%s", error)
    sentence = "The store cannot be reached just now. What was recorded before is kept."
    if isinstance(error, NewerStoreError):
        sentence = "A newer Pointage has written the store. Update this one to read it."
    try:
        answer = _page(request, 503, "Not to be had", sentence)
    except Exception:  # the frame is made from what is in the store
        answer = Response(sentence + "\n", 503, media_type="text/plain")
    answer.headers["Retry-After"] = RETRY_AFTER_S
    return answer


def sent_before(request: Request, error: EntryClashError) -> Response:
    """The identifier of a form stands for something else already; see unchanged.py."""
    sentence = (
        "This form was sent before, and what it said then is kept. "
        "Open its page again to write something else down."
    )
    return _page(request, 409, "Sent before", sentence)


def stale(request: Request, error: StaleRevisionError) -> Response:
    """A document was kept by another meanwhile; pages that can show both texts do so themselves."""
    return _page(request, 409, "Kept meanwhile", f"{error}.")


def of_http(request: Request, error: HTTPException) -> Response:
    if error.status_code == 404:
        return _page(request, 404, "Not here", "There is no page at this address.")
    return _page(request, error.status_code, "That will not do", f"{error.detail}.")


def broken(request: Request, error: Exception) -> Response:
    """A fault of ours. The server's log has the rest; the daybook keeps what it was told."""
    sentence = "Something in the program broke. What you told it before is kept."
    try:
        answer = _page(request, 500, "Broken", sentence)
    except Exception:  # the desk itself may be what broke: then there is no frame to print
        answer = Response(sentence + "\n", 500, media_type="text/plain")
    answer.headers.update(HEADERS)  # this answer is made outside the guard
    return answer


HANDLERS: dict[Any, Callable[[Request, Any], Response]] = {
    NotThere: not_there,
    EntryClashError: sent_before,
    StaleRevisionError: stale,
    StoreError: unavailable,
    PointageError: cannot_use,
    HTTPException: of_http,
    Exception: broken,
}
