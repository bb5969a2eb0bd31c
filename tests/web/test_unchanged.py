"""A page that has not changed is answered 304 (RFC 9110, 13 and 15.4.5); a changed one never is."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any
from uuid import uuid4

import httpx
import pytest
from playwright.sync_api import Page
from starlette.applications import Starlette
from tests.web import fixture_plan as fixture
from tests.web.conftest import ORIGIN, Site, ask
from tests.web.stored_desk import NOW, friday_desk, hall

from pointage.daybook.entry import EntryKind
from pointage.desk.answers import Report
from pointage.desk.desk import StoredDesk
from pointage.web.app import create_app


@dataclass
class House:
    """One application on one desk, with a clock and a trouble that a test may set."""

    desk: StoredDesk
    now: datetime = fixture.NOW
    trouble: str = ""

    def __post_init__(self) -> None:
        self.app: Starlette = create_app(self.desk, lambda: self.now, trouble=lambda: self.trouble)

    def get(self, path: str = "/", tag: str = "", **headers: str) -> httpx.Response:
        """tag: of the page that the browser has already."""
        named = {name.replace("_", "-"): value for name, value in headers.items()}
        known = {"If-None-Match": tag} if tag else {}
        return ask(self.app, "GET", ORIGIN + path, headers={**named, **known})

    def tell(self, path: str = "/bench/done", **fields: str) -> httpx.Response:
        told = {"entry": str(uuid4()), "bake": fixture.HARBOUR, "step": "mix", **fields}
        return ask(self.app, "POST", ORIGIN + path, data=told, headers={"Origin": ORIGIN})


@pytest.fixture
def house(tmp_path: Path) -> House:
    return House(friday_desk(tmp_path))


def _counted(asked: list[str], name: str, method: Callable[..., Any]) -> Callable[..., Any]:
    """The same method, which notes that it was asked."""

    def noted(*given: Any) -> Any:
        asked.append(name)
        return method(*given)

    return noted


PATHS = ["/", "/week", "/cultures", "/formulas", "/formulas/harbour-loaf?pieces=8", "/water"]


@pytest.mark.parametrize("path", PATHS)
def test_a_page_that_has_not_changed_is_not_sent_again(house: House, path: str) -> None:
    first = house.get(path)
    again = house.get(path, first.headers["ETag"])
    assert (again.status_code, again.content) == (304, b"")
    for name in ("ETag", "Cache-Control"):
        assert again.headers[name] == first.headers[name]
    for name in ("Cookie", "HX-Request"):
        assert name in first.headers["Vary"]
        assert name in again.headers["Vary"]
    assert again.headers["X-Content-Type-Options"] == "nosniff"


def test_for_that_the_desk_does_no_work(house: House, monkeypatch: pytest.MonkeyPatch) -> None:
    tag = house.get().headers["ETag"]
    asked: list[str] = []
    for name in ("bakes", "cultures", "present"):
        monkeypatch.setattr(house.desk, name, _counted(asked, name, getattr(house.desk, name)))
    assert house.get(tag=tag).status_code == 304
    assert asked == []
    house.tell()
    assert house.get(tag=tag).status_code == 200
    assert "bakes" in asked


def test_one_of_several_known_tags_is_enough(house: House) -> None:
    tag = house.get().headers["ETag"]
    assert tag.startswith('W/"')
    assert house.get(tag=f'"other", {tag}').status_code == 304
    assert house.get(tag=tag.removeprefix("W/")).status_code == 304  # compared weakly
    assert house.get(tag='W/"other"').status_code == 200


def test_after_an_entry_the_page_is_another(house: House) -> None:
    tag = house.get().headers["ETag"]
    house.tell()
    again = house.get(tag=tag)
    assert again.status_code == 200
    assert "Fold, 1 of 3" in again.text


def test_a_page_holds_for_its_minute(house: House) -> None:
    tag = house.get().headers["ETag"]
    house.now += timedelta(seconds=59)
    assert house.get(tag=tag).status_code == 304
    house.now += timedelta(seconds=1)
    assert house.get(tag=tag).status_code == 200


def test_another_theme_is_another_page(house: House) -> None:
    tag = house.get().headers["ETag"]
    again = house.get(tag=tag, cookie="theme=dark")
    assert again.status_code == 200
    assert 'data-theme="dark"' in again.text


def test_a_block_for_htmx_and_the_whole_page_are_two(house: House) -> None:
    page = house.get().headers["ETag"]
    block = house.get(tag=page, hx_request="true")
    assert block.status_code == 200
    assert "<html" not in block.text
    assert house.get(tag=block.headers["ETag"], hx_request="true").status_code == 304
    assert house.get(tag=block.headers["ETag"]).status_code == 200


def test_another_address_is_another_page(house: House) -> None:
    tag = house.get("/formulas/harbour-loaf?pieces=8").headers["ETag"]
    assert house.get("/formulas/harbour-loaf?pieces=9", tag).status_code == 200
    assert house.get("/formulas/tinned-rye?pieces=8", tag).status_code == 200


def test_what_the_one_in_charge_is_to_know_comes_at_once(house: House) -> None:
    tag = house.get().headers["ETag"]
    house.trouble = "the last backup failed"
    assert "The last backup failed." in house.get(tag=tag).text


def test_another_run_of_the_program_knows_no_tags_of_this_one(house: House) -> None:
    tag = house.get().headers["ETag"]
    assert House(house.desk).get(tag=tag).status_code == 200


@pytest.mark.parametrize("path", ["/nowhere", "/formulas/none", "/formulas/harbour-loaf?pieces=x"])
def test_what_went_wrong_has_no_tag(house: House, path: str) -> None:
    answer = house.get(path)
    assert answer.status_code in {404, 422}
    assert "ETag" not in answer.headers
    assert answer.headers["Cache-Control"] == "no-store"


def test_the_answer_to_a_form_has_no_tag(house: House) -> None:
    for answer in (house.tell(), house.tell("/bench/reading", kind="rise", value="high")):
        assert answer.status_code in {303, 422}
        assert "ETag" not in answer.headers


def test_on_a_store_every_write_makes_another_page(tmp_path: Path) -> None:
    desk = hall(tmp_path)
    seen = [desk.revision()]
    body = {"text": "The fridge stood open."}
    desk.records.record(str(uuid4()), EntryKind.NOTE, NOW, body)
    seen.append(desk.revision())
    desk.sensors.add("Tubs", "temperature", "Hall")
    seen.append(desk.revision())
    assert seen == sorted(set(seen))
    assert desk.revision() == seen[-1]


def test_a_form_sent_again_to_say_something_else_is_refused_and_the_first_kept(
    tmp_path: Path,
) -> None:
    desk = hall(tmp_path)
    app, entry = create_app(desk, lambda: NOW), str(uuid4())

    def pour_off(grams: str) -> httpx.Response:
        return ask(
            app,
            "POST",
            f"{ORIGIN}/cultures/Gannet/poured-off",
            data={"entry": entry, "grams": grams},
            headers={"Origin": ORIGIN},
        )

    assert pour_off("20").status_code == 303
    assert pour_off("20").status_code == 303
    again = pour_off("35")
    assert again.status_code == 409
    assert "This form was already sent" in again.text
    assert [line.written.body["grams"] for line in desk.records.lines()] == [20.0]


def entry_of(page: Page) -> str | None:
    return page.locator(".now [data-finishes] [name=entry]").get_attribute("value")


@pytest.mark.browser
@pytest.mark.long
def test_two_tabs_of_one_page_make_two_entries(page: Page, site: Site) -> None:
    one, other = page, page.context.new_page()
    for tab in (one, other):
        tab.goto(site.url)
    assert entry_of(one) == entry_of(other)  # the second was answered 304
    there = len(site.desk.records.lines())
    for tab in (one, other):
        with tab.expect_response(lambda answer: answer.url.endswith("/bench/done")):
            tab.locator(".now [data-finishes] button").click()
    assert len(site.desk.records.lines()) == there + 2


@pytest.mark.browser
def test_a_page_gone_back_to_is_as_it_is_now(page: Page, site: Site) -> None:
    page.goto(site.url)
    title = page.locator("#now-head").inner_text()
    page.goto(f"{site.url}/week")
    site.desk.mark_done(Report(str(uuid4()), fixture.HARBOUR, "mix", fixture.NOW))
    page.go_back()
    page.wait_for_function(
        "was => document.getElementById('now-head').textContent !== was", arg=title
    )
