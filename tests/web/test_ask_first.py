"""The door asks about what is hardly ever meant, and refuses in place what cannot be."""

from __future__ import annotations

import re
from collections.abc import Callable
from datetime import timedelta
from html import unescape
from pathlib import Path

import pytest
from playwright.sync_api import Page
from tests.web.browser.looks import assert_sound, resize
from tests.web.browsers import SIZES
from tests.web.conftest import ORIGIN, Site, ask
from tests.web.stored_desk import NOW, hall
from tests.web.test_set_aside import get, post

from pointage.daybook.entry import EntryKind
from pointage.desk.answers import Report
from pointage.desk.desk import StoredDesk
from pointage.web.app import create_app

ENTRY = "0c8cf9d3-4eb4-49b4-a51b-8ad53a6ad001"
BAKE = "0c8cf9d3-4eb4-49b4-a51b-8ad53a6ad002"
FEED = {"seed_g": "200", "flour": "rye-whole", "flour_g": "60", "water_g": "60", "place": "Fridge"}


@pytest.fixture
def desk(tmp_path: Path) -> StoredDesk:
    return hall(tmp_path)


def hidden(page: str) -> dict[str, str]:
    """What a page that asks would send again."""
    found = re.findall(r'<input type="hidden" name="([^"]*)" value="([^"]*)">', page)
    return {name: unescape(value) for name, value in found if name != "path"}


def written(desk: StoredDesk) -> list[EntryKind]:
    return [line.written.kind for line in desk.records.lines()]


@pytest.mark.parametrize(
    ("path", "fields", "words", "kind"),
    [
        ("/daybook/told/rise", {"rise": "7.5"}, "A rise of 7.5 is rare", EntryKind.MEASURED),
        ("/cultures/Gannet/fed", FEED, "200 g, where at most the 150 g", EntryKind.FED),
        ("/cultures/Gannet/measured", {"rise": "7.5"}, "A rise of 7.5", EntryKind.MEASURED),
    ],
)
def test_it_asks_and_records_what_was_confirmed(
    desk: StoredDesk, path: str, fields: dict[str, str], words: str, kind: EntryKind
) -> None:
    asked = post(desk, path, entry=ENTRY, **fields)
    assert asked.status_code == 422
    assert words in asked.text
    assert written(desk) == []
    again = hidden(asked.text)
    assert again == {"entry": ENTRY, **fields}
    change = post(desk, path, **again, change="yes")
    assert change.status_code == 422
    assert "Nothing was saved" in change.text
    assert all(f'value="{value}"' in change.text for value in fields.values())
    assert written(desk) == []
    for _ in range(2):  # confirmed twice, it is recorded once
        assert post(desk, path, **again, sure="yes").status_code == 303
    (line,) = desk.records.lines()
    assert (line.written.id, line.written.kind) == (ENTRY, kind)
    assert desk.present().set_asides == () or desk.present().reasons[ENTRY].counts


def test_a_correction_is_asked_about_too(desk: StoredDesk) -> None:
    told = desk.records.record(ENTRY, EntryKind.MEASURED, NOW, {"rise": 1.6})
    path = f"/daybook/entry/{told.entry.id}/corrected"
    asked = post(desk, path, rise="7.5", why="a slip")
    assert asked.status_code == 422
    assert "A rise of 7.5 is rare" in asked.text
    assert post(desk, path, **hidden(asked.text), sure="yes").status_code == 303
    assert desk.records.line(ENTRY).now.body["rise"] == 7.5  # type: ignore[union-attr]


@pytest.mark.parametrize(
    ("action", "fields", "marked", "line"),
    [
        ("fed", FEED | {"flour_g": "0"}, "flour_g", "the grams of fresh flour"),
        ("fed", FEED | {"flour": "water"}, "flour", "one of the flours"),
        ("fed", FEED | {"seed_g": "lots"}, "seed_g", "lots"),
        ("fed", FEED | {"place": "The moon"}, "place", "moon"),
        ("poured-off", {"grams": "151.5"}, "grams", "at most the 150 g that there are of Gannet"),
        ("split", {"new_name": "Tern", "grams": "100kg"}, "grams", "at most the 150 g"),
        ("split", {"new_name": "Plover", "grams": "10"}, "new_name", "no other culture has"),
        ("measured", {"rise": "90"}, "rise", "0.3 to 10"),
    ],
)
@pytest.mark.soon(3)
def test_it_is_refused_in_its_form_with_the_field_marked(
    desk: StoredDesk, action: str, fields: dict[str, str], marked: str, line: str
) -> None:
    answer = post(desk, f"/cultures/Gannet/{action}", **fields, sure="yes")
    assert answer.status_code == 422
    assert answer.text.count('role="alert"') == 1
    error = re.search(rf'-{action}-{marked}-error" role="alert">([^<]*)<', answer.text)
    assert error is not None
    assert line in unescape(error[1])
    typed = [value for name, value in fields.items() if name not in ("flour", "place")]
    assert all(f'value="{value}"' in answer.text for value in typed)
    assert written(desk) == []


