"""Every page in Chromium, on a phone and a laptop, on paper and in the dark."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from urllib.parse import urlsplit

import pytest
from playwright.sync_api import Browser, Page
from tests.web import fixture_plan as fixture
from tests.web.browser.looks import GROUND, GROUNDS, SMALL, THUMB, assert_sound, resize, wear
from tests.web.browsers import SIZES, lent
from tests.web.conftest import Site, served
from tests.web.stored_desk import friday_desk, friday_to_read, in_hand

from pointage.desk.desk import StoredDesk

pytestmark = pytest.mark.browser

PATHS = (
    "/",
    "/week",
    "/week/wish",
    "/cultures",
    "/formulas",
    "/oven",
    "/oven?mass=none",
    "/formulas/harbour-loaf",
    "/formulas/harbour-loaf?pieces=none",
    "/formulas/harbour-loaf/label?style=eu&may-contain=nuts",
    "/flour?wanted=0.7&value=x",
    "/nowhere",
)


@pytest.fixture(scope="module")
def busy(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Site]:
    """A bake under way and one that cannot be, so that every part of a page is there."""
    desk = friday_desk(tmp_path_factory.mktemp("friday"))
    in_hand(desk, fixture.impossible())
    with served(desk) as site:
        yield site


BOXES = """async () => {
    await document.fonts.ready;
    return [...document.querySelectorAll("body *")].map((each) => {
        const box = each.getBoundingClientRect();
        return `${each.tagName} ${box.x} ${box.y} ${box.width} ${box.height}`;
    });
}"""
PAST = """() => [...document.querySelectorAll("body *")]
    .filter((each) => !each.closest(".scroll, .heard, .skip"))
    .filter((each) => each.getBoundingClientRect().right > innerWidth + 1)
    .map((each) => each.outerHTML.slice(0, 90))"""


@pytest.mark.parametrize("path", PATHS)
@pytest.mark.soon(3)
def test_every_page_fits_and_is_accessible(page: Page, busy: Site, path: str) -> None:
    page.goto(busy.url + path)
    for size in SIZES:
        resize(page, size)
        assert page.evaluate(PAST) == [], size
        assert page.evaluate("document.documentElement.scrollWidth <= innerWidth"), size
        assert page.evaluate(SMALL, THUMB) == [], size
    page.locator("details").evaluate_all("all => all.forEach((one) => { one.open = true })")
    assert_sound(page, *SIZES)
    boxes = []
    for theme in GROUNDS:
        wear(page, theme)
        boxes.append(page.evaluate(BOXES))
    assert boxes[0] == boxes[1], "the themes differ in more than colours"


def test_the_display_reading_is_the_largest_thing_on_the_bench(page: Page, site: Site) -> None:
    page.goto(site.url)
    size_of = "each => parseFloat(getComputedStyle(each).fontSize)"
    for size in SIZES:
        resize(page, size)
        reading = page.locator(".now .ladder .here .display").evaluate(size_of)
        others = page.evaluate("""() => [...document.querySelectorAll("body *")]
            .filter((each) => !each.matches(".now .ladder .here .display"))
            .map((each) => parseFloat(getComputedStyle(each).fontSize))""")
        assert reading > max(others), size


def test_no_two_labels_of_the_week_overlap(
    laptop: Page, serve: Callable[[StoredDesk], Site]
) -> None:
    page = laptop
    page.goto(serve(friday_to_read()).url + "/week")
    page.evaluate("document.fonts.ready")
    overlapping = page.evaluate("""() => {
        const boxes = [...document.querySelectorAll(".week text")].map((each) =>
            [each.textContent, each.getBBox()]);
        const meet = (a, b) => a.x < b.x + b.width && b.x < a.x + a.width
            && a.y + 4 < b.y + b.height && b.y + 4 < a.y + a.height;
        return boxes.flatMap(([text, a], n) => boxes.slice(n + 1)
            .filter(([, b]) => meet(a, b)).map(([other]) => `${text} / ${other}`));
    }""")
    assert overlapping == []
    assert page.locator(".week text").count() > 20


def test_no_page_asks_another_host_or_breaks_its_own_policy(chromium: Browser, busy: Site) -> None:
    hosts: set[str] = set()
    complaints: list[str] = []
    with lent(chromium, new=True) as context:
        page = context.new_page()
        context.on("request", lambda request: hosts.add(urlsplit(request.url).netloc))
        page.on("console", lambda message: complaints.append(message.text))
        page.on("pageerror", lambda error: complaints.append(str(error)))
        for path in PATHS:
            page.goto(busy.url + path, wait_until="networkidle")
    assert hosts == {urlsplit(busy.url).netloc}
    # The two pages that answer 404 and 422 are reported as such by the browser itself.
    assert [text for text in complaints if "Failed to load resource" not in text] == []


def test_the_theme_can_be_chosen_and_stays(laptop: Page, site: Site) -> None:
    laptop.goto(site.url)
    laptop.get_by_role("button", name="Dark").click()
    assert laptop.evaluate(GROUND) == GROUNDS["dark"]
    laptop.goto(site.url + "/week")
    assert laptop.evaluate(GROUND) == GROUNDS["dark"]
    laptop.get_by_role("button", name="Light").click()
    assert laptop.evaluate(GROUND) == GROUNDS["light"]


def test_a_printed_bench_has_its_ladder_and_no_buttons(laptop: Page, site: Site) -> None:
    laptop.goto(site.url)
    laptop.emulate_media(media="print")
    assert laptop.locator(".now .ladder .display").first.is_visible()
    assert not laptop.locator(".finish button, .top, .theme").first.is_visible()
