"""One culture's pages on a real store: read, told, asked and raised; and in a browser."""

from __future__ import annotations

import re
from collections.abc import Callable
from datetime import timedelta
from itertools import count
from pathlib import Path
from uuid import uuid4

import httpx
import pytest
from playwright.sync_api import Page
from tests.web.browser.looks import assert_sound
from tests.web.browsers import SIZES
from tests.web.conftest import ORIGIN, Site, ask
from tests.web.stored_desk import NOW, hall

from pointage.daybook.entry import EntryKind
from pointage.desk.desk import StoredDesk
from pointage.web.app import create_app


@pytest.fixture
def desk(tmp_path: Path) -> StoredDesk:
    return hall(tmp_path, NOW)


def get(desk: StoredDesk, path: str) -> httpx.Response:
    return ask(create_app(desk, lambda: NOW), "GET", ORIGIN + path)


SECONDS = count()


def post(desk: StoredDesk, path: str, **fields: str) -> httpx.Response:
    """Something told, each a second after the one before."""
    told = {"entry": str(uuid4())} | fields
    at = NOW - timedelta(minutes=5) + timedelta(seconds=next(SECONDS))
    return ask(
        create_app(desk, lambda: at), "POST", ORIGIN + path, data=told, headers={"Origin": ORIGIN}
    )


FEED = {
    "seed_g": "20", "flour": "rye-whole", "flour_g": "60", "water_g": "60", "place": "Hall",
}  # fmt: skip


def test_a_feed_told_shows_at_once(desk: StoredDesk) -> None:
    assert post(desk, "/cultures/Gannet/fed", **FEED).status_code == 303
    page = get(desk, "/cultures/Gannet").text
    assert "20 g seed (33\u00a0% of the flour)".replace("20 g", "20\u00a0g") in page
    assert desk.kitchen().culture("Gannet").mass_g == 140


def test_what_cannot_be_used_comes_back_with_what_was_typed(desk: StoredDesk) -> None:
    before = desk.kitchen().culture("Gannet")
    answer = post(desk, "/cultures/Gannet/fed", **(FEED | {"flour_g": "-5", "water_g": "61"}))
    assert answer.status_code == 422
    assert 'value="61"' in answer.text
    assert 'role="alert"' in answer.text
    assert desk.kitchen().culture("Gannet") == before
    assert not desk.records.lines()


@pytest.mark.parametrize(
    ("path", "fields"),
    [
        ("measured", {"rise": "40"}),
        ("measured", {"ph": "12"}),
        ("measured", {}),
        ("moved", {"place": "Attic"}),
        ("poured-off", {"grams": "lots"}),
        ("split", {"new_name": "Plover", "grams": "20"}),
        ("renamed", {"new_name": "a/b"}),
        ("fed", FEED | {"happened": "2031-01-01T09:00"}),
    ],
)
def test_absurd_news_is_refused_and_nothing_is_written(
    desk: StoredDesk, path: str, fields: dict[str, str]
) -> None:
    answer = post(desk, f"/cultures/Gannet/{path}", **fields)
    assert answer.status_code == 422
    assert "Traceback" not in answer.text
    assert not desk.records.lines()


def test_sent_twice_it_is_told_once(desk: StoredDesk) -> None:
    again = {"entry": str(uuid4())}
    for _ in range(2):
        assert post(desk, "/cultures/Gannet/fed", **(FEED | again)).status_code == 303
    assert len(desk.records.lines()) == 1


def test_split_renamed_and_retired_keep_the_family_line(desk: StoredDesk) -> None:
    gannet = desk.kitchen().culture("Gannet")
    assert post(desk, "/cultures/Gannet/split", new_name="Tern", grams="30").status_code == 303
    assert "Split into" in get(desk, "/cultures/Gannet").text
    tern = get(desk, "/cultures/Tern").text
    assert "Split from" in tern
    assert "not fed yet" not in tern  # until it has a feed of its own it goes by its mother's
    split = desk.kitchen().culture("Tern")
    assert (split.fed, split.flours, split.mass_g) == (gannet.fed, gannet.flours, 30)
    moved = post(desk, "/cultures/Tern/renamed", new_name="Skua")
    assert moved.headers["location"] == "/cultures/Skua"
    assert get(desk, "/cultures/Tern").status_code == 200  # the old name still leads there
    post(desk, "/cultures/Skua/retired")
    assert "It is retired" in get(desk, "/cultures/Skua").text


@pytest.mark.parametrize(
    ("path", "says"),
    [
        ("keep", "twice a day"),
        ("rest", "Refreshing it"),
        ("weeks?days=2026-12-05,2026-12-19", "jobs besides the builds"),
        ("change?flour=wheat-white&hydration=60&kept=20", "0.8"),
        ("trouble?rise=fallen&smell=solvent", "Hungry"),
        ("trouble?colour=pink", "Throw all of it away"),
    ],
)
def test_what_is_asked_is_answered(desk: StoredDesk, path: str, says: str) -> None:
    answer = get(desk, f"/cultures/Gannet/{path}")
    assert answer.status_code == 200
    assert says in answer.text


@pytest.mark.parametrize(
    "path",
    [
        "keep?needed=-3",
        "weeks?days=yesterday",
        "weeks?days=2020-01-01",
        "weeks?days=2026-12-19,2026-12-05",
        "change?flour=sawdust",
        "change?flour=wheat-white&kept=100",
        "trouble?rise=sideways",
    ],
)
def test_what_cannot_be_asked_is_said_in_place(desk: StoredDesk, path: str) -> None:
    answer = get(desk, f"/cultures/Gannet/{path}")
    assert answer.status_code == 422
    assert 'role="alert"' in answer.text


