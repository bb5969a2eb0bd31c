"""A smell, a note and a photograph from the Bench, with a network and without."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

import pytest
from playwright.sync_api import Browser, BrowserContext, expect
from tests.web import fixture_plan as fixture
from tests.web.browser.test_bench_in_a_browser import kept
from tests.web.browsers import lent
from tests.web.conftest import Site

from pointage.daybook.entry import EntryKind
from pointage.daybook.replay import written

pytestmark = pytest.mark.browser


@pytest.fixture
def phone(chromium: Browser) -> Iterator[BrowserContext]:
    with lent(chromium, now=fixture.NOW) as context:
        yield context


def said_of(site: Site) -> list[Mapping[str, Any]]:
    """What was smelled and noted, in the order in which it arrived."""
    lines = site.desk.records.lines(kinds={EntryKind.SMELLED, EntryKind.NOTE})
    return [each.body for each in sorted((line.written for line in lines), key=written)]


def test_a_smell_is_told_in_two_touches(phone: BrowserContext, site: Site) -> None:
    page = phone.new_page()
    page.goto(site.url)
    page.get_by_text("Smell, note, photo").first.click()
    page.get_by_role("button", name="apples").click()
    expect(page.locator(".readings")).to_contain_text("smells of apples at 12:40")
    (entry,) = said_of(site)
    assert entry == {"bake": fixture.HARBOUR, "step": "build", "signs": ["apples"]}


@pytest.mark.long
def test_without_a_network_a_note_and_a_smell_wait_and_arrive(
    phone: BrowserContext, site: Site
) -> None:
    page = kept(phone, site.url)
    phone.set_offline(True)
    page.get_by_text("Smell, note, photo").first.click()
    page.get_by_label("Note", exact=True).fill("It clings to the spoon")
    page.get_by_label("Note", exact=True).press("Enter")
    expect(page.locator("#waiting")).to_contain_text("It clings to the spoon")
    page.get_by_text("Smell, note, photo").first.click()
    page.get_by_role("button", name="vinegar").click()
    expect(page.locator("#waiting")).to_contain_text("smells of vinegar")
    assert said_of(site) == []
    phone.set_offline(False)
    expect(page.locator("#waiting")).to_be_hidden(timeout=30_000)
    said = [body.get("text") or body["signs"] for body in said_of(site)]
    assert said == ["It clings to the spoon", ["vinegar"]]


@pytest.mark.long
def test_a_note_without_javascript(chromium: Browser, site: Site) -> None:
    with lent(chromium, now=fixture.NOW, java_script_enabled=False) as context:
        page = context.new_page()
        page.goto(site.url)
        page.get_by_text("Smell, note, photo").first.click()
        page.get_by_label("Note", exact=True).fill("Sweet")
        page.get_by_label("Note", exact=True).press("Enter")
        expect(page.locator(".readings")).to_contain_text("“Sweet” at")
