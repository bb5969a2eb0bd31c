"""How long a connection is waited for, and how many are held, so that none shuts others out.

uvicorn waits without end for the headers and the body of a request. Here a connection is closed
when its headers are not there in time or its body stops coming; and when there are too many, the
one that has been idle for longest makes room for the newest.
"""

from __future__ import annotations

import asyncio
import socket
from collections.abc import Sequence

import h11
import uvicorn
from starlette.types import ASGIApp
from uvicorn.protocols.http.h11_impl import H11Protocol

from pointage.web.door.certificate import Certificate

HEADERS_S = 10.0  # for all of them, however slowly they come
BODY_S = 30.0  # without a byte of it, and as long without one of our answer taken
IDLE_S = 5  # after an answer
MOST_CONNECTIONS = 150
"""The system may give a program as few as 256 files (macOS), which connections are."""


def server_of(app: ASGIApp, certificate: Certificate | None = None) -> uvicorn.Server:
    """What serves an application over such connections; over TLS with a certificate."""
    return uvicorn.Server(
        uvicorn.Config(
            app,
            http=Connection,
            timeout_keep_alive=IDLE_S,
            log_level="warning",
            access_log=False,
            lifespan="off",
            proxy_headers=False,  # who asks is who is connected, whatever a header says
            ssl_certfile=None if certificate is None else certificate.chain,
            ssl_keyfile=None if certificate is None else certificate.key,
        )
    )


async def serve_all(served: Sequence[tuple[uvicorn.Server, Sequence[socket.socket]]]) -> None:
    """Serve until they are stopped: a signal reaches the last, which hands it on as it ends."""
    await asyncio.gather(*(server.serve(sockets=[*sockets]) for server, sockets in served))


class Connection(H11Protocol):
    """One connection, watched while the client is to send something."""

    _late: asyncio.TimerHandle | None = None
    _idle_since = 0.0  # when it was made, or the last answer was over

    def connection_made(self, transport: asyncio.Transport) -> None:  # type: ignore[override]
        """Begin to wait for the first headers; make room for them."""
        super().connection_made(transport)
        self._idle_since = self.loop.time()
        self._wait(HEADERS_S)
        held = [each for each in self.connections if not each.transport.is_closing()]
        if len(held) > MOST_CONNECTIONS:
            waiting = (each for each in held if isinstance(each, Connection) and each.is_waiting)
            min(waiting, key=lambda each: each._idle_since).transport.abort()

    def data_received(self, data: bytes) -> None:
        """Read on, and wait for what is still to come."""
        awaited = self.conn.their_state
        super().data_received(data)
        state = self.conn.their_state
        if state is h11.SEND_BODY:
            self._wait(BODY_S)
        elif state is not h11.IDLE:
            self._wait_no_more()
        elif self._late is None or awaited is not h11.IDLE:
            self._wait(HEADERS_S)

    def connection_lost(self, exc: Exception | None) -> None:
        self._wait_no_more()
        super().connection_lost(exc)

    def on_response_complete(self) -> None:
        """Idle from now on; uvicorn's own timer closes it unless something comes."""
        self._idle_since = self.loop.time()
        super().on_response_complete()

    def pause_writing(self) -> None:
        """The client takes nothing of the answer."""
        super().pause_writing()
        self._wait(BODY_S)

    def resume_writing(self) -> None:
        """It takes some again."""
        super().resume_writing()
        self._wait_no_more()

    @property
    def is_waiting(self) -> bool:
        """Whether no answer of ours is under way."""
        return self.cycle is None or self.cycle.response_complete or self._late is not None

    def _wait(self, seconds: float) -> None:
        self._wait_no_more()
        self._late = self.loop.call_later(seconds, self._close_late)

    def _wait_no_more(self) -> None:
        if self._late is not None:
            self._late.cancel()
            self._late = None

    def _close_late(self) -> None:
        self._late = None
        if self.conn.their_state is h11.SEND_BODY and self.flow.read_paused:
            self._wait(BODY_S)  # it is we who do not read
        else:
            self.transport.abort()
