"""Other devices: let in and shut out at the machine; and the page by which one joins."""

from __future__ import annotations

from io import BytesIO

import segno
from markupsafe import Markup
from starlette.concurrency import run_in_threadpool
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import HTMLResponse, RedirectResponse, Response
from starlette.routing import Route

from pointage.errors import InputError
from pointage.language import best, mark, say, speak
from pointage.web.door.devices import OPEN_FOR, NotLetInError
from pointage.web.door.gate import CHALLENGE, ELSEWHERE, JOIN, WANTED, let_in
from pointage.web.door.guard import own_path
from pointage.web.door.outside import Outside
from pointage.web.frame import Frame, Moment
from pointage.web.render import render
from pointage.web.screens.devices.page import DevicesPage, Joined, JoinPage, OpenDoor
from pointage.web.visit import THEME_COOKIE, THEMES, Visit, reads, writes

PATH = "/devices"
ALL = "all"
LONGEST = 100
RETRY_AFTER_S = "60"
NOT_SHUT_OUT = mark(
    "The machine could not store that it is shut out, so it may still come in. Make room on the "
    "disk, then try again."
)


def devices(visit: Visit) -> Response:
    """Who has joined."""
    return _devices(visit)


def open_door(visit: Visit) -> Response:
    """A key, shown once: what is kept of it is only good to know it by."""
    outside = _outside(visit.request)
    if outside is None:
        return _devices(visit, status=409)
    key = outside.devices.open_door()
    address = f"{outside.addresses[0]}{JOIN.removeprefix('/')}"
    opened = OpenDoor(
        code_of(f"{address}?key={key}"),
        address,
        "-".join(key[i : i + 4] for i in range(0, len(key), 4)),
        round(OPEN_FOR.total_seconds() / 60),
        tuple(f"{each}{JOIN.removeprefix('/')}" for each in outside.addresses[1:]),
        outside.certificate.authority_print,
        outside.certificate.server_print,
    )
    return _devices(visit, opened)


def close_door(visit: Visit) -> Response:
    outside = _outside(visit.request)
    if outside is not None:
        outside.devices.close_door()
    return visit.go(PATH)


def shut_out(visit: Visit) -> Response:
    """One, or all."""
    outside, device = _outside(visit.request), visit.fields.get("device", "")
    try:
        if outside is not None and device == ALL:
            outside.devices.shut_out_all()
        elif outside is not None:
            outside.devices.shut_out(device)
    except OSError:
        answer = _devices(visit, status=503, error=say(NOT_SHUT_OUT))
        answer.headers["Retry-After"] = RETRY_AFTER_S
        return answer
    return visit.go(PATH)


def elsewhere(request: Request) -> Response:
    """What a device that has joined is answered in the place of all this."""
    raise HTTPException(403, mark("This is done at the machine on which Pointage runs"))


async def join(request: Request) -> Response:
    """How to join; and to join. It is made of nothing that is the kitchen's."""
    if _outside(request) is None:
        raise HTTPException(404)
    fields = dict(request.query_params)
    if request.method == "POST":
        async with request.form(max_files=0, max_fields=10) as form:
            fields = {key: value for key, value in form.items() if isinstance(value, str)}
    return await run_in_threadpool(lambda: _join(request, fields))


def _join(request: Request, fields: dict[str, str]) -> Response:
    speak(best(request.headers.get("accept-language", "")))
    outside = _outside(request)
    assert outside is not None
    key, name, once = (fields.get(each, "")[:LONGEST] for each in ("key", "name", "once"))
    path = own_path(request.scope.get(WANTED) or fields.get("path") or "/")
    called = name or _sort_of_device(request.headers.get("user-agent", ""))
    if request.method != "POST":
        status = 401 if WANTED in request.scope else 200
        return _join_page(request, JoinPage(_frame(request), key, called, path, ""), status)
    address = request.client.host if request.client else ""
    try:
        token = outside.devices.join(key, called, once, address)
    except NotLetInError as error:
        page = JoinPage(_frame(request), key, called, path, str(error))
        answer = _join_page(request, page, 429 if error.later else 422)
        if error.later:
            answer.headers["Retry-After"] = RETRY_AFTER_S
        return answer
    except (OSError, InputError):
        sentence = say("The machine could not store that this device joined. Try again in a while.")
        answer = _join_page(request, JoinPage(_frame(request), key, called, path, sentence), 503)
        answer.headers["Retry-After"] = RETRY_AFTER_S
        return answer
    joined = RedirectResponse(path, 303)
    let_in(joined, token)
    return joined


def certificate(request: Request) -> Response:
    """What a device takes in so as to trust this machine (RFC 5280, DER)."""
    outside = _outside(request)
    if outside is None:
        raise HTTPException(404)
    headers = {
        "Content-Disposition": 'attachment; filename="pointage.crt"',
        "Cache-Control": "no-store",
    }
    kind = "application/x-x509-ca-cert"
    return Response(outside.certificate.authority, media_type=kind, headers=headers)


def code_of(text: str) -> Markup:
    """A QR code (ISO/IEC 18004) as SVG, with the four modules around it that a camera needs."""
    found = BytesIO()
    segno.make_qr(text, error="m").save(
        found, kind="svg", border=4, omitsize=True, xmldecl=False, svgns=True, nl=False
    )
    return Markup(found.getvalue().decode())


def _outside(request: Request) -> Outside | None:
    found: Outside | None = request.app.state.outside
    return found


def _devices(
    visit: Visit, door: OpenDoor | None = None, status: int = 200, error: str = ""
) -> Response:
    outside, clock = _outside(visit.request), visit.clock
    listed = () if outside is None else outside.devices.listed()
    rows = tuple(
        Joined(each.id, each.name, clock.moment(each.joined), clock.moment(each.seen))
        for each in listed
    )
    opened = outside is not None and outside.devices.open_until is not None
    spoiled = outside is not None and outside.devices.spoiled
    here = visit.frame("kitchen")
    page = DevicesPage(here, outside is not None, door, opened, rows, spoiled, error)
    answer = visit.show(page, status, "joined")
    answer.headers["Cache-Control"] = "no-store"
    return answer


def _join_page(request: Request, page: JoinPage, status: int) -> Response:
    headers = CHALLENGE if status == 401 else {"Cache-Control": "no-store"}
    return HTMLResponse(render(page), status, dict(headers))


def _frame(request: Request) -> Frame:
    """Of the kitchen it has neither the name nor the clock."""
    theme = request.cookies.get(THEME_COOKIE, "")
    return Frame("", "", theme if theme in THEMES else "auto", Moment("", ""), JOIN)


def _sort_of_device(agent: str) -> str:
    """A first name for it, by what its browser says of itself."""
    if "Tablet" in agent:
        return say("Tablet")
    return say("Phone") if "Mobi" in agent else say("Computer")


ROUTES = [
    Route(PATH, reads(devices), methods=["GET"]),
    Route(f"{PATH}/open", writes(open_door), methods=["POST"]),
    Route(f"{PATH}/close", writes(close_door), methods=["POST"]),
    Route(f"{PATH}/shut-out", writes(shut_out), methods=["POST"]),
    Route(ELSEWHERE, elsewhere, methods=["GET"]),
    Route(JOIN, join, methods=["GET"]),
    Route(JOIN, join, methods=["POST"]),
    Route(f"{JOIN}/certificate", certificate, methods=["GET"]),
]
