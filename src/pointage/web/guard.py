"""Who may ask: by this machine's own names unless told otherwise; forms only from our own pages."""

from __future__ import annotations

from collections.abc import Sequence

from starlette.datastructures import Headers, MutableHeaders
from starlette.responses import PlainTextResponse
from starlette.types import ASGIApp, Message, Receive, Scope, Send

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


def host_name(host: str) -> str:
    """The name of a Host header without its port; an IPv6 address keeps its brackets."""
    end = host.rfind("]")
    return host[: end + 1] if host.startswith("[") else host.partition(":")[0].lower()


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

        refusal = self._refusal(scope["method"], scope["path"], Headers(scope=scope))
        await (refusal or self.app)(scope, receive, guarded)

    def _refusal(self, method: str, path: str, headers: Headers) -> PlainTextResponse | None:
        host = headers.get("host", "")
        if host_name(host) not in self.allowed:
            # A page elsewhere may point its own name at this machine; that name is not ours.
            return PlainTextResponse(f"This server is not called {host_name(host)!r}.\n", 400)
        # A probe is no browser and has no page. It shows a token, which a page elsewhere has not.
        if method not in HARMLESS and path != PROBE and not _from_our_page(headers, host):
            return PlainTextResponse("This form did not come from one of our own pages.\n", 403)
        return None


def _from_our_page(headers: Headers, host: str) -> bool:
    """Every browser names the origin of a form; its host must be the one it was sent to."""
    scheme, _, origin_host = headers.get("origin", "").partition("://")
    return scheme in {"http", "https"} and origin_host.lower() == host.lower()
