"""The kitchen's pages on a real store: read, changed in place, and a place given a log."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from uuid import uuid4

import httpx
import pytest
from playwright.sync_api import Page
from tests.web.browser.looks import assert_sound
from tests.web.browsers import SIZES
from tests.web.conftest import ORIGIN, Site, ask
from tests.web.stored_desk import NOW, hall

from pointage.desk.desk import StoredDesk
from pointage.web.app import create_app

TUB = {
    "row": "Tub 1",
    "name": "Tub 1",
    "tare": "240g",
    "volume": "2l",
    "material": "plastic",
    "use": "tub",
}


@pytest.fixture
def desk(tmp_path: Path) -> StoredDesk:
    return hall(tmp_path, NOW)


def get(desk: StoredDesk, path: str) -> httpx.Response:
    return ask(create_app(desk, lambda: NOW), "GET", ORIGIN + path)


def post(
    desk: StoredDesk,
    path: str,
    fields: dict[str, str] | None = None,
    files: dict[str, tuple[str, bytes]] | None = None,
) -> httpx.Response:
    last = desk.kitchen_file.last.revision
    told = {"entry": str(uuid4()), "revision": str(last)} | (fields or {})
    return ask(
        create_app(desk, lambda: NOW), "POST", ORIGIN + path,
        data=told, files=files, headers={"Origin": ORIGIN},
    )  # fmt: skip


def test_a_tare_is_changed_in_place_and_every_comment_stays(desk: StoredDesk) -> None:
    before = desk.kitchen_file.text
    assert post(desk, "/kitchen/vessel/change", TUB).status_code == 303
    assert desk.kitchen_file.text == before.replace('"236g"', '"240g"')
    assert desk.kitchen().vessels[1].tare_g == 240
    assert desk.kitchen_file.text_of(1) == before  # what it was is never lost


def test_a_new_place_and_out_again(desk: StoredDesk) -> None:
    porch = {"name": "Porch", "kind": "room", "temperature": "9C"}
    assert post(desk, "/kitchen/place/add", porch).status_code == 303
    assert desk.kitchen().place("porch").name == "Porch"
    assert post(desk, "/kitchen/place/remove", {"row": "Porch"}).status_code == 303
    assert "Porch" not in get(desk, "/kitchen").text


HALL = {"row": "Hall", "name": "Hall", "kind": "room", "temperature": "17C"}
SMALL = {"name": "Small oven", "loaves": "2", "rolls": "12", "preheat": "30min"}


def test_a_second_oven_and_out_again(desk: StoredDesk) -> None:
    assert post(desk, "/kitchen/oven/add", SMALL | {"offset": "-10C"}).status_code == 303
    assert [each.name for each in desk.kitchen().ovens] == ["Deck oven", "Small oven"]
    assert "Small oven" in get(desk, "/kitchen").text
    asked = get(desk, "/oven?in=Small+oven").text
    assert '<option value="Small oven" selected>' in asked
    assert "bakes 10" in asked
    assert 'name="in"' in asked
    assert post(desk, "/kitchen/oven/remove", {"row": "Small oven"}).status_code == 303
    assert [each.name for each in desk.kitchen().ovens] == ["Deck oven"]
    assert 'name="in"' not in get(desk, "/oven").text
    assert post(desk, "/kitchen/oven/remove", {"row": "Deck oven"}).status_code == 303
    assert desk.kitchen().ovens == ()
    assert "An oven that bakes as its dial says" in get(desk, "/oven").text


def test_the_litres_of_the_fridge(desk: StoredDesk) -> None:
    tables = desk.kitchen_file.tables("place")
    fridge = next(each for each in tables if each["kind"] == "fridge")
    told = fridge | {"row": fridge["name"], "room": "120l"}
    assert post(desk, "/kitchen/place/change", told).status_code == 303
    assert desk.kitchen().place("Fridge").room_l == 120
    assert "120 l free for dough" in get(desk, "/kitchen").text


@pytest.mark.parametrize(
    ("path", "fields", "kept"),
    [
        ("vessel/change", TUB | {"tare": "heavy"}, 'value="heavy"'),
        ("vessel/change", TUB | {"volume": "-2l"}, 'value="-2l"'),
        ("place/add", {"name": "Attic", "kind": "room", "temperature": "300C"}, 'value="300C"'),
        ("oven/add", SMALL | {"loaves": "0"}, 'value="0"'),
        ("oven/add", SMALL | {"name": "Deck oven"}, "unique names"),
        ("place/change", HALL | {"room": "9l"}, "fridge"),
        ("place/change", HALL | {"row": "Attic"}, "place: &#39;Attic&#39;"),
        ("place/add", HALL | {"name": "A" * 501}, "at most 500"),
        ("hours/change", {"sleep": "ten to six"}, 'value="ten to six"'),
        ("kitchen/change", {"name": "Skerry Hall", "zone": "Atlantis", "tap": "10C"}, "Atlantis"),
    ],
)
@pytest.mark.soon(4)
def test_what_cannot_be_used_is_said_under_its_field(
    desk: StoredDesk, path: str, fields: dict[str, str], kept: str
) -> None:
    before = desk.kitchen_file.text
    answer = post(desk, f"/kitchen/{path}", fields)
    assert answer.status_code == 422
    assert kept in answer.text
    assert 'role="alert"' in answer.text
    assert desk.kitchen_file.text == before


def test_the_last_fridge_cannot_be_taken_out(desk: StoredDesk) -> None:
    answer = post(desk, "/kitchen/place/remove", {"row": "Fridge"})
    assert answer.status_code == 422
    assert "fridge" in answer.text


def test_the_whole_file(desk: StoredDesk) -> None:
    text = desk.kitchen_file.text
    assert post(desk, "/kitchen/file", {"text": "not [toml"}).status_code == 422
    assert desk.kitchen_file.text == text
    barn = {"text": text.replace("Skerry Hall", "Skerry Barn")}
    assert post(desk, "/kitchen/file", barn).is_redirect
    assert desk.kitchen().name == "Skerry Barn"
    assert "revision=1" in get(desk, "/kitchen/file").text


LOG = "time;temp (C)\n" + "\n".join(
    f"2026-11-{day:02}T{hour:02}:00;{15 + (hour > 9) * 3}.0"
    for day in range(1, 15)
    for hour in range(0, 24, 3)
)


def test_a_place_takes_a_log(desk: StoredDesk) -> None:
    file = {"log": ("hall.csv", LOG.encode())}
    looked = post(desk, "/kitchen/log?place=Hall", {"do": "look"}, file)
    assert "112 readings" in looked.text
    assert desk.kitchen_file.tables("place")[0]["temperature"] == "17C"
    taken = post(desk, "/kitchen/log?place=Hall", {"do": "take"}, file)
    assert "has this history now" in taken.text
    assert desk.kitchen_file.tables("place")[0]["temperature"] != "17C"


def test_a_log_with_a_bad_row_is_refused_whole(desk: StoredDesk) -> None:
    file = {"log": ("hall.csv", (LOG + "\n2026-11-20T09:00;three hundred").encode())}
    before = desk.kitchen_file.text
    answer = post(desk, "/kitchen/log?place=Hall", {"do": "take"}, file)
    assert answer.status_code == 422
    assert "line 114" in answer.text
    assert desk.kitchen_file.text == before
    assert post(desk, "/kitchen/log?place=Hall", {"do": "skip"}, file).status_code == 200
    assert desk.kitchen_file.text != before


@pytest.mark.browser
@pytest.mark.parametrize("path", ["kitchen", "kitchen/file", "kitchen/log?place=Hall"])
@pytest.mark.long
def test_in_a_browser(path: str, desk: StoredDesk, serve: Callable[..., Site], page: Page) -> None:
    page.goto(f"{serve(desk, NOW).url}/{path}")
    assert_sound(page, *SIZES)
