"""The page of a new culture in Chromium: its days, what is kept, and a class in one picture."""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page, expect

from pointage.desk.cultures.share_raising import share_raising
from pointage.documents.page import raising
from pointage.documents.page.raising import raised
from pointage.documents.page.write import MOST_BYTES

pytestmark = pytest.mark.browser

ROOMS_C = (20.0, 22.0, 24.0)
FLOUR = "wheat-whole"


@pytest.fixture(scope="module")
def written(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The page with few of its rooms and flours, which is quick."""
    page = tmp_path_factory.mktemp("raising") / "page.html"
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(raising, "FLOURS", (FLOUR,))
        patch.setattr(raising, "ROOMS_C", ROOMS_C)
        page.write_text(share_raising(), encoding="utf-8")
    return page


@pytest.fixture
def opened_page(chromium: Browser, written: Path) -> Iterator[Page]:
    with chromium.new_context(
        viewport={"width": 390, "height": 844}, locale="en-IE", accept_downloads=True
    ) as context:
        page = context.new_page()
        page.goto(written.as_uri())
        yield page


def test_between_two_rooms_its_bands_hold_what_the_engine_finds(opened_page: Page) -> None:
    """For a room that was not calculated, the engine's own middle rise lies in the page's band on
    nearly every day, and its own flour is what it says."""
    found = opened_page.evaluate("raising.days(0, 21.2)")
    own = raised(FLOUR, 21.2).days
    held = [
        low <= day.rise()[1] <= high
        for day, (low, _, high) in zip(own, (each["rise"] for each in found["days"]), strict=True)
    ]
    assert sum(held) >= len(held) - 1
    gaps = [abs(day.ph()[1] - each["ph"][1]) for day, each in zip(own, found["days"], strict=True)]
    assert sorted(gaps)[-2] < 0.5


def test_the_signs_are_whole_sentences_in_the_readers_degrees(opened_page: Page) -> None:
    opened_page.select_option("#degrees", "F")
    days = opened_page.inner_text("#days")
    assert "{" not in days
    assert "Keep it at 75\u00a0°F to 82\u00a0°F" in days  # 24 to 28 °C
    assert "°C" not in days


def test_what_was_seen_is_kept_and_goes_out_and_in_as_a_file(
    opened_page: Page, written: Path, tmp_path: Path
) -> None:
    assert written.stat().st_size <= MOST_BYTES
    opened_page.locator("#name").fill("Aoife")
    opened_page.locator("#name").press("Tab")
    opened_page.locator("#rise-2").fill("1,8")
    opened_page.locator("#rise-2").press("Tab")
    opened_page.reload()
    expect(opened_page.locator("#rise-2")).to_have_value("1.8")
    with opened_page.expect_download() as download:
        opened_page.locator("#save").click()
    saved = json.loads(download.value.path().read_text(encoding="utf-8"))
    assert download.value.suggested_filename == "Aoife.json"
    assert (saved["what"], saved["version"]) == ("young culture", 1)
    assert saved["days"] == [{"day": 2, "rise": 1.8, "ph": None, "note": ""}]
    again = tmp_path / "again.json"
    again.write_text(json.dumps(saved | {"name": "Bo", "room_c": 23.0}), encoding="utf-8")
    opened_page.locator("#own").set_input_files(again)
    expect(opened_page.locator("#name")).to_have_value("Bo")
    expect(opened_page.locator("#room")).to_have_value("23 °C")


def test_the_files_of_a_class_lie_over_each_other_and_what_is_none_is_named(
    opened_page: Page, tmp_path: Path
) -> None:
    files: list[Path] = []
    for name, room_c in (("Aoife", 24.0), ("<img src=x onerror='window.ran=1'>", 18.0)):
        days = [{"day": day, "rise": 1.0 + day / 10, "ph": None, "note": ""} for day in range(1, 9)]
        one = {"what": "young culture", "version": 1, "name": name, "room_c": room_c, "days": days}
        files.append(tmp_path / f"{len(files)}.json")
        files[-1].write_text(json.dumps(one), encoding="utf-8")
    spoiled = tmp_path / "spoiled.json"
    spoiled.write_text("{", encoding="utf-8")
    opened_page.locator("#class").set_input_files([*files, spoiled])
    expect(opened_page.locator("#picture polyline")).to_have_count(2)
    expect(opened_page.get_by_role("alert")).to_have_text("Not a file of this page: spoiled.json.")
    rows = opened_page.locator("#table tbody th").all_inner_texts()
    assert rows[1] == "Aoife"  # the cooler room first
    assert opened_page.evaluate("window.ran") is None


def test_a_room_or_a_jar_outside_what_was_calculated_is_said(opened_page: Page) -> None:
    opened_page.locator("#room").fill("35")
    opened_page.locator("#room").press("Tab")
    expect(opened_page.locator("#doubts")).to_contain_text("Not sure: the days are calculated for")
    expect(opened_page.locator("#days article")).to_have_count(0)
    opened_page.locator("#room").fill("22")
    opened_page.locator("#jar").fill("0.03")
    opened_page.locator("#jar").press("Tab")
    expect(opened_page.locator("#doubts")).to_contain_text("The jar is too small")
