"""A kitchen from its first minute on, with a clock that the test moves; read and tapped as a reader
in °F would, and what no page may ever say asked of each."""

from __future__ import annotations

import re
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import UTC, datetime
from html import unescape
from pathlib import Path
from uuid import uuid4
from zoneinfo import ZoneInfo

import httpx
import pytest
from playwright.sync_api import Browser, Page
from tests.web.browsers import lent
from tests.web.conftest import ORIGIN, Idle, Site, ask, served
from tests.web.forms import forms

from pointage.desk.desk import StoredDesk
from pointage.desk.opening import open_own
from pointage.web.app import create_app

ZONE = ZoneInfo("America/New_York")
ENGLISH = {"accept-language": "en-US", "origin": ORIGIN}
JAR_TARE, JAR_MOST_G = 412, 870
"""Of a quart jar: what it weighs empty, and well below what it holds to the brim with water."""
BEGUN = {
    "degrees": "F", "name": "Tern Cottage", "town": "Boston", "spot": "Counter", "spot_c": "65",
    "fridge_c": "38", "loaves": "2", "sleep": "10:30 pm to 6:30 am", "step": "1",
    "jar_l": "1 quart", "jar_g": f"{JAR_TARE}", "way": "raise",
}  # fmt: skip


class Walk:
    """One baker's days. now: whole minutes of the kitchen's own clock, as `at` sets them."""

    def __init__(self, site: Site, desk: StoredDesk, phone: Page) -> None:
        self._site, self.desk, self.phone = site, desk, phone
        self._app = create_app(desk, lambda: site.now)

    @property
    def now(self) -> datetime:
        return self._site.now

    def at(self, month: int, day: int, clock: str = "10:00") -> None:
        hour, minute = map(int, clock.split(":"))
        self.until(datetime(2026, month, day, hour, minute, tzinfo=ZONE))

    def until(self, instant: datetime) -> None:
        self._site.now = instant.astimezone(UTC)

    def read(self, path: str = "/") -> str:
        """The words of a page, which is sound."""
        html = self.html(path)
        words = words_of(html)
        self._sound(path, html, words)
        return words

    def html(self, path: str) -> str:
        answer = ask(self._app, "GET", ORIGIN + path, headers=ENGLISH)
        assert answer.status_code == 200, (path, answer.status_code, answer.text[:300])
        return answer.text

    def post(self, path: str, fields: dict[str, str]) -> httpx.Response:
        return ask(self._app, "POST", ORIGIN + path, data=fields, headers=ENGLISH)

    def press(self, page: str, action: str, **chosen: str) -> httpx.Response:
        """The first form of a page that records there and has these fields, with what is typed."""
        sent = {key: text for key, text in chosen.items() if key in ("culture", "event")}
        every = [each for each in forms(self.html(page), action) if "entry" in each]
        found = [each for each in every if sent.items() <= each.items()]
        assert found, (page, action, chosen)
        answer = self.post(action, {**found[0], **chosen})
        assert answer.status_code in (200, 303), words_of(answer.text)
        return answer

    def sees(self, name: str, *touches: str) -> None:
        """Taps on the page of a young culture."""
        path = f"/cultures/{name}/raising"
        for touch in touches:
            sent = {"entry": str(uuid4()), "touch": touch}
            assert self.post(path, sent).status_code == 303

    def looks(self, path: str, *texts: str) -> None:
        """The page on a phone: it fits, and says this."""
        self.phone.goto(self._site.url + path)
        assert self.phone.evaluate("document.documentElement.scrollWidth <= innerWidth"), path
        words = " ".join(self.phone.locator("main").inner_text().split())
        for text in texts:
            assert text in words, (text, words)
        assert "°C" not in words

    def _sound(self, path: str, html: str, words: str) -> None:
        """No °C, nothing left out that is due, and no more in the jar than it holds."""
        assert "°C" not in words, path
        due = [need for need in self.desk.present().needs(self.now) if need.at <= self.now]
        if path == "/" and due:
            assert "Nothing to do" not in words, due
            assert any(need.culture in words for need in due)
        for reading in re.findall(r'data-display="([\d.]+)"', html):
            assert JAR_TARE <= float(reading) <= JAR_TARE + JAR_MOST_G, (path, reading)


def words_of(html: str) -> str:
    """What a page's main part says."""
    main = html.partition("<main")[2].partition("</main>")[0]
    main = re.sub(r"<(script|style|select).*?</\1>", " ", main, flags=re.DOTALL)
    return " ".join(unescape(re.sub(r"<[^>]+>", " ", main)).replace("\u00a0", " ").split())


@contextmanager
def walking(
    chromium: Browser, folder: Path, start: datetime, patch: pytest.MonkeyPatch
) -> Iterator[Walk]:
    """A store with nothing in it, and a phone in hand, at an instant."""
    patch.setenv("XDG_DATA_HOME", str(folder))
    patch.delenv("POINTAGE_STORE", raising=False)
    found = open_own(start, jobs=Idle())
    store, kitchen = found._store, found._id
    sites: list[Site] = []
    desk = StoredDesk(
        store, kitchen, since=start, clock=lambda: sites[0].now, jobs=Idle(beside=False)
    )
    with (
        served(desk, start) as site,
        lent(chromium, "phone", locale="en-US", service_workers="block") as context,
    ):
        sites.append(site)
        yield Walk(site, desk, context.new_page())
