"""How much may be sent with a request: counted as it comes, and no more of it is read than that."""

from __future__ import annotations

from starlette.datastructures import Headers
from starlette.exceptions import HTTPException
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from pointage.daybook.photograph import LARGEST_BYTES
from pointage.desk.kitchen.places import LARGEST_MB
from pointage.language import best, mark, say, say_many, speaking
from pointage.web.door.guard import PROBE

AROUND = 100_000  # the form around a file
FORM = 2_000_000  # the longest text of a kitchen's file with every sign escaped
MOST = {
    PROBE: (100_000, 0.1, mark("A probe's message may have at most 100 kB")),
    "/daybook/photo": (
        LARGEST_BYTES + AROUND,
        LARGEST_BYTES / 1e6,
        mark("A photograph may have at most {most:g} MB"),
    ),
    "/kitchen/log": (
        LARGEST_MB * 1_000_000 + AROUND,
        float(LARGEST_MB),
        mark("A log may have at most {most:g} MB"),
    ),
}
"""Bytes, and what is said of more with its MB, by how the path begins; all else is a form."""
A_FORM = FORM, FORM / 1e6, mark("A form may have at most {most:g} MB")


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
        most, megabytes, message = next(
            (found for start, found in MOST.items() if scope["path"].startswith(start)), A_FORM
        )
        headers = Headers(scope=scope)
        length, read = headers.get("content-length", ""), 0

        def too_much(size: int | None = None) -> HTTPException:
            with speaking(best(headers.get("accept-language", ""))):  # there is no visit yet
                sentence = say(message, most=megabytes)
                if size is None:
                    return HTTPException(413, sentence)
                if most >= 1e6:
                    has = say("this one has {size:.1f} MB", size=size / 1e6)
                else:
                    has = say_many("this one has {n} byte", "this one has {n} bytes", size)
                return HTTPException(413, f"{sentence}; {has}")

        async def counted() -> Message:
            nonlocal read
            if length.isdecimal() and int(length) > most:
                raise too_much(int(length))
            part = await receive()
            read += len(part.get("body", b""))
            if read > most:
                raise too_much()
            return part

        await self.app(scope, counted, send)
