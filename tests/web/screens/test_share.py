"""The screen that gives out a formula's page for other kitchens."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from threading import Event

import httpx
import pytest
from tests.web.conftest import ORIGIN, ask
from tests.web.stored_desk import NOW, hall

from pointage.desk.desk import StoredDesk
from pointage.desk.jobs import Jobs
from pointage.desk.kitchen.kitchens import demonstration_formulas
from pointage.desk.sheets import shares
from pointage.web.app import create_app

Get = Callable[[str], httpx.Response]
PLACE = "/formulas/harbour-loaf"


@pytest.fixture
def get(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Get:
    """Pages on a desk whose engine writes at once: what it takes seconds for is tried elsewhere."""
    monkeypatch.setattr(shares, "share_formula", lambda *_, **__: "<!doctype html>")
    monkeypatch.setattr(shares, "share_culture", lambda *given: f"<!doctype html>{given[2].author}")
    return asked(hall(tmp_path))


def asked(desk: StoredDesk) -> Get:
    app = create_app(desk, lambda: NOW)
    return lambda path: ask(app, "GET", ORIGIN + path)


def test_a_page_that_is_made_can_be_downloaded(get: Get) -> None:
    page = get(PLACE + "/share")
    assert f'href="{PLACE}/page.html"' in page.text
    file = get(PLACE + "/page.html")
    assert file.headers["content-disposition"] == 'attachment; filename="harbour-loaf.html"'
    assert file.text.startswith("<!doctype html>")


def test_one_that_is_being_made_leads_back_to_its_progress(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    ended, jobs = Event(), Jobs()
    monkeypatch.setattr(
        shares, "share_formula", lambda *_, **__: ended.wait(60) and "<!doctype html>"
    )
    get = asked(hall(tmp_path, jobs=jobs))
    assert "being calculated" in get(PLACE + "/share").text
    file = get(PLACE + "/page.html")
    assert file.headers["location"] == PLACE + "/share"
    ended.set()
    assert jobs.wait(60)
    assert get(PLACE + "/page.html").text == "<!doctype html>"


def test_a_formula_of_which_there_can_be_none_says_why(tmp_path: Path) -> None:
    desk = hall(tmp_path)
    mixed = demonstration_formulas()["harbour-loaf"].partition("[process]")[0]
    desk._store.put_formula(desk._id, "mixed", mixed, NOW, after=0)
    page = asked(desk)("/formulas/mixed/share")
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
