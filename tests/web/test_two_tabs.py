"""Two tabs with one document: the second sees both texts, and keeps its own on purpose or not."""

from __future__ import annotations

import re
from collections.abc import Callable
from html import unescape
from pathlib import Path
from threading import Barrier, Thread
from urllib.parse import quote
from uuid import uuid4

import httpx
import pytest
from playwright.sync_api import Page
from tests.web.browser.looks import assert_sound
from tests.web.browsers import SIZES
from tests.web.conftest import ORIGIN, Site, ask
from tests.web.forms import form, forms
from tests.web.formula_form import sent
from tests.web.stored_desk import NOW, hall

from pointage.daybook.store.store import open_store
from pointage.desk.desk import StoredDesk
from pointage.kitchen.file.edit import table
from pointage.web.app import create_app

EDIT = "/formulas/harbour-loaf/edit"


@pytest.fixture
def desk(tmp_path: Path) -> StoredDesk:
    return hall(tmp_path, NOW)


def get(desk: StoredDesk, path: str) -> str:
    return ask(create_app(desk, lambda: NOW), "GET", ORIGIN + path).text


def post(
    desk: StoredDesk, path: str, fields: dict[str, str], log: bytes | None = None
) -> httpx.Response:
    files = None if log is None else {"log": ("hall.csv", log)}
    return ask(
        create_app(desk, lambda: NOW), "POST", ORIGIN + path,
        data=fields, files=files, headers={"Origin": ORIGIN},
    )  # fmt: skip


def row(desk: StoredDesk, kind: str, name: str = "") -> dict[str, object] | None:
    return table(desk.kitchen_file.text, kind, name)


def change(html: str, kind: str, name: str, **typed: str) -> dict[str, str]:
    """The form of a row as a page had it, with something typed."""
    return form(html, f"/kitchen/{kind}/change", row=name) | typed


def test_two_places_added_at_once_are_both_there(desk: StoredDesk, tmp_path: Path) -> None:
    """From one page, through two servers, in the same moment."""
    blank = form(get(desk, "/kitchen"), "/kitchen/place/add")
    other = StoredDesk(
        open_store(f"sqlite:///{tmp_path / 'hall.db'}"), desk._id, NOW, clock=lambda: NOW
    )
    for number in range(5):
        names = f"Porch {number}", f"Attic {number}"
        together, statuses = Barrier(2), list[int]()

        def add(where: StoredDesk, name: str, together: Barrier = together) -> None:
            typed = blank | {"name": name, "kind": "room", "temperature": "9C"}
            together.wait()
            statuses.append(post(where, "/kitchen/place/add", typed).status_code)  # noqa: B023

        tabs = [Thread(target=add, args=each) for each in zip((desk, other), names, strict=True)]
        for tab in tabs:
            tab.start()
        for tab in tabs:
            tab.join()
        assert statuses == [303, 303]
        assert all(row(desk, "place", name) is not None for name in names)


def test_changes_of_two_rows_are_both_in_effect(desk: StoredDesk) -> None:
    page = get(desk, "/kitchen")
    steps = [
        ("/kitchen/vessel/change", change(page, "vessel", "Tub 1", tare="240g")),
        ("/kitchen/scale/change", change(page, "scale", "Bench scale", capacity="20kg")),
        ("/kitchen/kitchen/change", change(page, "kitchen", "", tap="9C")),
        ("/kitchen/hours/change", change(page, "hours", "", sleep="21:00-05:00")),
        ("/kitchen/vessel/remove", form(page, "/kitchen/vessel/remove", row="Tub 2")),
    ]
    for path, fields in steps:
        assert post(desk, path, fields).status_code == 303, path
    assert row(desk, "vessel", "Tub 1")["tare"] == "240g"  # type: ignore[index]
    assert row(desk, "scale", "Bench scale")["capacity"] == "20kg"  # type: ignore[index]
    assert desk.kitchen().tap_c == 9
    assert row(desk, "hours")["sleep"] == "21:00-05:00"  # type: ignore[index]
    assert row(desk, "vessel", "Tub 2") is None
    assert row(desk, "vessel", "Tub 3") is not None


def test_the_vessel_that_is_taken_out_is_the_one_that_was_shown(desk: StoredDesk) -> None:
    """Two tabs take out two of them; by their places a third would have gone."""
    page = get(desk, "/kitchen")
    before = [each["name"] for each in desk.kitchen_file.tables("vessel")]
    for name in ("Tub 1", "Tub 2"):
        fields = form(page, "/kitchen/vessel/remove", row=name)
        assert post(desk, "/kitchen/vessel/remove", fields).status_code == 303
    left = [each["name"] for each in desk.kitchen_file.tables("vessel")]
    assert left == [each for each in before if each not in {"Tub 1", "Tub 2"}]


