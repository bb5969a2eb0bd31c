"""What waits to be sent, by what the server answers: kept, shown with its reason, mended, sent."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from datetime import timedelta
from pathlib import Path
from typing import Any
from uuid import uuid4

import pytest
from playwright.sync_api import Browser, BrowserContext, Page, Request, Route, expect
from tests.web import fixture_plan as fixture
from tests.web.browsers import lent
from tests.web.conftest import Site
from tests.web.stored_desk import NOW, hall, news

from pointage.daybook.entry import EntryKind

pytestmark = pytest.mark.browser

OURS = {"Pointage": "web"}
LATER: dict[str, dict[str, Any]] = {
    "a store away": {"status": 503, "headers": {**OURS, "Retry-After": "20"}, "body": "later"},
    "a fault of ours": {"status": 500, "headers": OURS, "body": "broken"},
    "too many": {"status": 429, "headers": OURS, "body": "later"},
    "shut out": {"status": 401, "headers": OURS, "body": "Join"},
    "no name": {"status": 200, "headers": OURS, "body": "well"},
    "another name": {"status": 200, "headers": {**OURS, "Pointage-Entry": "x"}, "body": "well"},
    "a stranger": {"status": 200, "body": "Welcome"},
    "a stranger's 404": {"status": 404, "body": "Not here"},
}


@pytest.fixture
def phone(chromium: Browser) -> Iterator[BrowserContext]:
    with lent(chromium, now=fixture.NOW, service_workers="block") as context:
        yield context


@pytest.fixture
def page(phone: BrowserContext, site: Site) -> Page:
    opened = phone.new_page()
    opened.goto(site.url)
    return opened


def says(page: Page, words: str) -> None:
    expect(page.locator("#waiting")).to_contain_text(words)


def fields_of(request: Request) -> dict[str, str]:
    return dict(request.post_data_json or {})


def press_done(page: Page) -> None:
    page.locator(".now").get_by_role("button", name="Done").click()


def try_again(page: Page) -> None:
    page.evaluate("dispatchEvent(new Event('online'))")


@pytest.mark.parametrize("answer", LATER.values(), ids=LATER)
@pytest.mark.soon(1)
def test_an_answer_that_names_nothing_stored_keeps_the_entry_for_later(
    page: Page, site: Site, answer: dict[str, Any]
) -> None:
    met: list[str] = []

    def meet(route: Route) -> None:
        met.append(fields_of(route.request)["entry"])
        route.fulfill(**answer)

    page.route("**/bench/done", meet)
    press_done(page)  # with a network: the page itself sends it
    says(page, "Waiting to be sent")
    while len(met) < 2:
        try_again(page)  # and then the outbox, once the page itself is done with it
        page.wait_for_timeout(50)
    says(page, "Waiting to be sent")
    assert len(set(met)) == 1
    assert news(site.desk, "mix").done is None
    page.unroute("**/bench/done")
    try_again(page)
    expect(page.locator("#waiting")).to_be_hidden()
    assert news(site.desk, "mix").done is not None


def test_no_answer_at_all_keeps_it_too(page: Page, site: Site) -> None:
    page.route("**/bench/done", lambda route: route.abort())
    press_done(page)
    says(page, "Waiting to be sent")
    page.unroute("**/bench/done")
    try_again(page)
    expect(page.locator("#waiting")).to_be_hidden()
    assert news(site.desk, "mix").done is not None


@pytest.mark.long
def test_what_was_sent_before_is_shown_and_sent_under_another_name(page: Page, site: Site) -> None:
    met: list[str] = []

    def clash(route: Route) -> None:
        met.append(fields_of(route.request)["entry"])
        body = "<main><p>This form was already sent, and what it said then is kept.</p></main>"
        route.fulfill(status=409, headers=OURS, body=body, content_type="text/html")

    page.route("**/bench/done", clash)
    press_done(page)
    says(page, "This form was already sent")
    page.unroute("**/bench/done")
    try_again(page)  # nobody sends it but the baker
    page.wait_for_timeout(300)
    says(page, "Refused")
    with page.expect_request("**/bench/done") as sent:
        page.get_by_role("button", name="Send again").click()
    assert fields_of(sent.value)["entry"] not in met
    expect(page.locator("#waiting")).to_be_hidden()
    assert news(site.desk, "mix").done is not None


def test_what_is_refused_can_be_mended_and_sent_under_its_own_name(page: Page, site: Site) -> None:
    met: list[dict[str, str]] = []

    def strict(route: Route) -> None:
        met.append(fields_of(route.request))
        body = "<main><p role=alert>A temperature of 245 °C cannot be.</p></main>"
        route.fulfill(status=422, headers=OURS, body=body, content_type="text/html")

    page.context.set_offline(True)
    page.locator(".tells").get_by_text("°C", exact=True).click()
    page.get_by_label("Temperature").fill("245")
    page.get_by_role("button", name="Save °C").first.click()
    says(page, "Waiting to be sent")
    page.route("**/bench/reading", strict)
    page.context.set_offline(False)
    try_again(page)
    says(page, "A temperature of 245 °C cannot be.")
    page.unroute("**/bench/reading")
    page.get_by_role("button", name="Correct it").click()
    field = page.locator("#waiting input")
    expect(field).to_have_value("245")
    expect(field).to_be_focused()
    field.fill("24.5")
    with page.expect_request("**/bench/reading") as sent:
        page.locator("#waiting").get_by_role("button", name="Send again").click()
    expect(page.locator("#waiting")).to_be_hidden()
    assert fields_of(sent.value) == met[0] | {"value": "24.5"}
    expect(page.locator(".readings")).to_contain_text("24.5 °C")


def test_what_is_refused_can_be_thrown_away(page: Page, site: Site) -> None:
    site.desk.give_up(
        str(uuid4()), fixture.HARBOUR, fixture.NOW
    )  # given up on another device meanwhile
    press_done(page)
    says(page, f"There is no bake '{fixture.HARBOUR}'")
    page.get_by_role("button", name="Delete").click()
    expect(page.locator("#waiting")).to_be_hidden()


@pytest.mark.long
def test_an_answer_lost_after_the_write_is_written_once_by_a_clock_ahead(
    phone: BrowserContext, serve: Callable[..., Site], tmp_path: Path
) -> None:
    """The phone is 1.5 s ahead, so each try is given another instant by the server."""
    desk = hall(tmp_path)
    desk.wish(str(uuid4()), "harbour-loaf", 8, NOW + timedelta(hours=40), NOW)
    site = serve(desk, NOW)
    phone.clock.set_fixed_time(NOW + timedelta(seconds=1.5))
    page = phone.new_page()
    page.goto(site.url)
    lost: list[int] = []

    def lose(route: Route) -> None:
        lost.append(route.fetch().status)
        route.abort()

    page.route("**/bench/done", lose)
    press_done(page)
    says(page, "Waiting to be sent")
    while not lost:
        page.wait_for_timeout(50)
    assert lost == [200]
    site.now = NOW + timedelta(seconds=1)
    page.unroute("**/bench/done")
    try_again(page)
    expect(page.locator("#waiting")).to_be_hidden()
    lines = desk.records.lines(kinds={EntryKind.DONE})
    assert [line.now.happened for line in lines if line.now] == [NOW]
