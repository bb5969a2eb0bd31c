"""The reader's units: the first guess, the kitchen's say, the browser's own choice."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from pathlib import Path
from uuid import uuid4

import httpx
import pytest
from playwright.sync_api import Browser, BrowserContext, Page, expect
from tests.web.browsers import lent
from tests.web.conftest import ORIGIN, Site, ask
from tests.web.stored_desk import NOW, friday_desk, friday_to_read, hall

from pointage.desk.desk import StoredDesk
from pointage.shown import PLAIN
from pointage.web.app import create_app
from pointage.web.door.reader import as_cookie, chosen, usual

AMERICAN = "en-US,en;q=0.9"


@pytest.fixture
def desk(tmp_path: Path) -> StoredDesk:
    return hall(tmp_path)


def get(desk: StoredDesk, path: str, language: str = "en-GB", cookie: str = "") -> httpx.Response:
    headers = {"Accept-Language": language} | ({"Cookie": f"shown={cookie}"} if cookie else {})
    return ask(create_app(desk, lambda: NOW), "GET", ORIGIN + path, headers=headers)


def post(
    desk: StoredDesk, path: str, data: dict[str, str], language: str = "en-GB"
) -> httpx.Response:
    headers = {"Accept-Language": language, "Origin": ORIGIN}
    return ask(create_app(desk, lambda: NOW), "POST", ORIGIN + path, data=data, headers=headers)


@pytest.mark.parametrize(
    ("language", "zone", "said"),
    [
        ("en-US,en;q=0.9", "Europe/Dublin", ("F", "12", "yes", "month", "sunday", "before")),
        ("en-GB", "America/New_York", ("C", "24", "no", "day", "monday", "before")),
        ("en-CA", "America/Toronto", ("C", "12", "no", "day", "sunday", "before")),
        ("de-DE,de", "Europe/Berlin", ("C", "24", "no", "day", "monday", "after")),
        ("fr-CA", "America/Toronto", ("C", "24", "no", "day", "sunday", "after")),
        ("en", "America/Chicago", ("F", "12", "yes", "month", "sunday", "before")),
        ("", "America/Chicago", ("F", "12", "yes", "month", "sunday", "after")),
        ("", "Europe/Dublin", ("C", "24", "no", "day", "monday", "after")),
        ("ja-JP", "Asia/Tokyo", ("C", "24", "no", "year", "sunday", "before")),
        ("*", "UTC", ("C", "24", "no", "day", "monday", "after")),
    ],
)
def test_the_first_guess(language: str, zone: str, said: tuple[str, ...]) -> None:
    """As people there write: CLDR's measurement and week data, from memory."""
    found = usual(language, zone)
    assert said == (
        found.degrees, found.clock, found.ounces, found.dates, found.week, found.money
    )  # fmt: skip


def test_a_cookie_holds_what_was_chosen_and_nothing_else() -> None:
    said = {"degrees": "F", "clock": "12", "colour": "red", "dates": "never"}
    assert chosen(as_cookie(said)) == {"degrees": "F", "clock": "12"}
    assert chosen("degrees:F.clock:99.x") == {"degrees": "F"}
    assert PLAIN.with_(chosen("")) == PLAIN


def test_language_then_kitchen_then_browser(desk: StoredDesk) -> None:
    assert "°F" in get(desk, "/water", AMERICAN).text
    assert "°F" not in get(desk, "/water").text.partition("<footer>")[0]
    last = desk.kitchen_file.last
    desk.kitchen_file.put("shown", "", {"degrees": "F", "clock": "12"}, last.revision)
    page = get(desk, "/water").text.partition("<footer>")[0]
    assert "°F" in page
    assert "°C" not in page
    assert re.search(r"\d:\d\d\u00a0[ap]m", get(desk, "/").text)
    mine = get(desk, "/water", cookie="degrees:C").text.partition("<footer>")[0]
    assert "°F" not in mine


@pytest.mark.parametrize(
    "path",
    [
        "/", "/week", "/cultures", "/cultures/Gannet", "/water", "/oven", "/kitchen",
        "/formulas/harbour-loaf", "/formulas/harbour-loaf/edit",
    ],
)  # fmt: skip
def test_a_page_has_one_kind_of_degrees(desk: StoredDesk, path: str) -> None:
    page = get(desk, path, AMERICAN).text.partition("<footer>")[0]
    choice = re.compile(r'<option value="[CF]".*?</option>', re.DOTALL)  # of the degrees themselves
    words = re.sub(r"<[^>]*>", " ", choice.sub("", page))
    assert "°C" not in words
    assert not re.search(r"\d\.\d{2,}\s*°", words)


