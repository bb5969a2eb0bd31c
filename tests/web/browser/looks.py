"""What every page must be in a real browser: within the screen's width, and clean by axe."""

from __future__ import annotations

from axe_playwright_python.base import AXE_SCRIPT
from playwright.sync_api import Page
from tests.web.browsers import SIZES

AXE = """([where, rules]) => axe.run(where, {resultTypes: ["violations"], ...rules})
    .then((found) => found.violations.map((each) =>
        `${each.id}: ${each.help}: ${each.nodes.map((one) => one.target.join(" "))}`))"""
COLOURS = ["color-contrast", "link-in-text-block"]
"""The rules that look at colours, which take axe four times as long as all others together."""
SHAPES = {"rules": {name: {"enabled": False} for name in COLOURS}}
"""The others. They see the same in both themes, which differ in nothing but colours: see
test_every_page_in_a_browser."""
FRESH = """() => {
    const had = window.colouredElements;
    const seen = [...document.querySelectorAll("body *")].filter((one) => one.checkVisibility());
    window.colouredElements = new Set([...(had ?? []), ...seen]);
    if (!had) return document;
    return seen.filter((one) => !had.has(one)
        && [...one.childNodes].some((node) => node.nodeType === 3 && node.data.trim()));
}"""
"""All of a page at its first width, and then what another width shows besides."""
THUMB = 48
SMALL = """(thumb) => [...document.querySelectorAll(
    "a:not(.skip), button, summary, select, textarea, input:not([type=hidden])")]
    .filter((each) => each.checkVisibility())
    .map((each) => [each.outerHTML.slice(0, 90), each.getBoundingClientRect()])
    .filter(([, box]) => box.width < thumb || box.height < thumb)
    .map(([html, box]) => `${html} ${box.width} × ${box.height}`)"""
GROUND = "getComputedStyle(document.documentElement).backgroundColor"
GROUNDS = {"light": "rgb(247, 243, 232)", "dark": "rgb(20, 17, 12)"}


def resize(page: Page, size: str) -> None:
    width, height = SIZES[size]
    page.set_viewport_size({"width": width, "height": height})


def wear(page: Page, theme: str) -> None:
    page.emulate_media(color_scheme="dark" if theme == "dark" else "light")
    assert page.evaluate(GROUND) == GROUNDS[theme]


def assert_sound(page: Page, *sizes: str) -> None:
    """The open page fits, and axe finds no fault in it, in both themes. sizes: else as it is.

    Its colours are looked at once, at the last size, which shows most; at another those of what
    only that one shows.
    """
    path = page.url
    if page.evaluate("typeof axe") == "undefined":
        page.evaluate(AXE_SCRIPT)
    for size in sizes[::-1] or ("",):
        if size:
            resize(page, size)
        assert page.evaluate("document.documentElement.scrollWidth <= innerWidth"), (path, size)
        fresh = page.evaluate_handle(FRESH)
        there = fresh.evaluate("fresh => fresh === document || fresh.length > 0")
        for theme in ("dark", "light"):
            wear(page, theme)
            wrong = page.evaluate(AXE, [fresh, {"runOnly": COLOURS}]) if there else []
            assert wrong == [], (path, size, theme)
        assert page.evaluate(f"(rules) => ({AXE})([document, rules])", SHAPES) == [], (path, size)
