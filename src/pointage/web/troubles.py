"""What went wrong, as a page with one sentence and a way on."""

from __future__ import annotations

import logging
from collections.abc import Callable
from typing import Any

from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import PlainTextResponse, Response

from pointage.daybook.errors import (
    EntryClashError,
    NewerStoreError,
    StaleRevisionError,
    StoreError,
)
from pointage.desk.answers import NotThere
from pointage.errors import PointageError
from pointage.language import best, mark, say, speak
from pointage.web.door.gate import STRANGER
from pointage.web.door.guard import HEADERS
from pointage.web.screens.error.page import ErrorPage
from pointage.web.visit import Visit

log = logging.getLogger(__name__)

Handler = Callable[[Request, Any], Response]
NOT_A_METHOD = mark("Method Not Allowed")
"""As the framework has it of an address that takes no such request (RFC 9110, 15.5.6)."""
RETRY_AFTER_S = "20"
"""When a store that cannot be used may be worth another try (RFC 9110, 10.2.3)."""


def _page(request: Request, status: int, title: str, sentence: str) -> Response:
    if request.scope.get(STRANGER):
        return PlainTextResponse(f"{sentence}\n", status)
    visit = Visit.of(request)
    return visit.show(ErrorPage(visit.frame(""), title, sentence), status)


def not_there(request: Request, error: NotThere) -> Response:
    return _page(request, 404, say("Not found"), f"{str(error)[0].upper()}{str(error)[1:]}.")


def cannot_use(request: Request, error: PointageError) -> Response:
    """What has no field on a page to stand beside: the one line, as the command line prints it."""
    line = str(error)
    sentence = line if line.endswith("?") else f"{line}."
    return _page(request, 400, say("Cannot be used"), sentence)


def unavailable(request: Request, error: StoreError) -> Response:
    """The store cannot be used. Where it lies is for the server's log, not for a page."""
    log.error("%s", error)
    sentence = say("The store cannot be reached just now. Everything recorded so far is safe.")
    if isinstance(error, NewerStoreError):
        sentence = say("A newer Pointage has written the store. Update this one to read it.")
    try:
        answer = _page(request, 503, say("Not available"), sentence)
    except Exception:  # the frame is made from what is in the store
        answer = Response(sentence + "\n", 503, media_type="text/plain")
    answer.headers["Retry-After"] = RETRY_AFTER_S
    return answer


def sent_before(request: Request, error: EntryClashError) -> Response:
    """The identifier of a form stands for something else already; see unchanged.py."""
    sentence = say(
        "This form was already sent, and what it said then was recorded. "
        "Open its page again to record something else."
    )
    return _page(request, 409, say("Already sent"), sentence)


def stale(request: Request, error: StaleRevisionError) -> Response:
    """Someone else saved the document meanwhile; pages that can show both texts do so."""
    return _page(request, 409, say("Changed meanwhile"), f"{error}.")


def of_http(request: Request, error: HTTPException) -> Response:
    if error.status_code == 404:
        return _page(request, 404, say("Not found"), say("There is no page at this address."))
    return _page(request, error.status_code, say("Not accepted"), f"{say(error.detail)}.")


def broken(request: Request, error: Exception) -> Response:
    """A fault of ours. The server's log has the rest; the daybook has what was recorded before."""
    sentence = say("Something in the program failed. Everything recorded so far is safe.")
    try:
        answer = _page(request, 500, say("Something failed"), sentence)
    except Exception:  # the desk itself may be what broke: then there is no frame to print
        answer = Response(sentence + "\n", 500, media_type="text/plain")
    answer.headers.update(HEADERS)  # this answer is made outside the guard
    return answer


def _spoken(handler: Handler) -> Handler:
    """The same, in the language of the reader: a page's own thread has ended with its fault."""

    def answer(request: Request, error: Any) -> Response:
        speak(best(request.headers.get("accept-language", "")))
        return handler(request, error)

    return answer


HANDLERS: dict[Any, Handler] = {
    NotThere: _spoken(not_there),
    EntryClashError: _spoken(sent_before),
    StaleRevisionError: _spoken(stale),
    StoreError: _spoken(unavailable),
    PointageError: _spoken(cannot_use),
    HTTPException: _spoken(of_http),
    Exception: _spoken(broken),
}
