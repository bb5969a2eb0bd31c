"""What every page must be in a real browser: within the screen's width, and clean by axe."""

from __future__ import annotations

from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser


def assert_sound(chromium: Browser, url: str, width: int) -> None:
    """The page at `url` does not run over a screen of that width, and axe finds no fault in it."""
    page = chromium.new_page(viewport={"width": width, "height": 844})
    page.goto(url)
    assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")
    assert [each["id"] for each in Axe().run(page).response["violations"]] == []
    page.close()
