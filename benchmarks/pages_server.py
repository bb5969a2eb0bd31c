"""The server that `benchmarks.pages` measures: the pages, timed, and two bare routes beside them.

It prints its port, and ends when its input does.
"""

from __future__ import annotations

import sys
import threading
import time
from datetime import UTC, datetime
from pathlib import Path
from uuid import uuid4

import uvicorn
from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import HTMLResponse, Response
from starlette.routing import Route
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from pointage.daybook.entry import Entry, EntryKind, KitchenRecord
from pointage.daybook.store.store import Store, open_store
from pointage.desk.desk import StoredDesk
from pointage.desk.jobs import Jobs
from pointage.desk.planner.beside import PlannerBeside
from pointage.web.app import create_app
from pointage.web.door.listening import LOOPBACK, listen_on
from pointage.web.frame import Frame, Moment
from pointage.web.render import render
from pointage.web.screens.error.page import ErrorPage
from pointage.web.serve import SWITCH_S

EMPTY, INSERT = "/benchmark/empty", "/benchmark/insert"
SINCE = datetime(2026, 12, 2, 12, 0, tzinfo=UTC)
"""When the demonstration of the benchmark was opened: a Wednesday."""


class Timed:
    """Says in a Server-Timing header how long the application took until it began to answer.

    cpu: what the process worked meanwhile; with one client that is the answer's own, however many
    others work on the machine.
    """

    def __init__(self, app: ASGIApp) -> None:
        self.app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        start, worked = time.perf_counter(), time.process_time()

        async def timed(message: Message) -> None:
            if message["type"] == "http.response.start":
                took = (time.perf_counter() - start) * 1000
                cpu = (time.process_time() - worked) * 1000
                told = f"app;dur={took:.3f}, cpu;dur={cpu:.3f}".encode()
                message["headers"] = [*message["headers"], (b"server-timing", told)]
            await send(message)

        await self.app(scope, receive, timed)


def empty(request: Request) -> Response:
    """A page with nothing on it."""
    frame = Frame("Skerry Hall", "", "auto", Moment("12:00", SINCE.isoformat()), "/")
    return HTMLResponse(render(ErrorPage(frame, "Nothing", "There is nothing here.")))


def insert_into(store: Store) -> Route:
    """One entry written for good, and no more than that."""
    kitchen = KitchenRecord(str(uuid4()), "Beside", "Europe/Dublin", "")
    store.put_kitchen(kitchen)

    async def insert(request: Request) -> Response:
        async with request.form() as form:
            name = str(form["entry"])
        now = datetime.now(UTC)
        entry = Entry(name, kitchen.id, EntryKind.NOTE, now, now, "baker", {"text": "a line"})
        await run_in_threadpool(store.append, entry)
        return Response(status_code=204)

    return Route(INSERT, insert, methods=["POST"])


def main() -> None:
    path, moment = Path(sys.argv[1]), datetime.fromisoformat(sys.argv[2])
    started = datetime.now(UTC)

    def clock() -> datetime:
        return moment + (datetime.now(UTC) - started)

    store = open_store(f"sqlite:///{path}")
    planner = PlannerBeside()
    planner.begin()
    jobs = Jobs(planner=planner)
    desk = StoredDesk(store, store.kitchens()[0].id, since=SINCE, clock=clock, jobs=jobs)
    app = create_app(desk, now=clock)
    beside = open_store(f"sqlite:///{path.with_suffix('.beside.sqlite3')}")
    app.router.routes += [Route(EMPTY, empty), insert_into(beside)]
    config = uvicorn.Config(Timed(app), log_level="warning", access_log=False, lifespan="off")
    server = uvicorn.Server(config)

    def end_with_the_input() -> None:
        sys.stdin.read()
        server.should_exit = True

    threading.Thread(target=end_with_the_input, daemon=True).start()
    listening = listen_on(LOOPBACK, 0)
    listening.listen(512)
    print(listening.getsockname()[1], flush=True)
    sys.setswitchinterval(SWITCH_S)
    server.run(sockets=[listening])


if __name__ == "__main__":
    main()
