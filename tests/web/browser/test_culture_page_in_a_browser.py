"""The page that goes with a piece of a culture, in Chromium."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path

import pytest
from playwright.sync_api import Browser, expect

from pointage.desk.at_hand import at_hand
from pointage.desk.cultures import share_culture as shared
from pointage.desk.kitchen.kitchens import demonstration_text

pytestmark = pytest.mark.browser

NOW = datetime(2026, 11, 27, 9, tzinfo=UTC)
HOSTILE = "<img src=x onerror='window.ran=1'></script><script>window.ran=1</script>"


def test_it_says_the_first_week_in_the_readers_room(
    chromium: Browser, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(shared, "ROOMS_C", (16.0, 20.0, 24.0))
    present = at_hand(NOW, demonstration_text(), "kitchen.toml")
    gannet = present.kitchen.culture("Gannet")
    file = tmp_path / "page.html"
    whose = shared.read_rights(HOSTILE, "", "")
    page_text = shared.share_culture(replace(gannet, name=HOSTILE), present, whose)
    file.write_text(page_text, encoding="utf-8")
    with chromium.new_context(viewport={"width": 390, "height": 844}, locale="en-IE") as context:
        page = context.new_page()
        page.goto(file.as_uri())
        expect(page.locator("h1")).to_have_text(HOSTILE)
        expect(page.locator("#summary")).to_contain_text("One feed refreshes it.")
        page.locator("#way").fill("7")
        page.locator("#way").press("Tab")
        expect(page.locator("#summary")).to_contain_text("It takes 2 feeds to refresh it")
        first = page.locator("#steps li").first
        expect(first).to_contain_text("Stir 40 g of water into 20 g of it, then 40 g of flour")
        page.locator("#room").fill("10 °C")
        page.locator("#room").press("Tab")
        expect(page.locator("#doubts")).to_contain_text("a room of 16 °C to 24 °C")
        expect(page.locator("#steps li")).to_have_count(0)
        expect(page.locator("#without")).to_be_visible()
        page.locator("#degrees").select_option("F")
        expect(page.locator("#room")).to_have_value("50 °F")
        assert page.evaluate("document.documentElement.scrollWidth") <= 390
        assert page.evaluate("window.ran") is None