def test_the_same_row_is_shown_as_it_stands_and_as_it_was_typed(desk: StoredDesk) -> None:
    page = get(desk, "/kitchen")
    path = "/kitchen/vessel/change"
    assert post(desk, path, change(page, "vessel", "Tub 1", tare="240g")).status_code == 303
    revision = desk.kitchen_file.last.revision
    refused = post(desk, path, change(page, "vessel", "Tub 1", tare="250g", volume="3l"))
    assert refused.status_code == 409
    assert "<mark>tare: 240g</mark>" in refused.text
    assert "<mark>tare: 250g</mark>" in refused.text
    assert desk.kitchen_file.last.revision == revision
    assert post(desk, path, form(refused.text, path)).status_code == 303  # on purpose
    assert row(desk, "vessel", "Tub 1")["tare"] == "250g"  # type: ignore[index]
    assert row(desk, "vessel", "Tub 1")["volume"] == "3l"  # type: ignore[index]
    again = post(desk, path, change(page, "vessel", "Tub 1", tare="260g"))
    assert again.status_code == 409, "and the next is asked again"


def test_a_row_that_is_gone_can_be_added_again(desk: StoredDesk) -> None:
    page = get(desk, "/kitchen")
    post(desk, "/kitchen/vessel/remove", form(page, "/kitchen/vessel/remove", row="Tub 1"))
    fields = change(page, "vessel", "Tub 1", tare="250g")
    refused = post(desk, "/kitchen/vessel/change", fields)
    assert refused.status_code == 409
    assert "no longer there" in refused.text
    added = post(desk, "/kitchen/vessel/add", form(refused.text, "/kitchen/vessel/add"))
    assert added.status_code == 303
    assert row(desk, "vessel", "Tub 1")["tare"] == "250g"  # type: ignore[index]


def test_a_row_that_is_added_again_has_all_that_it_had(desk: StoredDesk) -> None:
    text = (
        desk.kitchen_file.text
        + """
[[place]]
name = "Porch"
kind = "room"
readings = [{ at = "07:00", temperature = "9C" }, { at = "15:00", temperature = "12C" }]
"""
    )
    desk.kitchen_file.put_text(text, desk.kitchen_file.last.revision)
    porch, page = row(desk, "place", "Porch"), get(desk, "/kitchen")
    post(desk, "/kitchen/place/remove", form(page, "/kitchen/place/remove", row="Porch"))
    path = "/kitchen/place/add"
    refused = post(desk, "/kitchen/place/change", change(page, "place", "Porch", spread="1C"))
    assert "readings: 07:00 9C, 15:00 12C" in refused.text
    wrong = post(desk, path, form(refused.text, path) | {"spread": "a lot"})
    assert wrong.status_code == 422
    again = next(each for each in forms(wrong.text, path) if each["spread"] == "a lot")
    assert post(desk, path, again | {"spread": "1C"}).status_code == 303
    assert row(desk, "place", "Porch") == (porch or {}) | {"spread": "1C"}


def test_a_row_that_was_changed_is_not_taken_out_unseen(desk: StoredDesk) -> None:
    page, path = get(desk, "/kitchen"), "/kitchen/vessel/remove"
    post(desk, "/kitchen/vessel/change", change(page, "vessel", "Tub 1", tare="240g"))
    refused = post(desk, path, form(page, path, row="Tub 1"))
    assert refused.status_code == 409
    assert "<mark>tare: 240g</mark>" in refused.text
    assert row(desk, "vessel", "Tub 1") is not None
    assert post(desk, path, form(refused.text, path)).status_code == 303
    assert row(desk, "vessel", "Tub 1") is None
    assert post(desk, path, form(page, path, row="Tub 1")).status_code == 303, "it is gone as asked"


def test_two_new_places_of_one_name(desk: StoredDesk) -> None:
    blank, path = form(get(desk, "/kitchen"), "/kitchen/place/add"), "/kitchen/place/add"
    porch = blank | {"name": "Porch", "kind": "room", "temperature": "9C"}
    assert post(desk, path, porch).status_code == 303
    assert post(desk, path, porch).status_code == 303, "the same again is there already"
    refused = post(desk, path, porch | {"temperature": "11C"})
    assert refused.status_code == 409
    assert 'value="11C"' in refused.text
    path = "/kitchen/place/change"
    assert post(desk, path, form(refused.text, path)).status_code == 303
    assert row(desk, "place", "Porch")["temperature"] == "11C"  # type: ignore[index]


