"""Each main screen on paper, as Chromium prints it: no boxes, no links, nothing over the edge."""

from __future__ import annotations

from collections.abc import Callable
from io import BytesIO

import pytest
from playwright.sync_api import Page
from pypdf import PdfReader
from tests.web.conftest import Site

from pointage.desk.desk import StoredDesk

pytestmark = [pytest.mark.browser, pytest.mark.long]

SCREENS = (
    "/", "/week", "/cultures", "/cultures/Gannet", "/formulas", "/formulas/seeded-rolls", "/water",
    "/oven", "/flour", "/larder", "/larder/list", "/daybook", "/kitchen", "/sheets",
    "/formulas/harbour-loaf/label", "/formulas/harbour-loaf/edit", "/sheets/bench/harbour-loaf",
    "/cultures/Gannet/keep", "/cultures/Gannet/share",
)  # fmt: skip
PX_A_MM = 96 / 25.4
WITHIN_MM = {"A4": 210 - 28, "Letter": 215.9 - 28}
"""Between the margins of 14 mm."""
PRESSED = """() => [...document.querySelectorAll(
    "button, .button, .plain-button, footer a, footer form, nav, input, select, textarea"
)].filter((one) => {
    const style = getComputedStyle(one);
    const gone = "button, .button, .plain-button, footer *, nav";
    return one.getClientRects().length && (one.matches(gone)
        || style.borderTopWidth !== "0px" || style.backgroundColor !== "rgba(0, 0, 0, 0)");
}).map((one) => `${one.tagName}.${one.className} ${one.textContent.trim().slice(0, 30)}`)"""
OVER = """() => [...document.querySelectorAll("main *")].filter((one) =>
    !one.closest(".heard") && (one.getBoundingClientRect().right
        > document.documentElement.clientWidth + 1
        || (one.matches(".scroll, pre") && one.scrollWidth > one.clientWidth + 1))
).map((one) => `${one.tagName}.${one.className}`)"""

HOLLOW = """() => [...document.querySelectorAll("section")].filter((one) => {
    const head = one.querySelector("h2");
    return one.getClientRects().length && head && one.innerText.trim() === head.innerText.trim();
}).map((one) => `nothing below ${one.innerText.trim()}`)"""


@pytest.mark.parametrize("paper", WITHIN_MM)
def test_pages_print_without_what_a_finger_presses_and_within_the_paper(
    paper: str, page: Page, serve: Callable[[StoredDesk], Site], demonstration: StoredDesk
) -> None:
    url = serve(demonstration).url
    wrong: list[str] = []
    for path in SCREENS:
        page.goto(url + path)
        page.emulate_media(media="print")
        width = int(WITHIN_MM[paper] * PX_A_MM)
        page.set_viewport_size({"width": width, "height": 1000})
        found = [each for check in (PRESSED, OVER, HOLLOW) for each in page.evaluate(check)]
        wrong += [f"{path}: {each}" for each in found]
        printed = PdfReader(BytesIO(page.pdf(format=paper)))
        last = printed.pages[-1].extract_text().strip()
        if len(printed.pages) > 1 and len(last.splitlines()) < 2:
            wrong.append(f"{path}: a page for {last!r} alone")
    assert wrong == [], "\n".join(wrong)
