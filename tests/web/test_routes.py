"""What the pages answer: to reading, to recording, to what is refused."""

from __future__ import annotations

import re
from datetime import UTC, datetime, timedelta
from fractions import Fraction
from pathlib import Path
from uuid import uuid4

import pytest
from tests.web import fixture_plan as fixture
from tests.web.conftest import Door
from tests.web.stored_desk import hall, news

from pointage.desk.answers import Planning, Wish
from pointage.web.assets import paths

HTMX = {"HX-Request": "true"}


@pytest.mark.parametrize(
    "path", ["/", "/week", "/week/wish", "/cultures", "/formulas", "/formulas/tinned-rye"]
)
def test_every_screen_answers(door: Door, path: str) -> None:
    answer = door.get(path)
    assert answer.status_code == 200
    assert answer.headers["Cache-Control"] == "private, no-cache"


def test_what_is_told_is_kept_and_the_page_is_seen_anew(door: Door) -> None:
    answer = door.tell("/bench/done")
    assert (answer.status_code, answer.headers["Location"]) == (303, "/")
    assert news(door.desk, "mix").done == fixture.NOW


def test_htmx_gets_the_fragment_and_the_name_of_the_entry(door: Door) -> None:
    entry = str(uuid4())
    answer = door.tell("/bench/done", HTMX, entry=entry)
    assert answer.status_code == 200
    assert answer.headers["Pointage-Entry"] == entry
    assert "<html" not in answer.text
    assert "Fold, 1 of 3" in answer.text


def test_the_same_entry_twice_is_told_once(door: Door) -> None:
    entry = str(uuid4())
    for _ in range(2):
        answer = door.tell("/bench/reading", entry=entry, step="build", kind="rise", value="1.6")
        assert answer.status_code == 303
    assert len(news(door.desk, "build").readings) == 1


def test_a_late_arrival_keeps_the_time_at_which_it_happened(door: Door) -> None:
    door.tell("/bench/done", happened="2026-12-04T13:20:00+01:00")
    assert news(door.desk, "mix").done == datetime(2026, 12, 4, 12, 20, tzinfo=UTC)


def test_nothing_has_happened_after_it_arrived(door: Door) -> None:
    ahead = (fixture.NOW + timedelta(days=2)).isoformat()
    door.tell("/bench/done", happened=ahead)
    assert news(door.desk, "mix").done == fixture.NOW


@pytest.mark.parametrize(
    ("kind", "value", "status"),
    [
        ("rise", "1.6", 303),
        ("rise", "1,6", 303),
        ("temperature", "24.5", 303),
        ("temperature", "77F", 303),
        ("ph", "4.1", 303),
        ("ripe", "", 303),
        ("fallen", "", 303),
        ("rise", "high", 422),
        ("rise", "16", 422),
        ("ph", "41", 422),
        ("temperature", "245", 422),
        ("rise", "", 422),
        ("smell", "sour", 400),
    ],
)
def test_a_reading_is_taken_or_comes_back(door: Door, kind: str, value: str, status: int) -> None:
    answer = door.tell("/bench/reading", step="build", kind=kind, value=value)
    assert answer.status_code == status
    if status == 422:
        assert 'role="alert"' in answer.text
        assert f'value="{value}"' in answer.text
    assert len(news(door.desk, "build").readings) == (status == 303)


def test_fahrenheit_is_read_as_what_it_is(door: Door) -> None:
    door.tell("/bench/reading", step="build", kind="temperature", value="77F")
    [reading] = news(door.desk, "build").readings
    assert reading.value == pytest.approx(25.0)


def test_a_display_that_cannot_be_used_comes_back_as_typed_at_its_field(door: Door) -> None:
    answer = door.tell("/bench/poured", pour="0", display="a lot")
    assert answer.status_code == 422
    assert 'value="a lot"' in answer.text
    assert '-error" role="alert"' in answer.text
    assert "&#39;a lot&#39; cannot be used; expected the reading of the display" in answer.text


def test_a_display_below_the_reading_before_comes_back(door: Door) -> None:
    answer = door.tell("/bench/poured", pour="0", display="900")
    assert answer.status_code == 422
    assert "more than 1180" in answer.text


def test_the_last_pour_can_be_corrected(door: Door) -> None:
    door.tell("/bench/poured", pour="0", display="4821")
    door.now += timedelta(seconds=20)
    door.tell("/bench/poured", pour="0", display="4490")
    assert news(door.desk, "mix").poured == (4490.0,)


