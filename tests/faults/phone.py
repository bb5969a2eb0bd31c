"""The Bench of a kitchen on a phone: what is pressed on it, and where all of that is now."""

from __future__ import annotations

import time
from collections.abc import Callable
from contextlib import ExitStack
from dataclasses import dataclass, field
from datetime import timedelta
from typing import Any
from uuid import uuid4

import pytest
from playwright.sync_api import BrowserContext, Page, expect
from tests.faults.front import Front
from tests.timetable.hall import SATURDAY
from tests.web.browser.test_outbox_in_a_browser import try_again
from tests.web.browsers import PATIENCE_S
from tests.whole.hall import Hall

BAKE = "5e0c3a51-8f6c-4e0c-9a8a-0d6f3f1b7a10"
FOLDING = SATURDAY - timedelta(hours=19, minutes=50)
"""The dough is mixed and rises; the first fold is next."""
OUTBOX = "async () => (await import('/static/outbox.js')).waiting()"
DEAF = "window.BroadcastChannel = class extends EventTarget { postMessage() {} }"
CLEARED = """async () => {
    const outbox = await import('/static/outbox.js');
    for (const entry of await outbox.waiting()) await outbox.change(entry);
}"""


def mixed(url: str) -> str:
    with Hall(url, FOLDING) as hall:
        for step in ("feed-1", "build-2", "mix"):
            told = {"entry": str(uuid4()), "bake": BAKE, "step": step}
            assert hall.post("/bench/done", told).status_code == 303
    return url


def _comes(page: Page, holds: Callable[[Page], bool]) -> None:
    """Wait for what a page does after a press or an answer: it stores, sends and shows beside."""
    until = time.monotonic() + PATIENCE_S
    while not holds(page):
        assert time.monotonic() < until
        page.wait_for_timeout(50)


@dataclass
class Bench:
    """One kitchen's Bench on a phone, and what was pressed: how many times done, which rises."""

    front: Front
    hall: Hall
    phone: BrowserContext
    stack: ExitStack
    request: pytest.FixtureRequest
    before: int = 0
    done: int = 0
    rises: list[float] = field(default_factory=list)

    def __post_init__(self) -> None:
        self.before = self.count()
        self.page = self.open(self.phone)

    @property
    def other(self) -> BrowserContext:
        """A second phone."""
        found: BrowserContext = self.request.getfixturevalue("other_phone")
        return found

    def open(self, phone: BrowserContext, deaf: bool = False) -> Page:
        """deaf: a tab that has not heard yet what another did to the outbox."""
        page = phone.new_page()
        if deaf:
            page.add_init_script(DEAF)
        self.stack.callback(page.close)
        page.goto(self.front.url)
        return page

    def press_done(self, page: Page | None = None) -> None:
        self.done += 1
        (page or self.page).locator(".now .finish button").click()

    def read(self, rise: float, page: Page | None = None, taps: int = 1) -> None:
        page = page or self.page
        self.rises.append(rise)
        form = page.locator("form", has=page.get_by_label("Rise, 1 when just mixed"))
        form.locator("xpath=..").locator("summary").click()
        form.locator("input[name=value]").fill(f"{rise}")
        form.locator("button").evaluate(
            "(button, taps) => { while (taps--) button.click(); }", taps
        )

    def say(self, page: Page | None = None, rise: float = 1.3) -> None:
        """A fold done, and then a rise."""
        page = page or self.page
        self.press_done(page)
        moved = page.locator("#now-head").get_by_text("Fold, 2 of 3")
        expect(moved.or_(page.locator("#waiting > div").first).first).to_be_visible()
        self.read(rise, page)
        seen = page.locator(".readings").get_by_text(f"{rise}")
        waits = page.locator("#waiting").get_by_text(f"rise {rise}")
        expect(seen.or_(waits).first).to_be_visible()

    def outbox(self, page: Page) -> list[dict[str, Any]]:
        found: list[dict[str, Any]] = page.evaluate(OUTBOX)
        return found

    def count(self) -> int:
        return len(self.hall.store.entries(self.hall.kitchen))

    def nothing_is_lost(self, *pages: Page, store: bool = True) -> None:
        """Each thing that was pressed is in the store or in sight."""
        for page in pages or (self.page,):
            if store:
                _comes(page, lambda _: self._kept_at(*pages) == self.done + len(self.rises))
            _comes(page, self._shows_its_outbox)

    def _shows_its_outbox(self, page: Page) -> bool:
        return page.locator("#waiting > div").count() == len(self.outbox(page))

    def _kept_at(self, *pages: Page) -> int:
        """How many of the things that were pressed are in the store or in an outbox."""
        waiting = {each["id"] for page in pages or (self.page,) for each in self.outbox(page)}
        there = {each.id for each in self.hall.store.entries(self.hall.kitchen)}
        return len(there) - self.before + len(waiting - there)

    def holds(self, *pages: Page, store: bool = True) -> None:
        """Nothing is lost now, after a reload, and after one without a network."""
        pages = pages or (self.page,)
        self.nothing_is_lost(*pages, store=store)
        for page in pages:
            page.reload()
        self.nothing_is_lost(*pages, store=store)
        for page in pages:
            page.context.set_offline(True)
            page.reload()
        self.nothing_is_lost(*pages, store=store)
        for page in pages:
            page.context.set_offline(False)

    def arrives(self, *pages: Page) -> None:
        """All of it is in the store once and in effect, and the pages say so."""
        pages = pages or (self.page,)
        for page in pages:
            try_again(page)
        for page in pages:
            _comes(page, lambda each: self.outbox(each) == [])
            expect(page.locator("#waiting")).to_be_hidden()
        assert self.count() - self.before == self.done + len(self.rises)
        bake = self.hall.desk.present().every_bake[BAKE]
        assert (bake.step_news("fold-1").done is not None) == (self.done > 0)
        said = sorted(each.value or 0 for each in bake.step_news("bulk").readings)
        assert said == sorted(self.rises)
        self.hall.now = FOLDING
        for page in pages:
            page.reload()
            expect(page.locator("#waiting")).to_be_hidden()
            if self.done:
                expect(page.locator("#now-head")).to_have_text("Fold, 2 of 3")
            for rise in self.rises:
                expect(page.locator(".readings")).to_contain_text(f"{rise}")
