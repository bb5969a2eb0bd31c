"""Whole bake days on the Bench, with a clock that the test moves: nothing is lost on the way."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime, timedelta
from pathlib import Path

import pytest
from playwright.sync_api import Browser, BrowserContext, Page, expect
from tests.faults.front import Front
from tests.faults.injector import begun, sqlite_url
from tests.timetable.hall import NOW
from tests.web.browser.test_bench_in_a_browser import kept
from tests.web.browser.test_outbox_in_a_browser import try_again
from tests.web.browsers import lent
from tests.whole.hall import Hall

from pointage.daybook.entry import EntryKind
from pointage.desk.answers import Bake
from pointage.desk.wording import title
from pointage.timetable.plan import Step, StepKind

pytestmark = pytest.mark.browser
HOUR, MINUTE = timedelta(hours=1), timedelta(minutes=1)


@dataclass
class Day:
    """One kitchen with one bake planned, its pages at an address, and phones in it."""

    front: Front
    url: str

    @property
    def hall(self) -> Hall:
        return self.front.hall

    @property
    def bake(self) -> Bake:
        (found,) = self.hall.desk.present().every_bake.values()
        return found

    def step(self, kind: StepKind) -> Step:
        return [each for each in self.bake.plan.steps if each.kind is kind][-1]

    def at(self, now: datetime, *phones: BrowserContext) -> None:
        self.hall.now = now
        for phone in phones:
            phone.clock.set_fixed_time(now)

    def done(self, *kinds: StepKind) -> None:
        """Each is done as planned, by another hand."""
        for kind in kinds:
            step = self.step(kind)
            self.hall.now = step.end
            said = {"bake": self.bake.key, "step": step.key, "entry": _id(), "sure": "yes"}
            assert self.hall.post("/bench/done", said).status_code == 303

    def restart(self) -> None:
        """The server stops, and another begins on the same store."""
        before = self.front.hall
        self.front.stop()
        before.close()
        self.front.hall = Hall(self.url, before.now)
        self.front.start()


def _id() -> str:
    from uuid import uuid4

    return str(uuid4())


@pytest.fixture
def day(tmp_path: Path) -> Iterator[Day]:
    url = begun(sqlite_url(tmp_path, "day"))
    front = Front(Hall(url, NOW))
    yield Day(front, url)
    front.stop()
    front.hall.close()


@pytest.fixture
def phone(chromium: Browser) -> Iterator[BrowserContext]:
    with lent(chromium, now=NOW, service_workers="block") as context:
        yield context


def head(page: Page) -> str:
    return page.locator("#now-head").inner_text()


def press_done(page: Page) -> None:
    with page.expect_response("**/bench/done"):
        page.locator(".now .finish button").click()


@pytest.mark.long
def test_from_the_waking_feed_to_the_cooled_loaf(day: Day, phone: BrowserContext) -> None:
    page, plan = phone.new_page(), day.bake.plan
    late = timedelta()
    for step in sorted((s for s in plan.steps if s.hands), key=lambda s: (s.start, s.end)):
        if step.kind is StepKind.DIVIDE:
            late = 2 * HOUR
        day.at(max(step.start + late, day.hall.now), phone)
        page.goto(day.front.url)
        assert head(page) == title(step)
        if step.kind is StepKind.DIVIDE:  # what stands is still there, two hours past its end
            expect(page.locator(".now .late")).to_contain_text("1 h 45 late")
            expect(page.locator(".rise h2").first).to_have_text("Harbour loaf")
            expect(page.locator(".rise .tells summary").first).to_be_visible()
        if step.kind is StepKind.MIX:
            _pours_too_much(day, page)
        press_done(page)
        expect(page.locator("div.last")).to_contain_text(title(step))
        late = timedelta() if step.kind is StepKind.SHAPE else late
    day.at(plan.ready + 4 * HOUR, phone)
    page.goto(day.front.url)
    page.get_by_role("link", name="How was the").click()
    page.get_by_label("dense, heavy for its size").check()
    page.get_by_role("button", name="Save").click()
    expect(page.locator(".said-of-it")).to_contain_text("Dense")
    kinds = [each.kind for each in day.hall.store.entries(day.hall.kitchen)]
    assert kinds.count(EntryKind.DONE) == sum(step.hands for step in plan.steps)


def _pours_too_much(day: Day, page: Page) -> None:
    """A tenth more water than the display was to show; the rest follows it and is poured."""
    rows = page.locator(".now .ladder [data-pour]")
    water = float(rows.first.get_attribute("data-grams") or 0)
    display = float(rows.first.get_attribute("data-display") or 0)
    flour = float(rows.nth(2).get_attribute("data-grams") or 0)
    page.get_by_text("Different weight").click()
    page.get_by_label("The display shows").fill(f"{display + 0.1 * water:.0f}")
    page.get_by_role("button", name="Correct the rest").click()
    expect(page.locator(".remark")).to_contain_text("10")
    assert float(rows.nth(2).get_attribute("data-grams") or 0) == pytest.approx(
        1.1 * flour, rel=0.01
    )
    for number in range(1, rows.count()):
        day.at(day.hall.now + timedelta(seconds=20), page.context)  # nobody pours faster
        page.locator(".now .poured button").click()
        expect(rows.nth(number)).to_have_class("done")


@pytest.mark.long
def test_a_levain_found_fallen(day: Day, phone: BrowserContext) -> None:
    day.done(StepKind.FEED, StepKind.BUILD)
    day.at(day.step(StepKind.MIX).start + 3 * HOUR, phone)
    page = phone.new_page()
    page.goto(day.front.url)
    page.get_by_role("button", name="Fallen").click()
    gone = page.locator(".gone")
    expect(gone).to_contain_text("The levain is past its best")
    expect(gone.locator("summary")).to_have_text(
        ["Mix the dough with it now", "Feed it again and wait", "Make flat bread"]
    )
    expect(gone.locator("details[open]")).to_contain_text("The bulk takes")
    page.locator("div.last").get_by_role("button", name="Undo").click()
    expect(page.get_by_text("Reading: Fallen")).to_have_count(0)
    press_done(page)  # it is mixed all the same
    expect(page.locator(".gone")).to_have_count(0)


@pytest.mark.long
def test_three_hours_without_a_network_on_two_phones_and_a_restart(
    day: Day, chromium: Browser
) -> None:
    day.done(StepKind.FEED, StepKind.BUILD, StepKind.MIX)
    start = day.hall.now
    with lent(chromium, now=start, new=True) as one, lent(chromium, now=start, new=True) as two:
        first, second = kept(one, day.front.url), kept(two, day.front.url)
        for phone in (one, two):
            phone.set_offline(True)
        day.at(start + HOUR, one, two)
        first.locator(".now .finish button").click()  # a fold
        _reads(first, "rise", "1.2", 2)
        _reads(second, "temperature", "24", 1)
        day.at(start + 2 * HOUR, one, two)
        first.close()  # a dead battery
        first = one.new_page()
        first.goto(day.front.url)  # kept by the phone
        _reads(first, "rise", "1.4", 3)
        _reads(second, "temperature", "245", 2)
        day.restart()
        day.at(start + 3 * HOUR, one, two)
        for phone, page in ((one, first), (two, second)):
            phone.set_offline(False)
            try_again(page)
        expect(first.locator("#waiting")).to_be_hidden()
        expect(second.locator("#waiting")).to_contain_text("Refused")
        second.get_by_role("button", name="Correct it").click()
        second.locator("#waiting input").fill("24.5")
        second.locator("#waiting").get_by_role("button", name="Send again").click()
        expect(second.locator("#waiting")).to_be_hidden()
    kinds = {EntryKind.READING, EntryKind.DONE}
    said = [
        each for each in day.hall.store.entries(day.hall.kitchen, kinds) if each.happened > start
    ]
    found = sorted((each.happened, str(each.body.get("value", each.body["step"]))) for each in said)
    assert found == [
        (start + HOUR, "1.2"), (start + HOUR, "24.0"), (start + HOUR, "fold-1"),
        (start + 2 * HOUR, "1.4"), (start + 2 * HOUR, "24.5"),
    ]  # fmt: skip


def _reads(page: Page, kind: str, value: str, waiting: int) -> None:
    """Record it; so many entries wait then."""
    expect(page.locator("#waiting div")).to_have_count(waiting - 1)
    panel = page.locator(f".tells details:has(input[name=kind][value={kind}])").first
    panel.locator("summary").click()
    panel.locator("input[name=value]").fill(value)
    panel.get_by_role("button", name="Save").click()
    expect(page.locator("#waiting div")).to_have_count(waiting)


@pytest.mark.long
def test_a_phone_whose_clock_is_an_hour_off_says_when_it_was(
    day: Day, phone: BrowserContext
) -> None:
    day.done(StepKind.FEED, StepKind.BUILD, StepKind.MIX)
    now = day.hall.now
    for off in (-HOUR, HOUR):
        phone.clock.set_fixed_time(now + off)
        page = phone.new_page()
        page.goto(day.front.url)
        expect(page.locator("#offline")).to_be_hidden()
        phone.set_offline(True)
        _reads(page, "rise", "1.1", 1)
        day.hall.now = now + 40 * MINUTE
        phone.set_offline(False)
        try_again(page)
        expect(page.locator("#waiting")).to_be_hidden()
        page.close()
        day.hall.now = now
    said = day.hall.store.entries(day.hall.kitchen, {EntryKind.READING})
    assert all(abs(each.happened - now) < MINUTE for each in said)
    assert len(said) == 2
