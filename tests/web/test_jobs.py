"""What takes long is said to be under way, on every page, and can be stopped."""

from __future__ import annotations

import threading
from collections.abc import Iterator
from pathlib import Path

import httpx
import pytest
from starlette.applications import Starlette
from tests.web.conftest import ORIGIN, ask
from tests.web.stored_desk import NOW, hall

from pointage.desk.desk import StoredDesk
from pointage.desk.jobs import Job, Jobs
from pointage.web.app import create_app

PATIENCE_S = 20.0
PLOVER = ("beliefs", "Plover")
FIELDS = {"kind": "beliefs", "name": "Plover", "path": "/water"}


class Work:
    """Work that is two fifths done until it is let go on."""

    def __init__(self) -> None:
        self.let, self.begun = threading.Event(), threading.Event()

    def __call__(self, job: Job) -> str:
        job.reached(0.4)
        self.begun.set()
        assert self.let.wait(PATIENCE_S)
        job.reached(1.0)
        return "known"


@pytest.fixture
def work() -> Iterator[Work]:
    found = Work()
    yield found
    found.let.set()


@pytest.fixture
def desk(tmp_path: Path, work: Work) -> StoredDesk:
    """Skerry Hall; what the readings say of Plover is being worked out."""
    found = hall(tmp_path, jobs=Jobs())
    found.present()
    found.jobs.ask(PLOVER, 1, work)
    assert work.begun.wait(PATIENCE_S)
    return found


@pytest.fixture
def app(desk: StoredDesk) -> Starlette:
    return create_app(desk, lambda: NOW)


def block(app: Starlette, since: int) -> httpx.Response:
    asked = {"HX-Request": "true"}
    return ask(app, "GET", f"{ORIGIN}/jobs?since={since}&path=/water", headers=asked)


def test_every_page_says_what_is_under_way_and_how_far_it_is(app: Starlette) -> None:
    for path in ("/", "/week", "/water", "/no-such-page"):
        page = ask(app, "GET", ORIGIN + path).text
        assert "Calculating what the readings say of Plover" in page, path
        assert "40\u00a0%" in page
        assert 'hx-trigger="every 2s"' in page


def test_what_waits_its_turn_is_counted_in_one_line(app: Starlette, desk: StoredDesk) -> None:
    for name in ("Gannet", "Plover"):
        desk.jobs.ask(("vigour", name), 1, lambda _: None)
    page = ask(app, "GET", f"{ORIGIN}/water").text
    assert page.count("/jobs/cancel") == 1
    assert "2 more to follow" in page


def test_the_block_says_when_the_last_of_it_has_ended(
    app: Starlette, desk: StoredDesk, work: Work
) -> None:
    since = desk.work.changes
    busy = block(app, since)
    assert "HX-Trigger" not in busy.headers
    assert "Calculating" in busy.text
    assert "<html" not in busy.text
    work.let.set()
    assert desk.jobs.wait(PATIENCE_S)
    ended = block(app, since)
    assert ended.headers["HX-Trigger"] == "work-ended"
    assert "Calculating" not in ended.text
    assert "HX-Trigger" not in block(app, desk.work.changes).headers


def test_what_was_stopped_says_so_and_can_be_let_go_on(
    app: Starlette, desk: StoredDesk, work: Work
) -> None:
    answer = ask(app, "POST", f"{ORIGIN}/jobs/cancel", data=FIELDS, headers={"Origin": ORIGIN})
    assert (answer.status_code, answer.headers["Location"]) == (303, "/water")
    page = ask(app, "GET", f"{ORIGIN}/water").text
    assert "Stopped: what the readings say of Plover" in page
    assert "every 2s" not in page
    work.let.set()
    assert desk.jobs.wait(PATIENCE_S)
    assert not desk.jobs.ask(PLOVER, 1, work).waits
    ask(app, "POST", f"{ORIGIN}/jobs/start", data=FIELDS, headers={"Origin": ORIGIN})
    assert "Stopped" not in ask(app, "GET", f"{ORIGIN}/water").text
    assert desk.jobs.ask(PLOVER, 1, work).waits


def test_a_form_of_another_page_stops_nothing(app: Starlette, desk: StoredDesk) -> None:
    elsewhere = {"Origin": "http://elsewhere.example"}
    answer = ask(app, "POST", f"{ORIGIN}/jobs/cancel", data=FIELDS, headers=elsewhere)
    assert answer.status_code == 403
    assert [job.subject for job in desk.jobs.under_way()] == [PLOVER]


def test_it_leads_to_no_other_host(app: Starlette) -> None:
    fields = {**FIELDS, "path": "//elsewhere.example"}
    answer = ask(app, "POST", f"{ORIGIN}/jobs/cancel", data=fields, headers={"Origin": ORIGIN})
    assert answer.headers["Location"] == "/"


def test_what_no_person_would_understand_is_not_shown(app: Starlette, desk: StoredDesk) -> None:
    desk.jobs.cancel(PLOVER)
    desk.jobs.ask(("some new kind", "Plover"), 1, lambda _: None)
    assert desk.work.all() == [each for each in desk.work.all() if each.kind == "beliefs"]
