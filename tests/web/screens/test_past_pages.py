"""Looking back on the demonstration's twelve weeks: pictures, tables, and what changed."""

from __future__ import annotations

import re
from collections.abc import Callable
from time import process_time

import httpx
import pytest
from playwright.sync_api import Page
from tests.remembered import remembered
from tests.web.browser.looks import assert_sound
from tests.web.browsers import SIZES
from tests.web.conftest import ORIGIN, Site, ask
from tests.web.stored_desk import NOW

from pointage.daybook.entry import Entry
from pointage.daybook.store.store import open_store
from pointage.desk.desk import StoredDesk
from pointage.desk.jobs import Jobs
from pointage.desk.kitchen.kitchens import demonstration_formulas, demonstration_text
from pointage.desk.opening import take_in
from pointage.web.app import create_app


@pytest.fixture(scope="module")
def desk(tmp_path_factory: pytest.TempPathFactory) -> StoredDesk:
    store = open_store(f"sqlite:///{tmp_path_factory.mktemp('hall') / 'hall.db'}")
    record = take_in(store, demonstration_text(), demonstration_formulas(), NOW)
    entries: list[Entry] = remembered.past(record.id, record.text, demonstration_formulas(), NOW)
    store.append_all(record.id, entries)
    return StoredDesk(store, record.id, since=NOW, clock=lambda: NOW, jobs=Jobs())


def get(desk: StoredDesk, path: str) -> httpx.Response:
    return ask(create_app(desk, lambda: NOW), "GET", ORIGIN + path)


@pytest.mark.long
def test_a_cultures_past_is_there_at_once_and_its_vigour_follows(desk: StoredDesk) -> None:
    first = get(desk, "/daybook/culture/Gannet").text
    assert "Its rises, overlaid" in first
    assert "is being calculated" in first
    assert desk.jobs.wait(600)
    begun = process_time()
    page = get(desk, "/daybook/culture/Gannet").text
    assert process_time() - begun < 1.0  # a page is to answer within a second once it is warm
    assert "is being calculated" not in page
    assert "Vigour" in page
    assert "new sack of rye" in page
    assert page.count('role="img"') == page.count("As a table") == 4


def test_a_formulas_past_has_its_bakes_and_leads_to_what_changed(desk: StoredDesk) -> None:
    page = get(desk, "/daybook/formula/harbour-loaf").text
    assert "11 bakes in the daybook" in page
    for title in ("The bulk of every bake", "How it tasted", "Bake loss"):
        assert title in page
    address = re.search(r"/daybook/compare\?a=[^\"]+", page)
    assert address is not None
    changed = get(desk, address[0].replace("&amp;", "&"))
    assert changed.status_code == 200
    assert "against" in changed.text
    assert 'class="changed"' in changed.text


def test_the_same_bake_twice_and_bakes_there_are_not(desk: StoredDesk) -> None:
    key = next(iter(desk.past.bakes()))
    same = get(desk, f"/daybook/compare?a={key}&b={key}")
    assert same.status_code == 422
    assert "choose two" in same.text
    assert get(desk, f"/daybook/compare?a={key}&b=nothing").status_code == 404
    assert get(desk, "/daybook/compare").status_code == 200
    assert get(desk, "/daybook/culture/Auk").status_code == 404
    assert get(desk, "/daybook/formula/cake").status_code == 404
    assert "has not been baked yet" in get(desk, "/daybook/formula/sunday-spelt").text


def test_the_daybook_leads_to_the_pictures(desk: StoredDesk) -> None:
    page = get(desk, "/daybook").text
    for path in ("/daybook/culture/Gannet", "/daybook/formula/tinned-rye", "/daybook/compare"):
        assert f'href="{path}"' in page
    assert "page 1 of" in page


@pytest.mark.browser
@pytest.mark.long
def test_in_a_browser(desk: StoredDesk, serve: Callable[..., Site], page: Page) -> None:
    desk.past.culture("Plover")
    assert desk.jobs.wait(600)
    site = serve(desk, NOW)
    a, b, *_ = desk.past.bakes()
    paths = ("culture/Plover", "formula/harbour-loaf", f"compare?a={a}&b={b}")
    for path in paths:
        page.goto(f"{site.url}/daybook/{path}")
        page.locator("details").evaluate_all("all => all.forEach((one) => { one.open = true })")
        assert_sound(page, *SIZES)