@pytest.mark.parametrize(
    "name",
    [
        "A/B",
        "..",
        "?x=1&y",
        "#1",
        "100 %",
        "Seán’s “tub”",
        "<b>bold</b>",
        "a\\b",
        "7",
        "new",
        "x" * 300,
    ],
)
@pytest.mark.soon(3)
def test_any_name_works(desk: StoredDesk, name: str) -> None:
    """A place of that name is added, changed, given a log and taken out."""
    blank = form(get(desk, "/kitchen"), "/kitchen/place/add")
    fields = blank | {"name": name, "kind": "room", "temperature": "9C"}
    assert post(desk, "/kitchen/place/add", fields).status_code == 303
    page = get(desk, "/kitchen")
    fields = change(page, "place", name, temperature="11C")
    assert post(desk, "/kitchen/place/change", fields).status_code == 303
    assert row(desk, "place", name)["temperature"] == "11C"  # type: ignore[index]
    (path,) = [
        unescape(each) for each in re.findall(r'href="(/kitchen/log[^"]*)"', page)
        if unescape(each).endswith("=" + quote(name, safe="").replace("%20", "+"))
    ]  # fmt: skip
    assert unescape(get(desk, path)).count(f"<h1>{name}</h1>") == 1
    fields = form(get(desk, "/kitchen"), "/kitchen/place/remove", row=name)
    assert post(desk, "/kitchen/place/remove", fields).status_code == 303
    assert row(desk, "place", name) is None


@pytest.mark.parametrize("revision", ["", "x", "99", "-1", "9" * 30])
@pytest.mark.soon(2)
def test_a_form_without_its_revision_changes_nothing(desk: StoredDesk, revision: str) -> None:
    text = desk.kitchen_file.text
    hall_ = {"name": "Hall", "kind": "room", "temperature": "11.5C", "row": "Hall"}
    mended = {"for": "harbour-loaf", "after": revision, "text": "# mine"}
    fields = {"revision": revision, "text": f"# mine\n{text}", **hall_}
    for path, said in (
        ("/kitchen/place/add", fields | {"name": "Porch"}),
        ("/kitchen/place/change", fields),
        ("/kitchen/place/remove", fields),
        ("/kitchen/file", fields),
        ("/formulas/import", mended | {"text": desk.book.revision("harbour-loaf").text + "# x"}),
        (EDIT, sent(get(desk, EDIT)) | {"after": revision, "name": "Mine", "do": "keep"}),
    ):
        refused = post(desk, path, said)
        assert refused.status_code == 409, path
        assert refused.text.count("<figcaption>") == 2, path
        if "/remove" not in path and path.startswith("/kitchen/place"):
            assert 'value="11.5C"' in refused.text
    assert desk.kitchen_file.text == text
    assert desk.book.revision("harbour-loaf").revision == 1


def test_the_whole_file_of_two_tabs(desk: StoredDesk) -> None:
    page, path = form(get(desk, "/kitchen/file"), "/kitchen/file"), "/kitchen/file"
    theirs = page | {"text": page["text"].replace("Skerry Hall", "Skerry Barn")}
    mine = page | {"text": page["text"].replace('tap = "10C"', 'tap = "9C"')}
    assert post(desk, path, theirs).status_code == 303
    assert post(desk, path, theirs).status_code == 303, "the same again is there already"
    wrong = post(desk, path, mine | {"text": "not [toml"})
    assert wrong.status_code == 422
    assert form(wrong.text, path)["revision"] == page["revision"], "still of what was seen"
    refused = post(desk, path, mine)
    assert refused.status_code == 409
    assert "<mark>name = &#34;Skerry Barn&#34;</mark>" in refused.text
    assert "<mark>tap = &#34;9C&#34;</mark>" in refused.text
    again = form(refused.text, path)
    assert again["text"].rstrip("\n") == mine["text"].rstrip("\n")
    assert desk.kitchen().name == "Skerry Barn"
    assert post(desk, path, again).status_code == 303
    assert (desk.kitchen().name, desk.kitchen().tap_c) == ("Skerry Hall", 9)
    assert [each.revision for each in desk.kitchen_file.texts()] == [3, 2, 1]


LOG = "\n".join(
    ["time;temp (C)"]
    + [f"2026-11-{day:02}T{hour:02}:00;{15 + (hour > 9) * 3}.0" for day in range(1, 15)
       for hour in range(0, 24, 3)]
).encode()  # fmt: skip


