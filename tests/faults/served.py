"""Servers that kill themselves during a form: `python -m tests.faults.served PORT INSTANT`.

A line of input, a moment and the URL of a store with a tab between, begins a server whose clock
stands at INSTANT; a line of output says that it was killed.
"""

from __future__ import annotations

import os
import signal
import sys
from datetime import datetime

import uvicorn
from sqlalchemy import event
from starlette.types import Message, Receive, Scope, Send
from tests.whole.hall import Hall

from pointage.mixture.warm import warm

MOMENTS = ("on arrival", "before the end", "before the answer", "in the answer")
"""Nothing is written; all but the end of the transaction is; it is written and not answered; the
head of the answer has left, and its body has not."""


def _die(*_: object) -> None:
    os.kill(os.getpid(), signal.SIGKILL)


def serve(url: str, port: int, now: datetime, moment: str) -> None:
    """Serve until the first form. Never returns."""
    hall = Hall(url, now)

    async def app(scope: Scope, receive: Receive, send: Send) -> None:
        async def last(message: Message) -> None:
            if moment == "in the answer" and message["type"] == "http.response.start":
                await send(message)
            else:
                _die()

        if scope["method"] != "POST":
            await hall.app(scope, receive, send)
            return
        if moment == "on arrival":
            _die()
        if moment == "before the end":
            event.listen(hall.store._engine, "commit", _die)
        await hall.app(scope, receive, last)

    uvicorn.run(app, port=port, log_level="critical", lifespan="off")


def main() -> None:
    port, now = int(sys.argv[1]), datetime.fromisoformat(sys.argv[2])
    warm()  # once, and not in each server
    while line := sys.stdin.readline().strip():
        moment, url = line.split("\t")
        child = os.fork()
        if child == 0:
            serve(url, port, now, moment)
        os.waitpid(child, 0)
        print("killed", flush=True)


if __name__ == "__main__":
    main()