def test_a_bare_number_is_in_the_degrees_beside_the_field(desk: StoredDesk) -> None:
    """A place at 65 °F, typed as 65, is kept as it was typed and read as 18.3 °C."""
    room = next(each for each in desk.kitchen_file.tables("place") if each["kind"] == "room")
    last = desk.kitchen_file.last
    said = {
        **room, "temperature": "65", "row": room["name"], "revision": str(last.revision),
        "degrees": "F",
    }  # fmt: skip
    answer = post(desk, "/kitchen/place/change", said)
    assert answer.status_code == 303, answer.text
    (kept,) = (r for r in desk.kitchen_file.tables("place") if r["name"] == room["name"])
    assert kept["temperature"] == "65F"
    assert 'value="65"' in get(desk, "/kitchen", AMERICAN).text
    assert 'value="65 °F"' in get(desk, "/kitchen").text
    again = said | {"temperature": "65 °F", "degrees": "C"}
    again["revision"] = str(desk.kitchen_file.last.revision)
    assert post(desk, "/kitchen/place/change", again).status_code == 303
    (same,) = (r for r in desk.kitchen_file.tables("place") if r["name"] == room["name"])
    assert same["temperature"] == "65F"


def test_65_in_celsius_is_asked_about(desk: StoredDesk) -> None:
    room = next(each for each in desk.kitchen_file.tables("place") if each["kind"] == "room")
    before = desk.kitchen_file.text
    said = {**room, "temperature": "65", "row": room["name"], "degrees": "C"}
    said["revision"] = str(desk.kitchen_file.last.revision)
    answer = post(desk, "/kitchen/place/change", said)
    assert answer.status_code == 422
    assert "65 °F?" in answer.text
    assert desk.kitchen_file.text == before


def test_a_reading_is_kept_as_it_was_typed_and_corrected_in_its_own_degrees(
    desk: StoredDesk,
) -> None:
    """Typed while °F was shown, it is 76 °F also to a browser that shows °C: (76 − 32) · 5 / 9."""
    entry = str(uuid4())
    said = {"entry": entry, "culture": "Plover", "temperature_c": "76", "degrees": "F"}
    answer = post(desk, "/daybook/told/warmth", said)
    assert answer.status_code == 303, answer.text
    body = desk.records.line(entry).written.body
    assert body["temperature_c"] == pytest.approx(24.4444, abs=1e-3)
    assert body["typed"]["temperature_c"] == {"value": "76", "unit": "F"}
    page = get(desk, f"/daybook/entry/{entry}").text
    assert 'value="76 °F"' in page
    assert 'name="degrees" value="C"' in page
    mended = {"entry": str(uuid4()), "temperature_c": "24", "degrees": "C", "culture": "Plover"}
    assert post(desk, f"/daybook/entry/{entry}/corrected", mended).status_code == 303
    now = desk.records.line(entry).now
    assert now is not None
    assert now.body["temperature_c"] == 24.0


def test_every_button_of_the_daybook_has_a_name(desk: StoredDesk) -> None:
    titles = re.findall(r'<summary class="button">([^<]*)</summary>', get(desk, "/daybook").text)
    assert "Temperature, air" in titles
    assert all(title[:1].isalpha() for title in titles)


def test_a_formula_is_edited_in_the_reader_s_degrees(desk: StoredDesk) -> None:
    page = get(desk, "/formulas/harbour-loaf/edit", AMERICAN).text
    oven = re.search(r'name="process-oven"[^>]*value="([^"]*)"', page)
    assert oven is not None
    assert oven[1] == "464"  # 240 °C
    assert 'name="degrees" value="F"' in page


@pytest.fixture
def phone(chromium: Browser) -> Iterator[BrowserContext]:
    with lent(chromium, locale="en-US") as context:
        yield context


def degrees_of(page: Page, letter: str) -> None:
    page.get_by_role("button", name=f"°{letter}").click()
    expect(page.get_by_role("button", name=f"°{letter}")).to_have_attribute("aria-pressed", "true")


@pytest.mark.browser
def test_other_degrees_at_once_and_nothing_typed_is_lost(
    phone: BrowserContext, serve: Callable[[StoredDesk], Site]
) -> None:
    page = phone.new_page()
    page.goto(serve(friday_to_read()).url + "/oven")
    field = page.get_by_label("Dough at")
    expect(field).to_have_value("77")
    field.fill("80")
    degrees_of(page, "C")
    expect(page.locator("label", has_text="Dough at")).to_contain_text("°C")
    expect(field).to_have_value("80 °F")
    degrees_of(page, "F")
    expect(page.locator("label", has_text="Dough at")).to_contain_text("°F")
    expect(field).to_have_value("80 °F")


@pytest.mark.browser
@pytest.mark.long
def test_the_bench_takes_a_reading_in_fahrenheit(
    phone: BrowserContext, serve: Callable[[StoredDesk], Site], tmp_path: Path
) -> None:
    page = phone.new_page()
    page.goto(serve(friday_desk(tmp_path)).url)
    page.locator("summary", has_text="°F").first.click()
    field = page.locator("input[data-warm]").first
    field.fill("76")
    field.press("Enter")
    expect(page.locator("#main")).to_contain_text("76\u00a0°F")
    assert not phone.pages[0].get_by_text("24.4").count()