def test_a_log_for_a_place_that_was_changed_meanwhile(desk: StoredDesk) -> None:
    path = "/kitchen/log?place=Hall"
    page, rows = form(get(desk, path), path), get(desk, "/kitchen")
    post(desk, "/kitchen/place/change", change(rows, "place", "Hall", spread="1.1C"))
    refused = post(desk, path, page | {"do": "take"}, LOG)
    assert refused.status_code == 409
    assert "<mark>spread: 1.1C</mark>" in refused.text
    assert row(desk, "place", "Hall")["spread"] == "1.1C"  # type: ignore[index]
    fresh = form(refused.text, path)
    assert "has this history now" in post(desk, path, fresh | {"do": "take"}, LOG).text
    post(desk, "/kitchen/vessel/change", change(rows, "vessel", "Tub 1", tare="240g"))
    assert row(desk, "vessel", "Tub 1")["tare"] == "240g", "another row is no matter"  # type: ignore[index]


def test_a_formula_of_two_tabs(desk: StoredDesk) -> None:
    page = sent(get(desk, EDIT))
    theirs = page | {"cell-total-water": "74", "do": "keep"}
    mine = page | {"cell-total-water": "76", "about": "Mine.", "do": "keep"}
    assert post(desk, EDIT, theirs).status_code == 303
    assert post(desk, EDIT, theirs).status_code == 303, "the same again is there already"
    half = post(desk, EDIT, mine | {"new-name": "Soaker"})
    assert half.status_code == 422, "a stage that is half typed is not lost"
    assert sent(half.text)["new-name"] == "Soaker"
    refused = post(desk, EDIT, mine)
    assert refused.status_code == 409
    assert "<mark>water = 74</mark>" in refused.text
    assert "<mark>water = 76</mark>" in refused.text
    again = sent(refused.text)
    assert (again["cell-total-water"], again["about"]) == ("76", "Mine.")
    assert desk.book.revision("harbour-loaf").revision == 2
    assert "Save as revision 3" in refused.text
    assert post(desk, EDIT, again | {"do": "keep"}).status_code == 303
    assert desk.book.formula("harbour-loaf").total["water"] == 76


def test_a_formula_s_text_of_two_tabs(desk: StoredDesk) -> None:
    text = desk.book.revision("harbour-loaf").text
    mended = form(get(desk, "/formulas/import?for=harbour-loaf"), "/formulas/import")
    assert post(desk, "/formulas/import", mended | {"text": f"# Theirs\n{text}"}).status_code == 303
    for fields in (mended, {"again": "harbour-loaf@1"}):
        refused = post(desk, "/formulas/import", fields | {"text": f"# Mine\n{text}"})
        assert refused.status_code == 409
        assert "<mark># Theirs</mark>" in refused.text
        assert "<mark># Mine</mark>" in refused.text
        assert desk.book.revision("harbour-loaf").revision == 2
    assert 'name="again" value="harbour-loaf@2"' in refused.text
    again = post(desk, "/formulas/import", mended | {"text": f"# Mine\n{text}"})
    kept = post(desk, "/formulas/import", form(again.text, "/formulas/import"))
    assert kept.status_code == 303
    assert desk.book.revision("harbour-loaf").text == f"# Mine\n{text}"


def conflicts(desk: StoredDesk) -> dict[str, dict[str, str]]:
    """Forms that were overtaken, by where they are sent."""
    kitchen, text = get(desk, "/kitchen"), form(get(desk, "/kitchen/file"), "/kitchen/file")
    formula, loaf = sent(get(desk, EDIT)), desk.book.revision("harbour-loaf").text
    found = {
        "/kitchen/vessel/change": change(kitchen, "vessel", "Tub 1", tare="250g"),
        "/kitchen/file": text | {"text": text["text"].replace('tap = "10C"', 'tap = "9C"')},
        EDIT: formula | {"cell-total-water": "76", "do": "keep"},
        "/formulas/import": {"again": "harbour-loaf@1", "text": f"# Mine\n{loaf}"},
    }
    post(desk, "/kitchen/vessel/change", change(kitchen, "vessel", "Tub 1", tare="240g"))
    post(desk, EDIT, formula | {"cell-total-water": "74", "do": "keep"})
    return found


SEND = """({path, fields}) => {
  const form = document.createElement("form");
  form.method = "post"; form.action = path;
  for (const [name, value] of Object.entries(fields)) {
    const field = document.createElement("textarea");
    field.name = name; field.value = value; form.append(field);
  }
  document.body.append(form); HTMLFormElement.prototype.submit.call(form);
}"""


@pytest.mark.browser
@pytest.mark.long
def test_in_a_browser(desk: StoredDesk, serve: Callable[..., Site], page: Page) -> None:
    site = serve(desk, NOW)
    for path, fields in conflicts(desk).items():
        page.goto(site.url + "/kitchen")
        with page.expect_navigation():
            page.evaluate(SEND, {"path": path, "fields": fields | {"entry": str(uuid4())}})
        assert page.locator(".both pre").count() == 2, path
        assert_sound(page, *SIZES)
