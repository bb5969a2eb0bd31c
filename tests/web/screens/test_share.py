"""The screen that gives out a formula's page for other kitchens."""

from __future__ import annotations

from collections.abc import Callable

import httpx
import pytest
from tests.web.conftest import ORIGIN, ask
from tests.web.fake_desk import FakeDesk, FakeShares
from tests.web.stored_desk import NOW

from pointage.desk.jobs import JobAnswer
from pointage.errors import InputError
from pointage.web.app import create_app

Get = Callable[[str], httpx.Response]
PLACE = "/formulas/harbour-loaf"


@pytest.fixture
def get() -> Get:
    app = create_app(FakeDesk(plans={}), lambda: NOW)
    return lambda path: ask(app, "GET", ORIGIN + path)


def test_a_page_that_is_made_can_be_downloaded(get: Get) -> None:
    page = get(PLACE + "/share")
    assert f'href="{PLACE}/page.html"' in page.text
    file = get(PLACE + "/page.html")
    assert file.headers["content-disposition"] == 'attachment; filename="harbour-loaf.html"'
    assert file.text.startswith("<!doctype html>")


def test_one_that_is_being_made_leads_back_to_its_progress(
    get: Get, monkeypatch: pytest.MonkeyPatch
) -> None:
    waiting: JobAnswer[str] = JobAnswer(None, False, waits=True)
    monkeypatch.setattr(FakeShares, "page", lambda *_: waiting)
    assert "being calculated" in get(PLACE + "/share").text
    file = get(PLACE + "/page.html")
    assert file.headers["location"] == PLACE + "/share"


def test_a_formula_of_which_there_can_be_none_says_why(
    get: Get, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refused(*_: object) -> JobAnswer[str]:
        raise InputError("Harbour loaf, process", "missing", "a [process] table")

    monkeypatch.setattr(FakeShares, "page", refused)
    page = get(PLACE + "/share")
    assert page.status_code == 422
    assert "Harbour loaf, process" in page.text


def test_a_culture_asks_whose_its_page_is_before_it_is_made(get: Get) -> None:
    asked = get("/cultures/Plover/share")
    assert 'name="licence"' in asked.text
    assert "page.html" not in asked.text
    made = get("/cultures/Plover/share?author=A+baker&year=2026&licence=CC+BY+4.0")
    link = "/cultures/Plover/page.html?author=A+baker&amp;year=2026&amp;licence=CC+BY+4.0"
    assert f'href="{link}"' in made.text
    file = get(link.replace("&amp;", "&"))
    assert file.headers["content-disposition"] == 'attachment; filename="plover.html"'
    assert file.text.endswith("A baker")
