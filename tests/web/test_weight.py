"""What goes over the line: to a fresh browser, and for each page after that."""

from __future__ import annotations

import re
from collections.abc import Callable

import httpx
import pytest
from tests.web import fixture_plan as fixture
from tests.web.conftest import ORIGIN, ask

from pointage.desk.desk import StoredDesk
from pointage.web.app import create_app

FIRST_B = 150_000
LATER_B = 30_000
MOST_PAGES = 60

Get = Callable[[str], httpx.Response]


@pytest.fixture
def get(demonstration: StoredDesk) -> Get:
    app = create_app(demonstration, lambda: fixture.NOW)
    return lambda path: ask(app, "GET", ORIGIN + path, headers={"Accept-Encoding": "gzip"})


def weigh(get: Get, path: str, had: set[str]) -> tuple[dict[str, int], httpx.Response]:
    """Bytes by address of a page and the files that it needs; `had` takes in the files."""
    page = get(path)
    weights = {path: int(page.headers["Content-Length"])}
    wanted = re.findall(r'(?:href|src)="(/static/[^"]+)"', page.text)
    while wanted:
        file = wanted.pop()
        if file not in had:
            had.add(file)
            answer = get(file)
            assert answer.status_code == 200, file
            weights[file] = int(answer.headers["Content-Length"])
            named = re.findall(r'(?:url\(|from )"(?:\./)?([\w.-]+)"', answer.text)
            wanted += [f"/static/{name}" for name in named] if "htmx" not in file else []
    return weights, page


@pytest.mark.long
def test_the_first_page_and_every_other_are_light(get: Get) -> None:
    had: set[str] = set()
    weights, page = weigh(get, "/", had)
    assert {"/static/serif-regular.woff2", "/static/outbox.js"} <= had
    assert sum(weights.values()) <= FIRST_B, weights
    ahead, seen = [page], {"/", "/licences", "/daybook/archive"}
    while ahead and len(seen) < MOST_PAGES:
        for path in re.findall(r'href="(/[^"#?]*)"', ahead.pop(0).text):
            if path not in seen and not path.startswith("/static/"):
                seen.add(path)
                weights, page = weigh(get, path, set(had))
                assert sum(weights.values()) <= LATER_B, weights
                ahead.append(page)
    assert len(seen) > 25
