"""A hall's pages at an address that a browser can reach, and what happens to answers on the way."""

from __future__ import annotations

import threading
import time
from typing import Any

import anyio
import uvicorn
from starlette.types import ASGIApp, Message, Receive, Scope, Send
from tests.whole.hall import Hall

PATIENCE_S = 60


class Front:
    """One address with the pages of `hall` behind it, which may be changed for another.

    loses: the answer to a form is lost after the write. holds: a form is not even read.
    """

    def __init__(self, hall: Hall) -> None:
        self.hall = hall
        self.loses = self.holds = False
        self._server, self._thread = _started(self, 0)
        self.port: int = self._server.servers[0].sockets[0].getsockname()[1]

    @property
    def url(self) -> str:
        return f"http://127.0.0.1:{self.port}"

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["method"] == "POST":
            while self.holds:
                await anyio.sleep(0.02)
            if self.loses:
                await self.hall.app(scope, receive, _nowhere)
                connection: Any = send
                connection.__self__.transport.abort()  # not a word, nor the end of one
                return
        await self.hall.app(scope, receive, send)

    def stop(self) -> None:
        """Nothing is at this address any longer."""
        self._server.should_exit = self._server.force_exit = True
        self._thread.join(PATIENCE_S)

    def start(self) -> None:
        """The server is back, at the same address."""
        self._server, self._thread = _started(self, self.port)


async def _nowhere(message: Message) -> None:
    """Where an answer goes that is lost."""


def _started(app: ASGIApp, port: int) -> tuple[uvicorn.Server, threading.Thread]:
    config = uvicorn.Config(app, port=port, log_level="critical", lifespan="off")
    server = uvicorn.Server(config)
    thread = threading.Thread(target=server.run, daemon=True)
    thread.start()
    until = time.monotonic() + PATIENCE_S
    while not server.started:
        assert time.monotonic() < until, "the server did not start"
        time.sleep(0.01)
    return server, thread
