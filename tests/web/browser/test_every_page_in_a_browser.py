"""Every page in Chromium, on a phone and a laptop, on paper and in the dark."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from urllib.parse import urlsplit

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser, Page, ViewportSize
from tests.web import fixture_plan as fixture
from tests.web.conftest import Site
from tests.web.fake_desk import FakeDesk, friday_desk

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
SIZES: dict[str, ViewportSize] = {
    "phone": {"width": 390, "height": 844},
    "laptop": {"width": 1280, "height": 800},
}
THUMB = 48
GROUND = "getComputedStyle(document.documentElement).backgroundColor"
GROUNDS = {"light": "rgb(247, 243, 232)", "dark": "rgb(20, 17, 12)"}


@contextmanager
def opened(
    browser: Browser, size: str, theme: str = "light", *, worker: bool = False
) -> Iterator[Page]:
    context = browser.new_context(
        viewport=SIZES[size],
        color_scheme="dark" if theme == "dark" else "light",
        service_workers="allow" if worker else "block",
    )
    yield context.new_page()
    context.close()


@pytest.fixture(params=["phone", "laptop"])
def page(request: pytest.FixtureRequest, chromium: Browser) -> Iterator[Page]:
    with opened(chromium, request.param) as page:
        yield page


@pytest.fixture
def laptop(chromium: Browser) -> Iterator[Page]:
    with opened(chromium, "laptop") as page:
        yield page


def busy_desk() -> FakeDesk:
    """A bake under way and one that cannot be, so that every part of a page is there."""
    desk = friday_desk()
    desk.plans["rye"] = fixture.impossible()
    return desk


@pytest.mark.parametrize("theme", ["light", "dark"])
@pytest.mark.parametrize("size", ["phone", "laptop"])
def test_every_page_is_accessible(
    chromium: Browser, serve: Callable[[FakeDesk], Site], size: str, theme: str
) -> None:
    site = serve(busy_desk())
    axe = Axe()
    with opened(chromium, size, theme) as page:
        for path in PATHS:
            page.goto(site.url + path)
            page.locator("details").evaluate_all("all => all.forEach((one) => { one.open = true })")
            found = axe.run(page)
            assert found.violations_count == 0, f"{path}: {found.generate_report()}"
            assert page.evaluate(GROUND) == GROUNDS[theme]


def test_nothing_reaches_past_the_edge_of_the_page(
    page: Page, serve: Callable[[FakeDesk], Site]
) -> None:
    site = serve(busy_desk())
    for path in PATHS:
        page.goto(site.url + path)
        past = page.evaluate("""() => [...document.querySelectorAll("body *")]
            .filter((each) => !each.closest(".scroll, .heard, .skip"))
            .filter((each) => each.getBoundingClientRect().right > innerWidth + 1)
            .map((each) => each.outerHTML.slice(0, 90))""")
        assert past == [], path
        assert page.evaluate("document.documentElement.scrollWidth <= innerWidth"), path


def test_nothing_to_press_is_smaller_than_a_thumb(
    page: Page, serve: Callable[[FakeDesk], Site]
) -> None:
    site = serve(busy_desk())
    for path in PATHS:
        page.goto(site.url + path)
        small = page.evaluate(
            """(thumb) => [...document.querySelectorAll(
                "a:not(.skip), button, summary, select, input:not([type=hidden])")]
            .filter((each) => each.checkVisibility())
            .map((each) => [each.outerHTML.slice(0, 90), each.getBoundingClientRect()])
            .filter(([, box]) => box.width < thumb || box.height < thumb)
            .map(([html, box]) => `${html} ${box.width} × ${box.height}`)""",
            THUMB,
        )
        assert small == [], path


def test_the_display_reading_is_the_largest_thing_on_the_bench(page: Page, site: Site) -> None:
    page.goto(site.url)
    size_of = "each => parseFloat(getComputedStyle(each).fontSize)"
    reading = page.locator(".ladder .here .display").evaluate(size_of)
    others = page.evaluate("""() => [...document.querySelectorAll("body *")]
        .filter((each) => !each.matches(".ladder .here .display"))
        .map((each) => parseFloat(getComputedStyle(each).fontSize))""")
    assert reading > max(others)


def test_no_two_labels_of_the_week_overlap(laptop: Page, serve: Callable[[FakeDesk], Site]) -> None:
    page = laptop
    page.goto(serve(friday_desk()).url + "/week")
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


def test_no_page_asks_another_host_or_breaks_its_own_policy(
    chromium: Browser, serve: Callable[[FakeDesk], Site]
) -> None:
    site = serve(busy_desk())
    hosts: set[str] = set()
    complaints: list[str] = []
    with opened(chromium, "phone", worker=True) as page:
        page.context.on("request", lambda request: hosts.add(urlsplit(request.url).netloc))
        page.on("console", lambda message: complaints.append(message.text))
        page.on("pageerror", lambda error: complaints.append(str(error)))
        for path in PATHS:
            page.goto(site.url + path, wait_until="networkidle")
    assert hosts == {urlsplit(site.url).netloc}
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
