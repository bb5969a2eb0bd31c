"""The door to other devices: one that has not joined sees how to join, and nothing else.

Who asks at this machine's loopback address without TLS sits at the machine, and needs no key.
"""

from __future__ import annotations

from collections.abc import Mapping
from ipaddress import ip_address

from starlette.concurrency import run_in_threadpool
from starlette.datastructures import MutableHeaders
from starlette.requests import HTTPConnection
from starlette.responses import Response
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from pointage.web.door.devices import Devices
from pointage.web.door.guard import PROBE

COOKIE = "__Host-pointage-device"
"""A browser takes a cookie so named only over TLS, for this host alone and all its paths."""
LASTS_S = 400 * 24 * 3600  # the longest that browsers take, from its last visit on
JOIN = "/join"
CALENDAR = "/calendar/"
"""A calendar asks with a key of its own, in its address."""
AT_THE_MACHINE, ELSEWHERE = "/devices", "/devices/elsewhere"
"""Who comes in is settled at the machine alone, so that a stolen phone lets nobody in."""
CHALLENGE = {"WWW-Authenticate": "Pointage-Join", "Cache-Control": "no-store"}
WANTED = "wanted"
"""Of a request that is answered with how to join: what it was for."""
STRANGER = "stranger"
"""Of a request by a device that has not joined: no answer to it may have anything of the kitchen's,
what went wrong not either."""
SHOWN_TO_ALL = {
    JOIN,
    f"{JOIN}/certificate",
    *(
        f"/static/{name}"
        for name in (
            *("pointage.css", "devices.css", "icon.svg", "join.js", "outbox.js", "texts.js"),
            *("serif-regular.woff2", "serif-semibold.woff2", "serif-italic.woff2"),
        )
    ),
}
"""Nothing of the kitchen is in any of them."""


def at_this_machine(scope: Mapping[str, object]) -> bool:
    """Whether a request came in at a loopback address of this machine, without TLS."""
    server = scope.get("server")
    if scope.get("scheme") != "http" or not isinstance(server, (tuple, list)):
        return False
    try:
        return ip_address(str(server[0]).strip("[]")).is_loopback
    except ValueError:
        return str(server[0]) == "localhost"


def let_in(response: Response, token: str) -> None:
    """Put the cookie of a device into an answer."""
    response.set_cookie(
        COOKIE, token, max_age=LASTS_S, path="/", secure=True, httponly=True, samesite="lax"
    )


class DeviceGate:
    """Lets through this machine, devices that have joined, and probes, which have a token each."""

    def __init__(self, app: ASGIApp, devices: Devices | None) -> None:
        self.app = app
        self.devices = devices

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] != "http" or self.devices is None or at_this_machine(scope):
            await self.app(scope, receive, send)
            return
        path, request = scope["path"], HTTPConnection(scope)
        token = request.cookies.get(COOKIE, "")
        device = await run_in_threadpool(self.devices.known, token) if token else None
        if device is not None:
            if path.startswith(AT_THE_MACHINE):
                scope = _asking(scope, ELSEWHERE)
            await self.app(scope, receive, _renewing(send, token))
        elif (_reads(scope) and (path in SHOWN_TO_ALL or path.startswith(CALENDAR))) or (
            path in {JOIN, PROBE} and scope["method"] == "POST"
        ):
            await self.app({**scope, STRANGER: True}, receive, send)
        elif path == "/alive":
            await Response(status_code=401, headers=CHALLENGE)(scope, receive, send)
        else:
            asked = {**_asking(scope, JOIN), STRANGER: True}
            asked[WANTED] = path if _reads(scope) else "/"
            await self.app(asked, receive, send)


def _reads(scope: Scope) -> bool:
    return scope["method"] in {"GET", "HEAD"}


def _asking(scope: Scope, path: str) -> Scope:
    """The same request, but to be shown another page."""
    method = "HEAD" if scope["method"] == "HEAD" else "GET"
    return {**scope, "path": path, "raw_path": path.encode(), "method": method}


def _renewing(send: Send, token: str) -> Send:
    """The cookie lasts from the last page on; a page that has not changed need not say so again."""

    async def sent(message: Message) -> None:
        if message["type"] == "http.response.start" and message["status"] == 200:
            headers = MutableHeaders(scope=message)
            if headers.get("content-type", "").startswith("text/html"):
                cookie = Response()
                let_in(cookie, token)
                headers.append("set-cookie", cookie.headers["set-cookie"])
        await send(message)

    return sent
