"""The first minutes on the pages, of a store in which there is nothing yet."""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from pathlib import Path
from uuid import uuid4

import httpx
import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser, expect
from tests.timetable.hall import NOW
from tests.web.conftest import ORIGIN, Idle, Site, ask

from pointage.culture.raising import Phase
from pointage.desk.desk import StoredDesk
from pointage.desk.opening import open_own
from pointage.kitchen.needs import NeedKind
from pointage.web.app import create_app

HEADERS = {"accept-language": "en-US", "origin": ORIGIN}
ANSWERS = {
    "degrees": "F", "name": "Tern Cottage", "town": "Boston", "spot": "Counter", "spot_c": "65",
    "fridge_c": "38", "loaves": "2", "sleep": "10:30 pm - 6:30 am", "step": "1",
    "jar_l": "1 quart", "jar_g": "412", "way": "bring",
}  # fmt: skip
CULTURE = {
    "name": "Fulmar", "flour": "rye-whole", "hydration": "100", "grams": "80",
    "fed": "2026-11-24T20:00", "old": "20", "new": "40", "spot": "Counter", "hours": "4",
    "place": "Fridge",
}  # fmt: skip


@pytest.fixture
def empty(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> StoredDesk:
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path))
    monkeypatch.delenv("POINTAGE_STORE", raising=False)
    return open_own(NOW, jobs=Idle())


def bring(desk: StoredDesk, **typed: str) -> httpx.Response:
    revision = str(desk.kitchen_file.last.revision)
    return post(desk, "/begin/culture", CULTURE | {"revision": revision} | typed)


def post(desk: StoredDesk, path: str, fields: dict[str, str]) -> httpx.Response:
    app = create_app(desk, lambda: NOW)
    return ask(app, "POST", ORIGIN + path, data=fields, headers=HEADERS)


def get(desk: StoredDesk, path: str) -> httpx.Response:
    app = create_app(desk, lambda: NOW)
    return ask(app, "GET", ORIGIN + path, headers=HEADERS)


def test_an_empty_store_asks_first_and_then_has_what_was_said(empty: StoredDesk) -> None:
    assert get(empty, "/").headers["location"] == "/begin"
    page = get(empty, "/begin").text
    assert 'value="68"' in page  # in °F, as is usual where American English is spoken
    answer = post(empty, "/begin", ANSWERS)
    assert (answer.status_code, answer.headers["location"]) == (303, "/begin/culture")
    kitchen = empty.kitchen()
    assert (kitchen.name, kitchen.zone.key, kitchen.currency) == (
        "Tern Cottage", "America/New_York", "USD",
    )  # fmt: skip
    assert 'temperature = "65F"' in empty.kitchen_file.text
    answer = bring(empty)
    assert answer.headers["location"] == "/cultures/Fulmar"
    assert get(empty, "/cultures/Fulmar").status_code == 200
    assert get(empty, "/").status_code == 200


def test_sent_twice_the_kitchen_begins_once(empty: StoredDesk) -> None:
    post(empty, "/begin", ANSWERS)
    post(empty, "/begin", {**ANSWERS, "name": "Another"})
    assert empty.kitchen().name == "Tern Cottage"
    assert get(empty, "/begin").headers["location"] == "/kitchen"


@pytest.mark.parametrize(
    ("field", "typed", "line"),
    [
        ("town", "Atlantis", "a large town nearby"),
        ("spot_c", "650", "a temperature of the air"),
        ("sleep", "at night", "a span of the clock"),
        ("sleep", "22:30-22:30", "two different ends"),
        ("loaves", "-1", "whole number"),
        ("fridge_c", "650", "a temperature of the air"),
        ("jar_l", "two", "volume"),
        ("jar_g", "-1", "mass"),
    ],
)
def test_what_cannot_be_used_is_named_in_its_place_and_the_rest_kept(
    empty: StoredDesk, field: str, typed: str, line: str
) -> None:
    answer = post(empty, "/begin", {**ANSWERS, field: typed})
    assert answer.status_code == 422
    assert line in answer.text
    assert f'id="{field}-error"' in answer.text
    assert 'value="10:30 pm - 6:30 am"' in answer.text or field == "sleep"
    assert empty.kitchen_file.last.revision == 1


@pytest.mark.parametrize(
    ("field", "typed"),
    [("fed", "2027-01-01T08:00"), ("new", "0"), ("grams", "a lot"), ("hydration", "9000")],
)
def test_a_culture_that_cannot_be_is_refused_in_its_place(
    empty: StoredDesk, field: str, typed: str
) -> None:
    post(empty, "/begin", ANSWERS)
    answer = bring(empty, **{field: typed})
    assert answer.status_code == 422
    assert f'id="{field}-error"' in answer.text
    assert empty.kitchen().cultures == ()


def test_two_cultures_of_one_name_are_refused(empty: StoredDesk) -> None:
    post(empty, "/begin", ANSWERS)
    bring(empty)
    answer = bring(empty, name="fulmar")
    assert answer.status_code == 422
    assert 'id="name-error"' in answer.text


def test_what_is_raised_stands_on_the_bench(empty: StoredDesk) -> None:
    post(empty, "/begin", {**ANSWERS, "way": "raise"})
    begun = {"name": "Skua", "flour": "wheat-whole", "daily": "50", "place": "Counter"}
    answer = post(empty, "/cultures/raise", {"entry": str(uuid4())} | begun)
    assert answer.headers["location"] == "/cultures/Skua/raising"
    bench = get(empty, "/").text
    assert "Skua, day 2" in bench
    assert 'href="/cultures/Skua/raising"' in bench
    assert "Nothing to do" not in bench
    days = get(empty, "/cultures/Skua/raising").text
    assert "462 → 562" in days  # with the jar's 412 g on the scale, as before it was begun
    late = NOW + timedelta(hours=28.5)  # at 8:30; at the hour of its first feed she is asleep
    app = create_app(empty, lambda: late)
    bench = ask(app, "GET", ORIGIN + "/", headers={"accept-language": "en-US"}).text
    assert '<b class="late">2 h ago</b>' in bench.replace("\u00a0", " ")
    assert "into the compost" in bench