def test_a_culture_is_raised_by_its_signs(desk: StoredDesk) -> None:
    assert "Other sizes" in get(desk, "/cultures/raise").text
    begun = {"name": "Dunlin", "flour": "wheat-whole", "daily": "50", "place": "Boiler cupboard"}
    answer = post(desk, "/cultures/raise", **begun)
    assert answer.headers["location"] == "/cultures/Dunlin/raising"
    assert post(desk, "/cultures/raise", **begun).status_code == 422  # the name is taken
    plain = desk.raising("Dunlin")
    later = StoredDesk(desk._store, desk._id, desk._since, clock=lambda: NOW + timedelta(hours=23))
    told = create_app(later, lambda: NOW + timedelta(hours=23))
    sign = {"entry": str(uuid4()), "rise": "1.0", "ph": "6.1"}
    answer = ask(
        told, "POST", f"{ORIGIN}/cultures/Dunlin/measured", data=sign, headers={"Origin": ORIGIN}
    )
    assert answer.status_code == 303
    days = later.raising("Dunlin")
    assert not days[1].feeds  # it sleeps: stir and wait
    assert plain[1].feeds


@pytest.mark.long
def test_the_days_of_a_cool_room_go_on_until_it_may_be_trusted(desk: StoredDesk) -> None:
    asked = "/cultures/raise?flour=wheat-whole&vessel=Tub+1&place=Hall&daily=50"
    page = get(desk, asked).text
    ready = re.search(r"from day (\d+) on", page)
    assert ready
    assert int(ready[1]) > 9  # at some 17 °C
    days = re.findall(r'<th scope="row">(\d+)</th>', page.partition("Other sizes")[0])
    assert days == [str(day + 1) for day in range(int(ready[1]))] * 2  # of grams, and of signs


def test_a_culture_there_is_not(desk: StoredDesk) -> None:
    assert get(desk, "/cultures/Auk").status_code == 404
    assert get(desk, "/cultures/Auk/keep").status_code == 404


@pytest.mark.browser
@pytest.mark.parametrize("path", ["Gannet", "Gannet/trouble?rise=none", "raise"])
@pytest.mark.soon(1)
def test_in_a_browser(path: str, desk: StoredDesk, serve: Callable[..., Site], page: Page) -> None:
    page.goto(f"{serve(desk, NOW).url}/cultures/{path}")
    assert_sound(page, *SIZES)


@pytest.mark.long
def test_a_reading_that_does_not_fit_is_set_aside_until_it_was_so(desk: StoredDesk) -> None:
    """With why, and one tap to let it stand."""
    fed = NOW - timedelta(hours=7)
    flour = [{"ingredient": "wheat-white", "grams": 60}, {"ingredient": "water", "grams": 36}]
    body = {"culture": "Plover", "seed_g": 24, "parts": flour, "place": "Boiler cupboard"}
    desk.records.record(str(uuid4()), EntryKind.FED, fed, body)
    for hours, rise in ((1, 1.05), (2, 1.1), (3, 4.0), (4, 1.4), (5, 1.6)):
        seen = {"culture": "Plover", "rise": rise}
        desk.records.record(str(uuid4()), EntryKind.MEASURED, fed + timedelta(hours=hours), seen)
    why = "after the mix): outside what this culture seemed able to do."
    page = get(desk, "/cultures/Plover").text
    assert page.count(why) == 1
    assert "Risen to 4 (13:00, 3\u00a0h after the mix)" in page
    reading = page.split('name="reading" value="')[1].split('"')[0]
    assert post(desk, "/cultures/Plover/so", reading=str(uuid4())).status_code == 404
    assert post(desk, "/cultures/Plover/so", reading=reading).status_code == 303
    assert "Risen to 4 (13:00" not in get(desk, "/cultures/Plover").text
    assert "Confirmed" in get(desk, "/daybook").text


def test_a_sign_of_a_young_culture_that_does_not_fit_is_set_aside_until_it_was_so(
    desk: StoredDesk,
) -> None:
    """On the page of its days, where the tap leads back to."""
    began = NOW - timedelta(hours=30)
    flour = [{"ingredient": "wheat-whole", "grams": 50}, {"ingredient": "water", "grams": 50}]
    desk.records.record(
        str(uuid4()), EntryKind.CULTURE, began, {"event": "began", "culture": "Dunlin"}
    )
    for at, seed in ((began, 0), (began + timedelta(hours=24), 25)):
        body = {"culture": "Dunlin", "seed_g": seed, "parts": flour, "place": "Boiler cupboard"}
        desk.records.record(str(uuid4()), EntryKind.FED, at, body)
    for hours, seen in ((23, {"rise": 6.5}), (23, {"ph": 5.9})):
        at = began + timedelta(hours=hours)
        desk.records.record(str(uuid4()), EntryKind.MEASURED, at, {"culture": "Dunlin", **seen})
    page = get(desk, "/cultures/Dunlin/raising").text
    assert page.count("23\u00a0h after the mix): outside what this culture seemed able to do") == 1
    assert "Risen to 6.5 (" in page
    reading = page.split('name="reading" value="')[1].split('"')[0]
    answer = post(desk, "/cultures/Dunlin/so", reading=reading)
    assert (answer.status_code, answer.headers["location"]) == (303, "/cultures/Dunlin/raising")
    assert "It was right" not in get(desk, "/cultures/Dunlin/raising").text