@pytest.mark.parametrize(
    ("path", "fields", "status"),
    [
        ("/bench/done", {"entry": "soon"}, 400),
        ("/bench/done", {"entry": ""}, 400),
        ("/bench/done", {"bake": "nobody"}, 404),
        ("/bench/done", {"step": "nothing"}, 404),
        ("/bench/done", {"step": "x" * 999}, 400),
        ("/bench/done", {"happened": "yesterday"}, 400),
        ("/bench/done", {"happened": "2026-12-04T12:00:00"}, 400),
        ("/bench/poured", {"pour": "first", "display": "4490"}, 400),
        ("/bench/poured", {"pour": "99", "display": "4490"}, 404),
        ("/week/give-up", {"bake": "nobody"}, 404),
    ],
)
def test_what_no_page_of_ours_sends_gets_one_plain_sentence(
    door: Door, path: str, fields: dict[str, str], status: int
) -> None:
    answer = door.tell(path, None, **fields)
    assert answer.status_code == status
    assert "Traceback" not in answer.text
    assert answer.text.count("<h1") == 1


@pytest.mark.parametrize(
    "path", ["/nowhere", "/formulas/nothing", "/static/secrets", "/static/..%2Fapp.py"]
)
def test_what_is_not_there_says_so(door: Door, path: str) -> None:
    assert door.get(path).status_code == 404


def test_a_page_that_is_only_read_cannot_be_posted_to(door: Door) -> None:
    assert door.post("/cultures").status_code == 405


WISH = {"formula": "harbour-loaf", "pieces": "12", "day": "2026-12-12", "clock": "09:00"}


def test_a_wish_that_can_be_kept_is_in_hand(tmp_path: Path) -> None:
    door = Door(hall(tmp_path, fixture.NOW))
    answer = door.post("/week/wish", WISH | {"entry": str(uuid4())})
    assert (answer.status_code, answer.headers["Location"]) == (303, "/week")
    (bake,) = door.desk.bakes()
    assert (bake.plan.pieces, bake.plan.ready) == (12, datetime(2026, 12, 12, 9, tzinfo=UTC))


def test_a_wish_without_a_number_is_for_the_formulas_own(
    door: Door, monkeypatch: pytest.MonkeyPatch
) -> None:
    wanted: list[int] = []

    def begun(entry: str, asked: Wish, now: datetime) -> Planning:
        wanted.append(asked.pieces)
        return Planning(asked, waits=True)

    monkeypatch.setattr(door.desk, "wish_beside", begun)
    door.post("/week/wish", WISH | {"entry": str(uuid4()), "pieces": ""})
    harbour = next(each for each in door.desk.formulas() if each.slug == "harbour-loaf")
    assert wanted == [harbour.pieces] == [8]


def test_a_plan_that_takes_longer_says_how_far_it_is_and_may_be_stopped(
    door: Door, monkeypatch: pytest.MonkeyPatch
) -> None:
    entry, begun = str(uuid4()), dict[str, Planning]()
    asked = Wish("harbour-loaf", 7, datetime(2026, 12, 12, 9, tzinfo=UTC))
    monkeypatch.setattr(door.desk, "planning", begun.get)
    monkeypatch.setattr(
        door.desk,
        "wish_beside",
        lambda entry, asked, now: begun.setdefault(entry, Planning(asked, waits=True)),
    )
    answer = door.post("/week/wish", WISH | {"entry": entry, "pieces": "7"})
    assert (answer.status_code, answer.headers["Location"]) == (303, f"/week/wish/{entry}")
    page = door.get(f"/week/wish/{entry}").text
    assert "Planning Harbour loaf" in page
    assert 'http-equiv="refresh"' in page
    begun[entry] = Planning(asked)  # stopped
    page = door.get(f"/week/wish/{entry}").text
    assert "nothing was saved" in page
    assert 'value="7"' in page
    begun[entry] = Planning(asked, fixture.impossible())
    assert "This cannot be planned" in door.get(f"/week/wish/{entry}").text
    begun[entry] = Planning(asked, fixture.harbour_loaf())
    assert door.get(f"/week/wish/{entry}").headers["Location"] == "/week"
    assert door.get(f"/week/wish/{uuid4()}").headers["Location"] == "/week/wish"


@pytest.mark.parametrize(
    ("change", "place", "words"),
    [
        ({"pieces": "a dozen"}, "pieces", "a whole number"),
        ({"pieces": "0"}, "pieces", "a whole number"),
        ({"pieces": "999"}, "pieces", "at most 832, which is what the oven can bake"),
        ({"formula": ""}, "formula", "something in this field"),
        ({"day": "2026-12-01"}, "ready", "a time still to come"),
        ({"day": "soon"}, "ready", "a date and time such as"),
        ({"day": "2027-03-28", "clock": "01:30"}, "ready", "the clocks go forward"),
        ({"day": "2027-10-31", "clock": "01:30"}, "ready", "that time comes twice"),
    ],
)
def test_a_wish_that_cannot_be_used_comes_back_as_it_was_typed(
    door: Door, change: dict[str, str], place: str, words: str
) -> None:
    typed = WISH | change
    answer = door.post("/week/wish", typed | {"entry": str(uuid4())})
    assert answer.status_code == 422
    error = re.search(rf'id="{place}-error" role="alert">([^<]*)<', answer.text)
    assert error is not None
    assert words in error[1]
    for name in ("pieces", "day", "clock"):
        assert f'name="{name}"' in answer.text
        assert f'value="{typed[name]}"' in answer.text
    assert len(door.desk.bakes()) == 1


