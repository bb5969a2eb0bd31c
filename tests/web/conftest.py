"""The pages of a stored kitchen: asked in this process, and served to a real browser."""

from __future__ import annotations

import asyncio
import os
import shutil
import threading
import time
from collections.abc import Callable, Iterator, Mapping
from concurrent.futures import ThreadPoolExecutor
from contextlib import ExitStack, contextmanager
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Any
from uuid import uuid4

import httpx
import pytest
import uvicorn
from playwright.sync_api import Browser, Page, expect, sync_playwright
from starlette.applications import Starlette
from tests.web import fixture_plan as fixture
from tests.web.browsers import PATIENCE_S, new_socket, opened
from tests.web.stored_desk import friday_desk

from pointage.desk.desk import StoredDesk
from pointage.desk.jobs import Jobs
from pointage.desk.opening import open_demonstration
from pointage.web.app import create_app
from pointage.web.port import Desk

ORIGIN = "http://127.0.0.1"
CHROMIUM = ("chromium-headless-shell", "chromium", "chromium-browser")
WITHOUT = (
    # As Playwright has it, whose list this takes the place of.
    "AimEnabled", "AvoidCorsURLLoaderRestartOnRedirect", "AvoidUnnecessaryBeforeUnloadCheckSync",
    "DestroyProfileOnBrowserClose", "HttpsFirstBalancedModeAutoEnable", "HttpsUpgrades",
    "LensOverlay", "MediaRouter", "NetworkTimeServiceQuerying", "OptimizationHints", "PaintHolding",
    "PreconnectToSearch", "ThirdPartyStoragePartitioning",
    # Pages of the browser's own, which each window opens for its address bar: more work than ours.
    "WebUIOmniboxAimPopup", "WebUIOmniboxFullPopup", "WebUIOmniboxPopup",
    "WebUIOmniboxSimplification",
)  # fmt: skip
FLAGS = (
    f"--disable-features={','.join(WITHOUT)}",
    "--accept-lang=en-GB",  # °C and 24 hours, whatever the machine speaks
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
)


def ask(app: Starlette, method: str, url: str, **rest: Any) -> httpx.Response:
    """One request to an application in this process.

    It runs in a thread of its own: the browser's tests leave a loop running in this one.
    """

    async def asked() -> httpx.Response:
        transport = httpx.ASGITransport(app=app, raise_app_exceptions=False)
        async with httpx.AsyncClient(transport=transport) as client:
            return await client.request(method, url, **rest)

    with ThreadPoolExecutor(1) as pool:
        return pool.submit(lambda: asyncio.run(asked())).result()


@dataclass
class Door:
    """The application, asked as a browser would ask it but without one. A test may move `now`."""

    desk: StoredDesk
    now: datetime = fixture.NOW

    def _ask(self, method: str, path: str, **rest: Any) -> httpx.Response:
        return ask(create_app(self.desk, lambda: self.now), method, ORIGIN + path, **rest)

    def get(self, path: str, headers: Mapping[str, str] | None = None) -> httpx.Response:
        return self._ask("GET", path, headers=dict(headers or {}))

    def post(
        self,
        path: str,
        fields: Mapping[str, str] | None = None,
        headers: Mapping[str, str] | None = None,
    ) -> httpx.Response:
        return self._ask(
            "POST", path, data=dict(fields or {}), headers={"Origin": ORIGIN, **(headers or {})}
        )

    def tell(
        self, path: str, headers: Mapping[str, str] | None = None, **fields: str
    ) -> httpx.Response:
        """Something told of the harbour loaf's mix unless it says otherwise."""
        told = {"entry": str(uuid4()), "bake": fixture.HARBOUR, "step": "mix"}
        return self.post(path, told | fields, headers)


@pytest.fixture
def door(tmp_path: Path) -> Door:
    made: list[Door] = []
    made.append(Door(friday_desk(tmp_path, lambda: made[0].now)))
    return made[0]


@dataclass
class Site:
    """The application served on a free port of this machine. A test may move `now`."""

    desk: Any
    now: datetime
    server: uvicorn.Server

    @property
    def url(self) -> str:
        return f"{ORIGIN}:{self.server.servers[0].sockets[0].getsockname()[1]}"


@contextmanager
def served(desk: Desk, now: datetime = fixture.NOW) -> Iterator[Site]:
    """The desk's pages, at an address of this machine, until the end."""
    config = uvicorn.Config("unused", log_level="warning", lifespan="off")
    site = Site(desk, now, uvicorn.Server(config))
    config.app = create_app(desk, lambda: site.now)
    thread = threading.Thread(target=site.server.run, args=([new_socket()],), daemon=True)
    thread.start()
    until = time.monotonic() + PATIENCE_S
    while not site.server.started:
        assert time.monotonic() < until, "the server did not start"
        time.sleep(0.01)
    yield site
    site.server.should_exit = True
    site.server.force_exit = True
    thread.join(PATIENCE_S)


@pytest.fixture
def serve() -> Iterator[Callable[..., Site]]:
    """Serves a desk until the test ends."""
    with ExitStack() as stack:
        yield lambda desk, now=fixture.NOW: stack.enter_context(served(desk, now))


@pytest.fixture
def site(serve: Callable[[StoredDesk], Site], tmp_path: Path) -> Site:
    made: list[Site] = []
    made.append(serve(friday_desk(tmp_path, lambda: made[0].now)))
    return made[0]


class Idle(Jobs):
    """What takes long is not worked out."""

    def _queue(self, *_: object) -> bool:
        return False


@pytest.fixture(scope="session")
def demonstration(tmp_path_factory: pytest.TempPathFactory) -> StoredDesk:
    """The demonstration kitchen, to be read only, without what is learned of its past."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("XDG_DATA_HOME", str(tmp_path_factory.mktemp("demonstration")))
        return open_demonstration(fixture.NOW, lambda: fixture.NOW, Idle())


def chromium_here() -> str | None:
    """The program of this machine, if there is one."""
    return next(filter(None, map(shutil.which, CHROMIUM)), None)


@pytest.fixture(scope="session")
def chromium() -> Iterator[Browser]:
    """Chromium as the machine has it. Without one the test is skipped, but not where CI is set.

    Best without its windows, which takes less work.
    """
    path = chromium_here()
    if path is None:
        if os.environ.get("CI"):
            pytest.fail("there is no Chromium on this machine, and CI is set")
        pytest.skip("there is no Chromium on this machine")
    expect.set_options(timeout=PATIENCE_S * 1000)
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=path, args=list(FLAGS))
        yield browser
        browser.close()


@pytest.fixture
def page(chromium: Browser) -> Iterator[Page]:
    """A page on a phone, as new."""
    with opened(chromium) as page:
        yield page


@pytest.fixture
def laptop(chromium: Browser) -> Iterator[Page]:
    with opened(chromium, "laptop") as page:
        yield page
