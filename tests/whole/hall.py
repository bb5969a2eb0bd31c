"""A kitchen asked from outside: its pages by HTTP in this process, its commands, its archive."""

from __future__ import annotations

import asyncio
import io
import os
from collections.abc import Iterator, Mapping
from concurrent.futures import ThreadPoolExecutor
from contextlib import contextmanager, redirect_stderr, redirect_stdout
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Any, Self

import httpx
from starlette.applications import Starlette

from pointage.cli.app import run
from pointage.daybook.store.store import Store, open_store
from pointage.desk.desk import StoredDesk
from pointage.web.app import create_app

ORIGIN = "http://127.0.0.1"


class Hall:
    """One store's kitchen with its pages, its clock standing at `now`."""

    def __init__(self, url: str, now: datetime) -> None:
        self.url = url
        self.now = now
        self.store: Store = open_store(url)
        self.kitchen = self.store.kitchens()[0].id
        self.desk = StoredDesk(self.store, self.kitchen, since=now, clock=lambda: self.now)
        self.app: Starlette = create_app(self.desk, lambda: self.now)
        # A thread and a loop of its own: the browser's tests leave a loop running in theirs.
        self._thread = ThreadPoolExecutor(1)
        self._loop = asyncio.new_event_loop()
        transport = httpx.ASGITransport(app=self.app)
        self._client = httpx.AsyncClient(transport=transport, base_url=ORIGIN)

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()

    def close(self) -> None:
        self._thread.submit(self._end).result()
        self._thread.shutdown()
        self.store.close()

    def get(self, path: str) -> httpx.Response:
        """A page. What the application raises is raised here too."""
        return self._ask("GET", path)

    def post(self, path: str, fields: Mapping[str, str], **rest: Any) -> httpx.Response:
        """A form, as one of our own pages would send it."""
        return self._ask("POST", path, data=fields, headers={"Origin": ORIGIN}, **rest)

    def send(self, path: str, content: bytes, headers: Mapping[str, str]) -> httpx.Response:
        """A message that is no form, as a probe would post it."""
        return self._ask("POST", path, content=content, headers=dict(headers))

    def _ask(self, method: str, path: str, **rest: Any) -> httpx.Response:
        def asked() -> httpx.Response:
            return self._loop.run_until_complete(self._client.request(method, path, **rest))

        return self._thread.submit(asked).result()

    def _end(self) -> None:
        self._loop.run_until_complete(self._client.aclose())
        self._loop.run_until_complete(self._loop.shutdown_default_executor())
        self._loop.close()


@dataclass(frozen=True, slots=True)
class Said:
    """What a command answered."""

    status: int
    out: str
    err: str


def command(url: str, *words: str) -> Said:
    """`pointage` in this process on the store at `url`. What it raises is raised here too."""
    out, err = io.StringIO(), io.StringIO()
    with _store(url), redirect_stdout(out), redirect_stderr(err):
        status = run(words)
    return Said(status, out.getvalue(), err.getvalue())


@contextmanager
def _store(url: str) -> Iterator[None]:
    before = os.environ.get("POINTAGE_STORE")
    os.environ["POINTAGE_STORE"] = url
    try:
        yield
    finally:
        if before is None:
            del os.environ["POINTAGE_STORE"]
        else:
            os.environ["POINTAGE_STORE"] = before


def imported(archive: Path, url: str) -> str:
    """The store at `url` with an archive taken in."""
    said = command(url, "import", str(archive), "--store", url)
    assert said.status == 0, said.err
    return url
