"""How much may be sent with a request: counted as it comes, and no more of it is read than that."""

from __future__ import annotations

from starlette.datastructures import Headers
from starlette.exceptions import HTTPException
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from pointage.daybook.photograph import LARGEST_BYTES
from pointage.desk.kitchen.places import LARGEST_MB
from pointage.web.door.guard import PROBE

AROUND = 100_000  # the form around a file
FORM = 2_000_000  # the longest text of a kitchen's file with every sign escaped
MOST = {
    PROBE: (100_000, "A probe's message may have at most 100 kB"),
    "/daybook/photo": (
        LARGEST_BYTES + AROUND,
        f"A photograph may have at most {LARGEST_BYTES / 1e6:g} MB",
    ),
    "/kitchen/log": (
        LARGEST_MB * 1_000_000 + AROUND,
        f"A log may have at most {LARGEST_MB} MB",
    ),
}
"""Bytes, and what is said of more, by how the path begins; all else is a form."""


class Bodies:
    """Ends the reading of a body that is too long with status 413, by its length and by its count.

    Whoever reads the body gets the HTTPException; of a body that nobody reads only the little comes
    in that the server buffers.
    """

    def __init__(self, app: ASGIApp) -> None:
        self.app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return
        most, sentence = next(
            (found for start, found in MOST.items() if scope["path"].startswith(start)),
            (FORM, f"A form may have at most {FORM / 1e6:g} MB"),
        )
        length = Headers(scope=scope).get("content-length", "")
        read = 0

        async def counted() -> Message:
            nonlocal read
            if length.isdecimal() and int(length) > most:
                size = f"{int(length) / 1e6:.1f} MB" if most >= 1e6 else f"{int(length)} bytes"
                raise HTTPException(413, f"{sentence}; this one has {size}")
            message = await receive()
            read += len(message.get("body", b""))
            if read > most:
                raise HTTPException(413, sentence)
            return message

        await self.app(scope, counted, send)