def test_a_wish_that_cannot_be_kept_says_why_and_what_would_help(door: Door) -> None:
    answer = door.post(
        "/week/wish",
        WISH
        | {"entry": str(uuid4()), "formula": "tinned-rye", "day": "2026-12-04", "clock": "17:00"},
    )
    assert answer.status_code == 422
    assert "Nothing is ripe, risen and baked by Fri 4 Dec 17:00." in answer.text
    ready = fixture.at(fixture.FRIDAY, "17:00")
    plan = door.desk.wish(str(uuid4()), "tinned-rye", 12, ready, fixture.NOW)
    possible = plan.conflicts[0].about["possible"]
    assert isinstance(possible, datetime)
    assert possible > ready
    assert f"Out of the oven at {possible:%a {possible.day} %b %H:%M}" in answer.text
    assert 'value="tinned-rye" selected' in answer.text


def test_a_bake_is_given_up(door: Door) -> None:
    answer = door.post("/week/give-up", {"entry": str(uuid4()), "bake": fixture.HARBOUR})
    assert answer.status_code == 303
    assert door.desk.bakes() == []


def test_a_formula_is_scaled_by_its_form(door: Door) -> None:
    answer = door.get("/formulas/harbour-loaf?pieces=24&piece=850g")
    sheet = door.desk.formula("harbour-loaf", 24, Fraction(850))
    assert sheet.total_g == 20_400  # 24 × 850 g
    for grams in (sheet.total_g, *(row.total_g for row in sheet.rows if row.total_g)):
        assert f"<td>{int(grams)}</td>" in answer.text


@pytest.mark.parametrize("query", ["pieces=none", "pieces=0", "piece=heavy", "piece=0g"])
def test_a_scaling_that_cannot_be_used_comes_back_as_typed(door: Door, query: str) -> None:
    answer = door.get(f"/formulas/harbour-loaf?{query}")
    name, value = query.split("=")
    assert answer.status_code == 422
    assert f'value="{value}"' in answer.text
    assert f'id="{name}-error" role="alert"' in answer.text
    assert "<td>7200</td>" in answer.text  # the formula as it is, for want of a better: 8 × 900 g


def test_a_fault_of_ours_is_one_sentence_and_still_guarded(door: Door) -> None:
    door.desk.formulas = lambda: 1 / 0  # type: ignore[assignment,method-assign,return-value]
    answer = door.get("/formulas")
    assert answer.status_code == 500
    assert "Something in the program failed" in answer.text
    assert "division" not in answer.text
    assert "Content-Security-Policy" in answer.headers


def test_every_file_that_a_page_names_is_there_and_kept(door: Door) -> None:
    named = set(re.findall(r'"(/static/[^"]+)"', door.get("/").text))
    assert len(named) >= 6
    for address in named:
        answer = door.get(address)
        assert answer.status_code == 200, address
        kept = "immutable" in answer.headers["Cache-Control"]
        assert kept == ("?v=" in address)


def test_every_file_is_on_the_disk_and_is_what_it_says(door: Door) -> None:
    kinds = {"css": "text/css", "js": "javascript", "woff2": "font/woff2", "svg": "image/svg+xml"}
    for name, path in paths().items():
        assert path.is_file(), name
        kind = kinds.get(name.rpartition(".")[2])
        if kind:
            assert kind in door.get(f"/static/{name}").headers["Content-Type"]


def test_the_theme_is_kept_in_a_cookie_and_leads_back(door: Door) -> None:
    answer = door.post("/theme", {"theme": "dark", "path": "/week"})
    assert (answer.status_code, answer.headers["Location"]) == (303, "/week")
    assert "theme=dark" in answer.headers["Set-Cookie"]
    page = door.get("/", {"Cookie": "theme=dark"}).text
    assert 'data-theme="dark"' in page
    assert "data-theme" not in door.get("/", {"Cookie": "theme=pink"}).text


@pytest.mark.parametrize("path", ["//elsewhere.example", "https://elsewhere.example", "/\\else"])
def test_the_theme_never_leads_elsewhere(door: Door, path: str) -> None:
    assert door.post("/theme", {"theme": "dark", "path": path}).headers["Location"] == "/"


def test_a_font_is_fetched_once_a_week_at_most(door: Door) -> None:
    answer = door.get("/static/serif-regular.woff2")
    assert "max-age=604800" in answer.headers["Cache-Control"]


def test_the_bench_is_light_enough_for_a_weak_network(door: Door) -> None:
    answer = door.get("/", {"Accept-Encoding": "gzip"})
    # httpx has unpacked it already: the length is that of what went over the line.
    assert int(answer.headers["Content-Length"]) < 20_000
