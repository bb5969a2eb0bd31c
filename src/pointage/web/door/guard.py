"""Who may ask: by this machine's own names unless set otherwise; forms only from our own pages."""

from __future__ import annotations

import re
from collections.abc import Sequence
from ipaddress import IPv6Address

from starlette.datastructures import Headers, MutableHeaders
from starlette.responses import PlainTextResponse
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from pointage.language import best, say, speaking

LOOPBACK = ("localhost", "127.0.0.1", "[::1]")
PROBE = "/probe"
HARMLESS = frozenset({"GET", "HEAD", "OPTIONS"})

POLICY = "; ".join(
    (
        "default-src 'none'",
        "script-src 'self'",
        "style-src 'self'",
        "img-src 'self'",
        "font-src 'self'",
        "connect-src 'self'",
        "manifest-src 'self'",
        "worker-src 'self'",
        "form-action 'self'",
        "base-uri 'none'",
        "frame-ancestors 'none'",
    )
)
HEADERS = {
    # How a page knows our own answer from that of whatever else sits on the line.
    "Pointage": "web",
    "Content-Security-Policy": POLICY,
    "X-Content-Type-Options": "nosniff",
    # Not "no-referrer": with it a browser sends "Origin: null" with our own forms.
    "Referrer-Policy": "same-origin",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
}


AUTHORITY = re.compile(
    r"(?P<name>\[(?P<six>[0-9a-f:.]+)\]|[a-z0-9._~!$&'()*+,;=%-]+)(?::(?P<port>[0-9]{0,5}))?",
    re.IGNORECASE | re.ASCII,
)
MOST_PORT = 65535
PORTS = {"http": 80, "https": 443}


def host_of(authority: str) -> tuple[str, int | None] | None:
    """The name and port of what a Host header may hold; None for anything else.

    `host [":" port]` by RFC 9110, 7.2: a name, an IPv4 address, or an IPv6 address in brackets with
    nothing but a port after them (RFC 3986, 3.2.2 and 3.2.3; a port may be left empty). Names come
    in lower case, IPv6 addresses in their brackets and their shortest form (RFC 5952).
    """
    found = AUTHORITY.fullmatch(authority)
    if found is None or int(found["port"] or 0) > MOST_PORT:
        return None
    port = int(found["port"]) if found["port"] else None
    if found["six"] is None:
        return found["name"].lower(), port
    try:
        return f"[{IPv6Address(found['six'])}]", port
    except ValueError:
        return None


def own_path(path: str) -> str:
    """A path of our own to go on to, or the first page: "//elsewhere" would be another host."""
    return path if path.startswith("/") and path[1:2] not in {"/", "\\"} else "/"


class Guard:
    """Refuses strangers and puts the security headers on every answer."""

    def __init__(self, app: ASGIApp, allowed_hosts: Sequence[str] = LOOPBACK) -> None:
        self.app = app
        self.allowed = frozenset(name.lower() for name in allowed_hosts)

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return

        async def guarded(message: Message) -> None:
            if message["type"] == "http.response.start":
                headers = MutableHeaders(scope=message)
                for name, value in HEADERS.items():
                    headers.setdefault(name, value)
            await send(message)

        headers = Headers(scope=scope)
        with speaking(best(headers.get("accept-language", ""))):  # there is no visit yet
            refusal = self._refusal(scope["method"], scope["path"], headers)
        await (refusal or self.app)(scope, receive, guarded)

    def _refusal(self, method: str, path: str, headers: Headers) -> PlainTextResponse | None:
        host = headers.get("host", "")
        asked = host_of(host)
        if asked is None or asked[0] not in self.allowed:
            # A page elsewhere may point its own name at this machine; that name is not ours.
            name = host if asked is None else asked[0]
            called = say("This server is not called {name!r}.", name=name[:100])
            return PlainTextResponse(f"{called}\n", 400)
        # A probe is no browser and has no page. It shows a token, which a page elsewhere has not.
        if method not in HARMLESS and path != PROBE and not _from_our_page(headers, host):
            refused = say("This form did not come from one of our own pages.")
            return PlainTextResponse(f"{refused}\n", 403)
        return None


def _from_our_page(headers: Headers, host: str) -> bool:
    """Every browser names the origin of a form; its host must be the one it was sent to."""
    scheme, _, authority = headers.get("origin", "").partition("://")
    usual = PORTS.get(scheme)
    origin, ours = host_of(authority), host_of(host)
    if usual is None or origin is None or ours is None:
        return False
    return (origin[0], origin[1] or usual) == (ours[0], ours[1] or usual)
