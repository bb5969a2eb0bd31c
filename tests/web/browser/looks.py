"""What every page must be in a real browser: within the screen's width, and clean by axe."""

from __future__ import annotations

from axe_playwright_python.base import AXE_SCRIPT
from playwright.sync_api import Page
from tests.web.browsers import SIZES

AXE = """(rules) => axe.run({resultTypes: ["violations"], ...(rules && {runOnly: rules})})
    .then((found) => found.violations.map((each) =>
        `${each.id}: ${each.help}: ${each.nodes.map((one) => one.target.join(" "))}`))"""
COLOURS = ["color-contrast", "link-in-text-block"]
"""The rules that look at colours. In the dark the others would see what they saw by day, for the
themes differ in nothing else: see test_every_page_in_a_browser."""
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
    """The open page fits, and axe finds no fault in it, in both themes. sizes: else as it is."""
    path = page.url
    if page.evaluate("typeof axe") == "undefined":
        page.evaluate(AXE_SCRIPT)
    for size in sizes or ("",):
        if size:
            resize(page, size)
        assert page.evaluate("document.documentElement.scrollWidth <= innerWidth"), (path, size)
        for theme, rules in (("dark", COLOURS), ("light", None)):
            wear(page, theme)
            assert page.evaluate(AXE, rules) == [], (path, size, theme)
