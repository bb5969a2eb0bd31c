"""No entry, formula or text of a kitchen can shut a screen: it is shown with its reason instead."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator
from contextlib import suppress
from dataclasses import replace
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any
from uuid import uuid4

import httpx
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from playwright.sync_api import Page
from sqlalchemy import text
from tests.examples import some
from tests.web.browser.looks import assert_sound
from tests.web.browsers import SIZES
from tests.web.conftest import ORIGIN, Idle, Site, ask
from tests.web.forms import form
from tests.web.odd_entries import BAKE, EARLIER, NOWHERE, ODD, WATER, K, Odd, fed
from tests.web.stored_desk import NOW, hall

from pointage.daybook.bodies import BODIES
from pointage.daybook.entry import Entry, EntryKind
from pointage.daybook.errors import StoreError
from pointage.daybook.replay import Line
from pointage.desk.desk import StoredDesk
from pointage.desk.now.keeper import Keeper
from pointage.errors import InputError
from pointage.web.app import create_app
from pointage.web.screens.daybook.view import line_of
from pointage.web.words.asked import every_field, read_every
from pointage.web.words.clock import Clock

NAMES = {
    "{slug}": "harbour-loaf", "{place}": "Hall", "{sha256}": "0" * 64, "{name}": "Gannet",
    "{kind}": "shopping", "{key}": BAKE, "{bake}": BAKE,
}  # fmt: skip
SHARED = ("/share", "/page.html")
OF_ENTRIES = (
    "/", "/cultures", "/cultures/Gannet", "/daybook", "/daybook/culture/Gannet",
    f"/daybook/bake/{BAKE}", "/larder", "/larder/list", "/kitchen", "/sheets/week",
)  # fmt: skip
"""What an entry has a hand in, and what an odd one would shut if it shut any."""


@pytest.fixture(scope="module")
def desk(tmp_path_factory: pytest.TempPathFactory) -> StoredDesk:
    """Skerry Hall with a bake in hand."""
    made = hall(tmp_path_factory.mktemp("hall"))
    made.wish(BAKE, "harbour-loaf", 12, NOW + timedelta(days=2), NOW)
    return made


@pytest.fixture(autouse=True)
def tidy(request: pytest.FixtureRequest) -> Iterator[None]:
    """What a test that failed left aside is withdrawn for the next one."""
    yield
    if "desk" in request.fixturenames:
        kitchen: StoredDesk = request.getfixturevalue("desk")
        for entry in kitchen.present().reasons:
            kitchen.records.withdraw(str(uuid4()), entry)


def get(desk: StoredDesk, path: str) -> httpx.Response:
    return ask(create_app(desk, lambda: NOW), "GET", ORIGIN + path)


def post(desk: StoredDesk, path: str, **fields: str) -> httpx.Response:
    told = {"entry": str(uuid4())} | fields
    return ask(
        create_app(desk, lambda: NOW), "POST", ORIGIN + path, data=told, headers={"Origin": ORIGIN}
    )


def screens(desk: StoredDesk, entry: str = NOWHERE, *, shared: bool = False) -> list[str]:
    """The address of every screen that there is. shared: with the pages for other kitchens, which
    take the engine seconds in each kitchen."""
    found = []
    for route in create_app(desk).routes:
        path, methods = route.path, route.methods  # type: ignore[attr-defined]
        if "GET" not in (methods or ()) or path.startswith(("/static", "/worker", "/alive")):
            continue
        if path.endswith(SHARED) and not (shared and "{" in path):
            continue
        for name, value in (NAMES | {"{entry}": entry}).items():
            path = path.replace(name, value)
        assert "{" not in path, f"say what stands for a part of {path}"
        found.append(path)
    assert len(found) > 30
    return found


def broken(desk: StoredDesk, entry: str = NOWHERE, *, shared: bool = False) -> dict[str, int]:
    return _broken(desk, screens(desk, entry, shared=shared))


def _broken(desk: StoredDesk, paths: Iterable[str]) -> dict[str, int]:
    found = {path: get(desk, path).status_code for path in paths}
    return {path: status for path, status in found.items() if status >= 500}


def lay(desk: StoredDesk, kind: EntryKind, body: dict[str, Any], at: datetime = EARLIER) -> str:
    """Lay an entry into the store past the door."""
    arrived = min(max(at, EARLIER), NOW) - timedelta(minutes=1)
    entry = Entry(str(uuid4()), desk._id, kind, at, arrived, "baker", body)
    assert desk._store.append(entry)
    return entry.id


@pytest.mark.parametrize("odd", ODD, ids=lambda odd: odd.name)
@pytest.mark.soon(12)
def test_an_odd_entry_shuts_no_screen_is_shown_and_can_be_withdrawn(
    desk: StoredDesk, odd: Odd
) -> None:
    entry = lay(desk, odd.kind, odd.body, odd.happened)
    assert _broken(desk, OF_ENTRIES) == {}
    assert desk.present().reasons[entry].field.startswith(odd.field)
    aside = get(desk, "/daybook?aside=1").text
    assert f'href="/daybook/entry/{entry}"' in aside
    assert "Set aside: " in aside
    assert "1 entry is set aside" in get(desk, "/week").text
    path = f"/daybook/entry/{entry}"
    assert "Set aside: " in get(desk, path).text
    assert post(desk, f"{path}/withdrawn", why="a slip").status_code == 303
    assert desk.present().set_asides == ()
    assert "set aside" not in get(desk, "/week").text


@pytest.mark.parametrize("some", [slice(0, None, 2), slice(1, None, 2)], ids=["even", "uneven"])
@pytest.mark.long
def test_many_odd_entries_shut_no_screen_at_all(desk: StoredDesk, some: slice) -> None:
    entries = [lay(desk, odd.kind, odd.body, odd.happened) for odd in ODD[some]]
    assert broken(desk, entries[0], shared=True) == {}
    assert f"{len(ODD[some])} entries are set aside" in get(desk, "/").text
    for entry in entries:
        desk.records.withdraw(str(uuid4()), entry)
    assert desk.present().set_asides == ()
    assert _broken(desk, OF_ENTRIES) == {}


def test_what_is_wrong_for_want_of_flour_is_put_right_in_its_form(tmp_path: Path) -> None:
    desk = hall(tmp_path)
    entry = lay(desk, K.FED, fed(WATER))
    path = f"/daybook/entry/{entry}"
    form = get(desk, path).text
    assert 'name="flour"' in form
    assert 'name="flour_g"' in form
    right = {"culture": "Gannet", "seed_g": "20", "parts-1-grams": "50"}
    again = post(desk, f"{path}/corrected", **right)
    assert again.status_code == 422
    assert 'id="right-flour-error"' in again.text
    sent = post(desk, f"{path}/corrected", **right, flour="rye-whole", flour_g="50")
    assert sent.status_code == 303
    assert desk.present().set_asides == ()
    assert desk.present().life("Gannet").mass_g == 120  # 20 of it, 50 of water and 50 of flour


def test_a_correction_to_nothing_is_set_aside_and_put_right_again(tmp_path: Path) -> None:
    desk = hall(tmp_path)
    entry = lay(desk, K.FED, fed({"ingredient": "rye-whole", "grams": 50}, WATER))
    worse = fed({"ingredient": "rye-whole", "grams": 0}, WATER)
    lay(desk, K.CORRECTED, {"entry": entry, "body": worse}, NOW)
    lay(desk, K.CORRECTED, {"entry": entry, "body": 5}, NOW)
    assert _broken(desk, (*OF_ENTRIES, f"/daybook/entry/{entry}")) == {}
    assert desk.present().reasons[entry].field == "flour"
    fields = {"culture": "Gannet", "seed_g": "20", "parts-1-grams": "60", "parts-2-grams": "50"}
    assert post(desk, f"/daybook/entry/{entry}/corrected", **fields).status_code == 303
    assert desk.present().set_asides == ()


@pytest.mark.parametrize("body", ["[1, 2]", "7", "null", '{"rise": 1e999}', '{"rise": NaN}', '""'])
@pytest.mark.soon(2)
def test_a_body_that_no_program_of_ours_wrote(tmp_path: Path, body: str) -> None:
    desk = hall(tmp_path)
    lay(desk, K.MEASURED, {"rise": 1.5})
    entry = NOWHERE
    with desk._store.writing(desk._id) as connection:
        connection.execute(
            text(
                "INSERT INTO entry SELECT :id, kitchen, kind, happened, arrived, author, :body,"
                " number FROM entry"
            ),
            {"body": body, "id": entry},
        )
    again = StoredDesk(desk._store, desk._id, since=NOW, clock=lambda: NOW)
    assert _broken(again, (*OF_ENTRIES, f"/daybook/entry/{entry}")) == {}
    assert entry in again.present().reasons


JSON = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=8),
    lambda inner: (
        st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=8), inner, max_size=3)
    ),
    max_leaves=8,
)
WORDS = [
    *sorted({name for body in BODIES.values() for name in body.model_fields}),
    *("plan", "wished", "pour", "display_g", "reading", "value", "keep"),
]
KINDS = [*EntryKind, EntryKind("sung")]


@settings(max_examples=some(300), deadline=None)
@given(st.sampled_from(KINDS), st.dictionaries(st.sampled_from(WORDS), JSON, max_size=5))
def test_whatever_a_body_says_has_words_and_a_form(kind: EntryKind, body: dict[str, Any]) -> None:
    entry = object.__new__(Entry)  # as the store gives it back: nothing is checked
    for name, value in {
        "id": NOWHERE, "kitchen": "k", "kind": kind, "happened": NOW, "arrived": NOW,
        "author": "baker", "body": body, "number": 1,
    }.items():  # fmt: skip
        object.__setattr__(entry, name, value)
    line = line_of(Line(entry, entry), {}, Clock(NOW.tzinfo, NOW))  # type: ignore[arg-type]
    assert line.kind
    if kind in BODIES and "entry" not in BODIES[kind].model_fields:
        shown = {each.name: each.value for each in every_field(kind, body)}
        assert all(isinstance(value, str) for value in shown.values())
        with suppress(InputError):
            read_every(kind, body, shown)


def test_a_formula_that_cannot_be_read_is_listed_and_mended(tmp_path: Path) -> None:
    desk = hall(tmp_path, jobs=Idle())
    good = desk.book.revision("harbour-loaf").text
    desk._store.put_formula(desk._id, "harbour-loaf", "name = [", NOW, after=1)
    desk._store.put_formula(desk._id, "wood", 'name = "Wood"\n[total]\nsawdust = 100\n', NOW)
    assert broken(desk, shared=True) == {}
    page = get(desk, "/formulas").text
    assert 'href="/formulas/import?for=harbour-loaf"' in page
    assert "2 formulas are set aside" in page
    assert "Set aside" in page
    assert get(desk, "/formulas/harbour-loaf").headers["location"].endswith("for=harbour-loaf")
    form = get(desk, "/formulas/import?for=harbour-loaf").text
    assert "name = [" in form
    assert 'role="alert"' in form
    revisions = get(desk, "/formulas/harbour-loaf/revisions").text
    assert "Set aside: " in revisions
    assert "The first." in revisions
    mended = {"for": "harbour-loaf", "after": "2", "text": good}
    assert post(desk, "/formulas/import", **(mended | {"text": "name = {"})).status_code == 422
    assert post(desk, "/formulas/import", **mended).status_code == 303
    assert desk.book.revision("harbour-loaf").revision == 3
    assert "1 formula is set aside" in get(desk, "/formulas").text


@pytest.mark.parametrize("wrong", ["name = [", 'name = "Hall"\nzone = "Nowhere/Land"\n', ""])
@pytest.mark.soon(1)
def test_a_kitchen_whose_text_cannot_be_read_opens_on_its_text(tmp_path: Path, wrong: str) -> None:
    desk = hall(tmp_path, jobs=Idle())
    record = desk.present().record
    desk._store.put_kitchen(type(record)(record.id, record.name, record.zone, wrong), NOW, after=1)
    assert broken(desk, shared=True) == {}
    page = get(desk, "/kitchen")
    assert page.status_code == 200
    assert "<textarea" in page.text
    assert 'role="alert"' in page.text
    assert "The kitchen&#39;s file cannot be read" in page.text
    for stale in ("/kitchen/place/change", "/kitchen/place/remove"):
        assert post(desk, stale, name="Hall").status_code == 409
    place = {"row": "Hall", "revision": "1", "name": "Hall", "kind": "room", "temperature": "9C"}
    refused = post(desk, "/kitchen/place/change", **place)
    assert refused.status_code == 409
    assert 'value="9C"' in refused.text
    assert post(desk, "/kitchen/file", text=record.text, revision="2").status_code == 303
    assert desk.present().set_asides == ()


def test_what_was_typed_waits_until_the_kitchen_s_text_is_mended(tmp_path: Path) -> None:
    desk = hall(tmp_path)
    record, path = desk.present().record, "/kitchen/vessel/change"
    tub = form(get(desk, "/kitchen").text, path, row="Tub 1") | {"tare": "240g"}
    broken = replace(record, text=record.text.replace('tap = "10C"', 'tap = "cold"'))
    desk._store.put_kitchen(broken, NOW, after=1)
    refused = post(desk, path, **tub)
    assert refused.status_code == 409
    assert "tap: &#39;cold&#39;" in refused.text
    again = form(refused.text, path)
    assert {k: v for k, v in again.items() if k != "entry"} == {
        k: v for k, v in tub.items() if k != "entry"
    }
    top = desk.kitchen_file.tables("kitchen")[0] | {"tap": "9C", "revision": "2"}
    assert post(desk, "/kitchen/kitchen/change", **top).status_code == 303, "what mends it is kept"
    assert post(desk, path, **again).status_code == 303
    assert (desk.kitchen().tap_c, desk.kitchen().vessels[1].tare_g) == (9, 240)


@pytest.mark.long
def test_the_daybook_opens_when_nothing_else_can_be_made(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    desk = hall(tmp_path)
    entry = lay(desk, K.NOTE, {"text": "the one that breaks it"})

    def breaks(self: Keeper) -> None:
        raise ZeroDivisionError

    path = f"/daybook/entry/{entry}"
    with monkeypatch.context() as patched:
        patched.setattr(Keeper, "look", breaks)
        blind = StoredDesk(desk._store, desk._id, since=NOW, clock=lambda: NOW)
        bench = get(blind, "/")
        assert bench.status_code == 500
        assert "Skerry Hall" in bench.text
        assert get(blind, "/nowhere").status_code == 404
        for open_still in ("/daybook", "/daybook?kind=note&from=2026-12-01", path):
            page = get(blind, open_still)
            assert page.status_code == 200
            assert "the one that breaks it" in page.text
            assert "cannot be calculated" in page.text
        assert post(blind, f"{path}/corrected", text="put right").status_code == 303
        assert "put right" in get(blind, path).text
        assert post(blind, f"{path}/withdrawn").status_code == 303
        assert "<del>" in get(blind, path).text
    assert broken(desk) == {}


def test_an_error_page_does_not_say_where_the_store_is(
    desk: StoredDesk, monkeypatch: pytest.MonkeyPatch
) -> None:
    def gone(self: Keeper) -> None:
        raise StoreError("sqlite:////home/secret/hall.db", "disk I/O error")

    monkeypatch.setattr(Keeper, "look", gone)
    blind = StoredDesk(desk._store, desk._id, since=NOW, clock=lambda: NOW)
    for path in ("/", "/daybook", "/cultures"):
        answer = get(blind, path)
        assert answer.status_code == 503
        assert "secret" not in answer.text
        assert "cannot be reached" in answer.text


@pytest.mark.browser
@pytest.mark.long
def test_in_a_browser(tmp_path: Path, serve: Callable[..., Site], page: Page) -> None:
    desk = hall(tmp_path)
    entries = [lay(desk, odd.kind, odd.body, odd.happened) for odd in ODD[:14]]
    desk._store.put_formula(desk._id, "wood", 'name = "Wood"\n', NOW)
    site = serve(desk, NOW)
    for path in ("/daybook?aside=1", f"/daybook/entry/{entries[3]}", "/formulas", "/"):
        page.goto(site.url + path)
        assert_sound(page, *SIZES)
        assert page.get_by_text(re.compile("are set aside$")).count() == 1
