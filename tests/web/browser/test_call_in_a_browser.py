"""The Bench calls what is due, and keeps the screen on while a mix is poured."""

from __future__ import annotations

import re
from collections.abc import Iterator
from datetime import timedelta

import pytest
from playwright.sync_api import Browser, BrowserContext, Page, expect
from tests.web import fixture_plan as fixture
from tests.web.browsers import lent
from tests.web.conftest import Site

pytestmark = pytest.mark.browser

WATCHED = """
window.called = [];
window.Notification = { permission: "denied" };
navigator.vibrate = (pattern) => window.called.push(["felt", pattern.length]);
window.AudioContext = class {
  createOscillator() { return { frequency: {}, connect: (to) => to, start() {}, stop() {} }; }
  createGain() { return { gain: {}, connect: (to) => to }; }
  close() { window.called.push(["heard"]); }
};
Object.defineProperty(navigator, "wakeLock", { value: { request: async () => {
  window.called.push(["awake"]);
  return { addEventListener() {}, release: () => window.called.push(["asleep"]) };
} } });
"""


@pytest.fixture
def page(chromium: Browser, site: Site) -> Iterator[Page]:
    with lent(chromium, new=True) as context:
        yield _opened(context, site)


def _opened(context: BrowserContext, site: Site) -> Page:
    page = context.new_page()
    page.clock.install(time=fixture.NOW)
    page.add_init_script(WATCHED)
    page.goto(site.url)
    return page


def called(page: Page) -> list[str]:
    found: list[list[str]] = page.evaluate("window.called")
    return [each[0] for each in found]


def forward(page: Page, site: Site, ms: int) -> None:
    """Both clocks: a page that finds the kitchen's elsewhere goes by the kitchen's."""
    site.now += timedelta(milliseconds=ms)
    page.clock.fast_forward(ms)


def test_a_step_that_is_due_is_heard_and_felt_once_it_is_asked_for(page: Page, site: Site) -> None:
    due = page.locator("[data-coming] time").first.get_attribute("datetime")
    assert due
    wait = page.evaluate("(at) => Date.parse(at) - Date.now()", due)
    forward(page, site, wait + 60_000)
    assert "felt" not in called(page)  # nobody asked for it
    page.reload()
    button = page.get_by_role("button", name="Call me when a step is due")
    button.click()
    expect(button).to_have_attribute("aria-pressed", "true")
    later = page.evaluate(
        """() => [...document.querySelectorAll("[data-coming] time")]
            .map((each) => Date.parse(each.dateTime) - Date.now()).find((ms) => ms > 0)"""
    )
    forward(page, site, later + 30_000)
    expect(page).to_have_title(re.compile("^Now: "))
    assert called(page).count("felt") == 1


@pytest.mark.long
def test_the_screen_stays_on_while_it_is_poured(page: Page) -> None:
    page.get_by_role("button", name="Added").first.click()
    expect(page.locator(".now tr.done[data-pour='0']")).to_be_visible()
    assert called(page) == ["awake"]
    page.clock.fast_forward(timedelta(minutes=31).seconds * 1000)
    assert called(page)[:2] == ["awake", "asleep"]