def test_what_a_young_culture_needs_is_recorded_with_one_tap(empty: StoredDesk) -> None:
    post(empty, "/begin", {**ANSWERS, "way": "raise"})
    begun = {"name": "Skua", "flour": "wheat-whole", "daily": "50", "place": "Counter"}
    yesterday = {"entry": str(uuid4()), "happened": "2026-11-24T08:00"} | begun
    post(empty, "/cultures/raise", yesterday)
    (need,) = empty.present().needs(NOW)
    assert need.feed is not None
    fed = {
        "entry": str(uuid4()), "happened": "", "culture": "Skua", "place": need.place,
        "seed_g": str(float(need.feed.seed_g)), "water_g": str(float(need.feed.water_g)),
        "flour.wheat-whole": str(float(need.feed.flour_g)), "into": "Jar",
    }  # fmt: skip
    for _ in range(2):  # two taps are one
        assert post(empty, "/bench/culture", fed).status_code == 303
    life = empty.present().life("Skua")
    assert [stand.fed.seed_g for stand in life.stands] == [0.0, float(need.feed.seed_g)]
    (after,) = empty.present().needs(NOW)
    assert (after.number, after.at > NOW) == (need.number + 1, True)
    assert (
        post(empty, "/bench/culture", fed | {"entry": str(uuid4()), "seed_g": "x"}).status_code
        == 400
    )


def test_three_taps_say_what_is_there_and_mould_ends_it(empty: StoredDesk) -> None:
    post(empty, "/begin", {**ANSWERS, "way": "raise"})
    begun = {"name": "Skua", "flour": "wheat-whole", "daily": "50", "place": "Counter"}
    past = {"entry": str(uuid4()), "happened": "2026-11-24T03:00"} | begun
    post(empty, "/cultures/raise", past)
    plain = empty.raising("Skua")
    for touch in ("seen=doubled", "seen=bubbles", "smelled=cheese"):
        post(empty, "/cultures/Skua/raising", {"entry": str(uuid4()), "touch": touch})
    seen = empty.raising("Skua")
    assert seen[0].phase is Phase.FALSE_START
    assert seen[0].odds()[Phase.FALSE_START] > plain[0].odds()[Phase.FALSE_START]
    page = get(empty, "/cultures/Skua/raising").text
    assert page.count("<b>") >= 3  # what was said in each row
    assert "A false start" in page
    warmer = get(empty, "/cultures/Skua/raising?warmer=1").text
    assert "here, at 65" in warmer
    wrong = {"entry": str(uuid4()), "touch": "seen=dragons"}
    assert post(empty, "/cultures/Skua/raising", wrong).status_code == 400
    post(empty, "/cultures/Skua/raising", {"entry": str(uuid4()), "touch": "seen=mould"})
    (need,) = empty.present().needs(NOW)
    assert need.kind is NeedKind.DISCARD
    for path in ("/", "/cultures/Skua/raising"):
        page = get(empty, path).text
        assert "Throw Skua away" in page
        assert "What do you see" not in page
    gone = {"entry": str(uuid4()), "culture": "Skua", "event": "retired"}
    assert post(empty, "/bench/culture", gone).status_code == 303
    assert empty.present().needs(NOW) == ()


@pytest.mark.long
def test_it_may_have_been_begun_yesterday_and_not_tomorrow(empty: StoredDesk) -> None:
    post(empty, "/begin", {**ANSWERS, "way": "raise"})
    begun = {"name": "Skua", "flour": "wheat-whole", "daily": "50", "place": "Counter"}
    tomorrow = begun | {"entry": str(uuid4()), "happened": "2026-11-26T08:00"}
    answer = post(empty, "/cultures/raise", tomorrow)
    assert answer.status_code == 422
    assert "expected a time in the past" in answer.text
    yesterday = begun | {"entry": str(uuid4()), "happened": "2026-11-24T08:00"}
    assert post(empty, "/cultures/raise", yesterday).status_code == 303
    (life,) = empty.lives()
    assert life.stands[0].fed.at == datetime(2026, 11, 24, 13, tzinfo=UTC)  # eight in Boston


@pytest.mark.browser
@pytest.mark.parametrize(("width", "theme"), [(320, "light"), (390, "dark"), (1280, "light")])
@pytest.mark.soon(1)
def test_in_a_browser(
    width: int,
    theme: str,
    empty: StoredDesk,
    serve: Callable[..., Site],
    chromium: Browser,
) -> None:
    site = serve(empty, NOW)
    context = chromium.new_context(
        viewport={"width": width, "height": 844},
        locale="en-US",
        timezone_id="America/New_York",
        color_scheme="dark" if theme == "dark" else "light",
    )
    page = context.new_page()
    page.goto(site.url + "/")
    assert page.url.endswith("/begin")
    expect(page.get_by_label("Where it is")).to_have_value("America/New_York")
    assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")
    assert [each["id"] for each in Axe().run(page).response["violations"]] == []
    page.get_by_label("How warm it is there").fill("65")
    page.get_by_role("button", name="Begin").click()
    page.wait_for_url("**/cultures/raise")
    page.goto(site.url + "/begin/culture")
    assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")
    assert [each["id"] for each in Axe().run(page).response["violations"]] == []
    context.close()
