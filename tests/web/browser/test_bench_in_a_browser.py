"""The Bench in a real browser: by thumb, by keyboard, without a network, without JavaScript."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from datetime import timedelta
from pathlib import Path
from uuid import uuid4

import pytest
from playwright.sync_api import Browser, BrowserContext, Page, Route, expect
from tests.web import fixture_plan as fixture
from tests.web.browsers import lent
from tests.web.conftest import Site
from tests.web.stored_desk import NOW, hall, news

pytestmark = pytest.mark.browser


@pytest.fixture
def phone(chromium: Browser) -> Iterator[BrowserContext]:
    with lent(chromium, now=fixture.NOW) as context:
        yield context


def kept(context: BrowserContext, url: str) -> Page:
    """The Bench, opened and kept for use without a network."""
    page = context.new_page()
    page.goto(url)
    page.evaluate("""() => new Promise((resolve, reject) => {
        navigator.serviceWorker.addEventListener("controllerchange", () => resolve());
        if (navigator.serviceWorker.controller) resolve();
        setTimeout(() => reject(new Error("no worker took the page")), 30000);
    })""")
    return page


def displays(page: Page) -> list[str]:
    return page.locator(".now .ladder [data-pour] .display").all_inner_texts()


def test_an_over_pour_is_typed_in_and_the_rest_follows(phone: BrowserContext, site: Site) -> None:
    page = phone.new_page()
    page.goto(site.url)
    assert displays(page)[:2] == ["4490", "5590"]
    page.get_by_text("Different weight").click()
    page.get_by_label("The display shows").fill("4821")
    page.get_by_role("button", name="Correct the rest").click()
    expect(page.locator(".now tr.done[data-pour='0'] .display")).to_have_text("4821")
    # 3641 g of water instead of 3310 is 10 % more: 1210 g of levain instead of 1100.
    assert displays(page)[1] == "6031"
    expect(page.locator(".remark")).to_contain_text("10.0 %")
    assert news(site.desk, "mix").poured == (4821.0,)


@pytest.mark.long
def test_an_over_pour_can_keep_the_total_with_or_without_a_network(
    phone: BrowserContext, site: Site
) -> None:
    page = phone.new_page()
    page.goto(site.url)
    planned = displays(page)
    for alone in (True, False):
        phone.set_offline(alone)
        page.get_by_text("Different weight" if alone else "Correct the last weight").click()
        page.get_by_label("The display shows").locator("visible=true").fill("4821")
        page.get_by_label("the total").locator("visible=true").check()
        name = "Correct the rest" if alone else "Correct it"
        page.get_by_role("button", name=name).click()
        expect(page.locator(".now tr.done[data-pour='0'] .display")).to_have_text("4821")
        # 331 g too much leaves 6699 of 7030 g to come: 1048 g of levain instead of 1100.
        assert displays(page)[1] == "5869"
        assert displays(page)[-1] == planned[-1]
        if alone:
            expect(page.locator("#waiting")).to_be_visible()
        phone.set_offline(False)
        page.evaluate("dispatchEvent(new Event('online'))")
        expect(page.locator("#waiting")).to_be_hidden()
        page.reload()


@pytest.mark.long
def test_a_reading_that_cannot_be_used_stays_typed_with_its_error(
    phone: BrowserContext, site: Site
) -> None:
    page = phone.new_page()
    page.goto(site.url)
    page.get_by_text("Different weight").click()
    page.get_by_label("The display shows").fill("44 and some")
    page.get_by_role("button", name="Correct the rest").click()
    field = page.get_by_label("The display shows")
    expect(field).to_have_attribute("aria-invalid", "true")
    expect(field).to_have_value("44 and some")
    expect(field).to_be_focused()
    expect(page.get_by_role("alert")).to_contain_text("1042")


def test_done_moves_on_and_can_be_taken_back(phone: BrowserContext, site: Site) -> None:
    page = phone.new_page()
    page.goto(site.url)
    page.get_by_role("button", name="Done Mix the dough").click()
    head = page.get_by_role("heading", level=1)
    expect(head).to_have_text("Fold, 1 of 3")
    expect(head).to_be_focused()
    page.get_by_role("button", name="Undo Mix the dough").click()
    expect(page.get_by_role("heading", level=1)).to_have_text("Mix the dough")


def test_the_whole_bench_by_keyboard(phone: BrowserContext, site: Site) -> None:
    page = phone.new_page()
    page.goto(site.url)

    def tab_to(name: str) -> None:
        for _ in range(40):
            page.keyboard.press("Tab")
            text = page.evaluate("document.activeElement.textContent.trim()")
            if text.startswith(name):
                shown = page.evaluate("getComputedStyle(document.activeElement).outlineStyle")
                assert shown == "solid", f"the focus on {name!r} cannot be seen"
                return
        pytest.fail(f"{name!r} cannot be reached with Tab")

    page.keyboard.press("Tab")
    assert page.evaluate("document.activeElement.textContent") == "Skip to the page"
    tab_to("Different weight")
    page.keyboard.press("Enter")
    page.keyboard.press("Tab")
    page.keyboard.type("4500")
    page.keyboard.press("Enter")
    expect(page.locator(".now tr.done[data-pour='0'] .display")).to_have_text("4500")
    tab_to("Done")
    page.keyboard.press("Space")
    expect(page.get_by_role("heading", level=1)).to_have_text("Fold, 1 of 3")


def test_a_done_without_a_network_arrives_later(phone: BrowserContext, site: Site) -> None:
    page = kept(phone, site.url)
    phone.set_offline(True)
    page.reload()
    expect(page.get_by_role("heading", level=1)).to_have_text("Mix the dough")
    expect(page.locator("#offline")).to_contain_text("No network. This page was made")
    page.locator(".now").get_by_role("button", name="Done").click()
    expect(page.locator("#waiting")).to_contain_text("Waiting to be sent")
    # What comes next is open at once, for the dough does not wait for the network.
    expect(page.locator("[data-coming] details[open] summary")).to_contain_text("Fold, 1 of 3")
    assert news(site.desk, "mix").done is None
    page.reload()
    expect(page.locator("#waiting")).to_contain_text("Waiting to be sent")
    expect(page.locator(".now .finish button")).to_be_disabled()
    site.now = fixture.at(fixture.FRIDAY, "13:50")
    phone.set_offline(False)
    page.evaluate("dispatchEvent(new Event('online'))")
    expect(page.locator("#waiting")).to_be_hidden()
    expect(page.get_by_role("heading", level=1)).to_have_text("Fold, 1 of 3")
    assert news(site.desk, "mix").done is not None


@pytest.mark.long
def test_an_over_pour_without_a_network_corrects_the_rest_as_the_server_does(
    phone: BrowserContext, site: Site
) -> None:
    page = kept(phone, site.url)
    phone.set_offline(True)
    page.get_by_text("Different weight").click()
    page.get_by_label("The display shows").fill("4821")
    page.get_by_role("button", name="Correct the rest").click()
    expect(page.locator(".now tr.done[data-pour='0'] .display")).to_have_text("4821")
    alone = displays(page)
    page.reload()
    expect(page.locator(".now tr.done[data-pour='0'] .display")).to_have_text("4821")
    assert displays(page) == alone
    site.now += timedelta(minutes=1)
    phone.clock.set_fixed_time(site.now)
    page.get_by_role("button", name="Added").click()
    expect(page.locator(".now tr.here")).to_contain_text("White wheat")
    phone.set_offline(False)
    page.evaluate("dispatchEvent(new Event('online'))")
    expect(page.locator("#waiting")).to_be_hidden()
    assert displays(page) == alone
    assert news(site.desk, "mix").poured == (4821.0, 6031.0)


@pytest.mark.long
def test_an_entry_leaves_the_outbox_only_when_our_server_has_it(
    phone: BrowserContext, site: Site
) -> None:
    page = kept(phone, site.url)
    phone.set_offline(True)
    page.locator(".now").get_by_role("button", name="Done").click()
    expect(page.locator("#waiting")).to_contain_text("Waiting to be sent")
    # A stranger on the line answers 200 to everything, as the door of a guest network does.
    met: list[str] = []

    def stranger(route: Route) -> None:
        met.append(route.request.url)
        route.fulfill(status=200, body="Welcome")

    page.route("**/bench/done", stranger)
    phone.set_offline(False)
    page.evaluate("dispatchEvent(new Event('online'))")
    while not met:
        page.wait_for_timeout(50)
    page.wait_for_timeout(300)  # for what comes of the stranger's answer, which must be nothing
    expect(page.locator("#waiting")).to_contain_text("Waiting to be sent")
    page.unroute("**/bench/done")
    page.evaluate("dispatchEvent(new Event('online'))")
    expect(page.locator("#waiting")).to_be_hidden()
    assert news(site.desk, "mix").done is not None


def test_an_entry_that_is_refused_stays_with_its_reason(phone: BrowserContext, site: Site) -> None:
    page = kept(phone, site.url)
    phone.set_offline(True)
    page.locator(".now").get_by_role("button", name="Done").click()
    expect(page.locator("#waiting")).to_contain_text("Waiting to be sent")
    site.desk.give_up(
        str(uuid4()), fixture.HARBOUR, fixture.NOW
    )  # given up on another device meanwhile
    phone.set_offline(False)
    page.evaluate("dispatchEvent(new Event('online'))")
    expect(page.locator("#waiting")).to_contain_text("Refused")
    expect(page.locator("#waiting")).to_contain_text(f"There is no bake '{fixture.HARBOUR}'")
    page.get_by_role("button", name="Delete").click()
    expect(page.locator("#waiting")).to_be_hidden()


def test_the_bench_works_without_javascript(chromium: Browser, site: Site) -> None:
    with lent(chromium, now=fixture.NOW, java_script_enabled=False) as context:
        page = context.new_page()
        page.goto(site.url)
        page.get_by_text("Different weight").click()
        page.get_by_label("The display shows").fill("4500")
        page.get_by_role("button", name="Correct the rest").click()
        expect(page.locator(".now tr.done[data-pour='0'] .display")).to_have_text("4500")
        page.locator(".tells").get_by_text("°C", exact=True).click()
        page.get_by_label("Temperature").fill("24.5")
        page.get_by_role("button", name="Save °C").click()
        expect(page.locator(".readings")).to_contain_text("24.5 °C")
        page.get_by_role("button", name="Done Mix the dough").click()
        expect(page.get_by_role("heading", level=1)).to_have_text("Fold, 1 of 3")


@pytest.mark.long
def test_nothing_planned_leads_to_a_wish(
    phone: BrowserContext, serve: Callable[..., Site], tmp_path: Path
) -> None:
    """With no bake to do, and only a culture that is due."""
    due = NOW + timedelta(days=7)
    desk = hall(tmp_path, clock=lambda: due)
    assert [each.culture for each in desk.present().needs(due) if each.at <= due] == ["Gannet"]
    site = serve(desk, due)
    phone.clock.set_fixed_time(due)
    page = phone.new_page()
    page.goto(site.url)
    expect(page.get_by_role("heading", level=1)).to_have_text("Feed Gannet and chill it again")
    page.get_by_role("link", name="Plan a bake").click()
    page.get_by_label("Day").fill("2026-12-12")
    page.get_by_role("button", name="Plan it").click()
    expect(page.get_by_role("heading", level=1)).to_contain_text("Sat 09:00")


@pytest.mark.long
def test_other_pages_are_kept_too_and_a_strange_one_says_that_it_was_not(
    phone: BrowserContext, site: Site
) -> None:
    page = kept(phone, site.url)
    phone.set_offline(True)
    for path, head in (("/week", "Harbour loaf, 12"), ("/formulas/tinned-rye", "Tinned rye")):
        page.goto(site.url + path)
        expect(page.get_by_role("heading", level=1)).to_contain_text(head)
        expect(page.locator("#offline")).to_contain_text("No network")
    page.goto(site.url + "/week/elsewhere")
    expect(page.get_by_role("heading", level=1)).to_have_text("No network")


def test_a_formula_is_scaled_in_place(
    phone: BrowserContext, serve: Callable[..., Site], tmp_path: Path
) -> None:
    page = phone.new_page()
    page.goto(serve(hall(tmp_path), NOW).url + "/formulas/harbour-loaf")
    page.get_by_label("Pieces").fill("24")
    page.get_by_role("button", name="Scale").click()
    expect(page.locator(".trade").first).to_contain_text("21600")  # 24 × 900 g
    page.get_by_label("Pieces").fill("none")
    page.get_by_role("button", name="Scale").click()
    expect(page.get_by_role("alert")).to_contain_text("a whole number")
    expect(page.get_by_label("Pieces")).to_have_value("none")