def test_all_of_it_poured_off_is_an_empty_jar_that_is_begun_again(desk: StoredDesk) -> None:
    noon = "2026-12-03T12:00"
    poured = post(desk, "/cultures/Gannet/poured-off", grams="150", happened=noon)
    assert poured.status_code == 303
    page = get(desk, "/cultures/Gannet")
    assert page.status_code == 200
    assert "Nothing is left in it." in page.text
    assert 'action="/cultures/Gannet/begun-again"' in page.text
    assert 'action="/cultures/Gannet/retired"' in page.text
    assert 'action="/cultures/Gannet/fed"' not in page.text
    every = get(desk, "/cultures").text
    assert "The jar of Gannet, empty" in every
    assert "Start it again" in every
    too_much = post(desk, "/cultures/Gannet/begun-again", origin="Plover", grams="500")
    assert too_much.status_code == 422
    assert "at most the 120 g that there are of Plover" in unescape(too_much.text)
    begun = post(desk, "/cultures/Gannet/begun-again", origin="Plover", grams="20")
    assert begun.status_code == 303
    gannet = desk.present().life("Gannet")
    assert (gannet.mass_g, gannet.flours, gannet.origin) == (20, {"wheat-white": 1.0}, "Plover")
    assert desk.present().life("Plover").mass_g == 100
    assert desk.present().set_asides == ()


def test_the_bench_asks_in_its_place(desk: StoredDesk) -> None:
    plan = desk.wish(BAKE, "harbour-loaf", 12, NOW + timedelta(days=2), NOW)
    fields = {
        "entry": ENTRY, "bake": BAKE, "step": plan.steps[0].key, "kind": "rise", "value": "7.5",
        "happened": NOW.isoformat(),
    }  # fmt: skip
    app = create_app(desk, lambda: NOW)
    headers = {"Origin": ORIGIN, "HX-Request": "true"}
    asked = ask(app, "POST", f"{ORIGIN}/bench/reading", data=fields, headers=headers)
    assert asked.status_code == 422
    assert "<html" not in asked.text
    assert "A rise of 7.5 is rare" in asked.text
    assert hidden(asked.text) == fields
    changed = post(desk, "/bench/reading", **fields, change="yes")
    assert changed.status_code == 422
    assert "Nothing was saved. Change what you typed" in changed.text
    # What was told without a network is sent as meant: nobody is there to be asked.
    outbox = ask(
        app, "POST", f"{ORIGIN}/bench/reading", data=fields | {"sure": "yes"}, headers=headers
    )
    assert outbox.status_code == 200
    assert outbox.headers["pointage-entry"] == ENTRY


@pytest.mark.browser
@pytest.mark.parametrize("size", SIZES)
@pytest.mark.long
def test_in_a_browser(size: str, desk: StoredDesk, serve: Callable[..., Site], page: Page) -> None:
    site = serve(desk, NOW)
    resize(page, size)
    page.goto(f"{site.url}/cultures/Gannet")
    page.get_by_text("Record what I see", exact=True).click()
    page.get_by_role("textbox", name="Risen to").fill("7.5")
    page.get_by_role("button", name="Save").first.click()
    assert page.get_by_role("heading", name="Is this right?").count() == 1
    assert_sound(page)
    asked_as = page.locator("form[data-same] input[name=entry]").get_attribute("value")
    page.get_by_role("button", name="Change it").click()
    assert page.get_by_role("textbox", name="Risen to").input_value() == "7.5"
    page.get_by_role("button", name="Save").first.click()
    asked_as = page.locator("form[data-same] input[name=entry]").get_attribute("value")
    page.get_by_role("button", name="Yes, save it").click()
    page.wait_for_url("**/cultures/Gannet")
    (line,) = desk.records.lines()
    assert line.written.id == asked_as


@pytest.mark.browser
@pytest.mark.long
def test_the_live_bench_asks_and_goes_on(
    desk: StoredDesk, serve: Callable[..., Site], page: Page
) -> None:
    plan = desk.wish(BAKE, "harbour-loaf", 12, NOW + timedelta(days=2), NOW)
    feed = plan.steps[0]
    later = feed.end + timedelta(minutes=30)
    hearing = StoredDesk(desk._store, desk._id, since=NOW, clock=lambda: later)
    hearing.mark_done(Report(ENTRY, BAKE, feed.key, feed.end))
    site = serve(hearing, later)
    page.goto(site.url)
    form = page.locator("form[action='/bench/reading']:has(input[name=kind][value=rise])").first
    form.evaluate("form => { form.closest('details').open = true }")
    form.locator("input[name=value]").fill("7.5")
    form.locator("button").click()
    page.get_by_role("heading", name="Is this right?").wait_for()
    page.get_by_role("button", name="Yes, save it").click()
    page.get_by_role("heading", name="Is this right?").wait_for(state="detached")
    said = [line.written.body for line in hearing.records.lines()]
    assert [each["value"] for each in said if "reading" in each] == [7.5]
