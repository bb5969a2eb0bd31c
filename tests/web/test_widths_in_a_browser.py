"""No page of the demonstration kitchen runs over its edge, at any width, in either size of text.

Colours alone differ between the two themes, so one of them stands for both.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from itertools import islice

import pytest
from playwright.sync_api import Page
from tests.made_up import made_up
from tests.web.conftest import Site

from pointage import language
from pointage.desk.desk import StoredDesk

pytestmark = pytest.mark.browser

WIDTHS: dict[str, dict[int, tuple[int, ...]]] = {
    "en": {1: (320, 1000), 2: (320, 390)},
    "qps": {1: (320, 360, 390, 768, 1000, 1024, 1280), 2: (320, 390, 1000, 1280)},
}
"""By language, and by how many times the size of text. The made-up language is as English is, and
longer: what has room for it has room for English at nearly every width and on nearly every page."""
PAGES = {"en": 14, "qps": 200}
"""How many are looked at, at most: those nearest to the first one."""
ONE_OF_EACH = re.compile(
    r"^(/(?:daybook|sheets)/[a-z]+|/[a-z]+)/(?!new|entry|culture|formula|compare)[^/]+"
)
"""Of many formulas, cultures or sacks one is looked at."""
NOT_A_PAGE = re.compile(r"^/(static|licences|photos|daybook/archive)|\.(pdf|ics|jsonld)$")
OVER = """(times) => {
    const root = document.documentElement;
    root.style.fontSize = "";
    root.style.fontSize = `${times * parseFloat(getComputedStyle(root).fontSize)}px`;
    const edge = root.clientWidth;
    const name = (each) => `${each.tagName}.${each.getAttribute("class")} ` +
        each.textContent.trim().slice(0, 40).replace(/\\s+/g, " ");
    const every = [...document.querySelectorAll("body *")].filter((each) =>
        !each.closest(".scroll, .heard, .skip, pre"));
    const over = root.scrollWidth <= edge ? [] : every.filter((each) => {
        const box = each.getBoundingClientRect();
        return box.width > 0 && box.right > edge + 1;
    });
    const cut = every.filter((each) => each.clientWidth && each.scrollWidth > each.clientWidth + 1
        && (each.matches("input, select")
            || ["hidden", "clip"].includes(getComputedStyle(each).overflowX))
        && (each.value === undefined || /^[\\d.,: ]+\\S{0,3}$/.test(each.value)));
    return [...over.map((each) => "over: " + name(each)),
            ...cut.map((each) => `cut: ${name(each)} ${each.name} ${each.value}`)];
}"""


def pages(page: Page, url: str) -> Iterator[str]:
    """Every page that leads from the first, one of each kind, each open while it is given."""
    ahead, seen = ["/"], {"/"}
    while ahead:
        path = ahead.pop(0)
        page.goto(url + path)
        page.locator("details").evaluate_all("all => all.forEach((one) => { one.open = true })")
        yield path
        for link in page.locator("a[href^='/']").evaluate_all("a => a.map((a) => a.pathname)"):
            kind = ONE_OF_EACH.sub(r"\1/*", link)
            if kind not in seen and not NOT_A_PAGE.search(link):
                seen.add(kind)
                ahead.append(link)


@pytest.mark.parametrize("tag", ["en", pytest.param("qps", marks=pytest.mark.long)])
@pytest.mark.long
def test_nothing_runs_over_or_is_cut(
    tag: str,
    page: Page,
    serve: Callable[[StoredDesk], Site],
    demonstration: StoredDesk,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """In English, and in a language whose words are a third longer."""
    known = language.languages() | {"qps": made_up()}
    monkeypatch.setattr(language, "languages", lambda: known)
    page.set_extra_http_headers({"Accept-Language": tag})
    over: list[str] = []
    seen = []
    for path in islice(pages(page, serve(demonstration).url), PAGES[tag]):
        assert page.locator("html").get_attribute("lang") == tag
        seen.append(path)
        for times, widths in WIDTHS[tag].items():
            for width in widths:
                page.set_viewport_size({"width": width, "height": 800})
                found = page.evaluate(OVER, times)
                over += [f"{path} at {width}, text × {times}: {each}" for each in found]
    assert over == [], "\n".join(over)
    assert len(seen) == PAGES[tag] or len(seen) > 20
