"""Months of a baker's cultures at 65 °F, each need seen to when the Bench names it.

What is right to do is common practice, no source.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import ExitStack, suppress
from datetime import UTC, datetime, timedelta
from itertools import pairwise
from pathlib import Path
from uuid import uuid4

import pytest
from playwright.sync_api import Browser
from tests.web.walking import BEGUN, JAR_MOST_G, Walk, walking

from pointage.daybook.entry import EntryKind
from pointage.errors import InputError
from pointage.kitchen.needs import NeedKind

pytestmark = pytest.mark.browser
START = datetime(2026, 9, 1, 14, tzinfo=UTC)
FULMAR = {
    "name": "Fulmar", "flour": "wheat-white", "hydration": "100", "grams": "100",
    "fed": "2026-08-31T20:00", "old": "20", "new": "40", "spot": "Counter", "hours": "4",
    "place": "Fridge",
}  # fmt: skip


@pytest.fixture
def walk(
    chromium: Browser, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> Iterator[Callable[..., Walk]]:
    with ExitStack() as stack:

        def begun(*cultures: dict[str, str]) -> Walk:
            day = stack.enter_context(walking(chromium, tmp_path, START, monkeypatch))
            day.post("/begin", BEGUN | {"way": "bring"})
            for each in cultures:
                revision = str(day.desk.kitchen_file.last.revision)
                answer = day.post("/begin/culture", each | {"revision": revision})
                assert answer.status_code == 303, answer.text
            return day

        yield begun


def kept_until(
    day: Walk, end: datetime, away: tuple[datetime, datetime]
) -> list[tuple[datetime, NeedKind, str]]:
    """Whatever is due is done as the Bench says it, by its own form, but for nobody while away."""
    done: list[tuple[datetime, NeedKind, str]] = []
    while True:
        needs = day.desk.present().needs(day.now)
        at = max(day.now, needs[0].at)
        if away[0] < at < away[1]:
            at = away[1]
        if at >= end:
            return done
        day.until(at)
        need = day.desk.present().needs(at)[0]
        if need.at > at:
            continue
        day.read()
        if need.feed is not None:
            assert need.feed.total_g <= JAR_MOST_G
            assert need.feed.seed_g >= 5
        day.press("/", "/bench/culture", culture=need.culture)
        done.append((at, need.kind, need.culture))


@pytest.mark.long
def test_two_cultures_over_two_months_with_a_holiday(walk: Callable[..., Walk]) -> None:
    petrel = FULMAR | {"name": "Petrel", "flour": "rye-whole", "fed": "2026-09-01T08:00"}
    day = walk(FULMAR, petrel | {"place": "Counter", "hours": "2"})
    day.press("/cultures/Petrel", "/cultures/Petrel/moved", place="Fridge")
    away = (datetime(2026, 9, 20, tzinfo=UTC), datetime(2026, 10, 2, 14, tzinfo=UTC))
    done = kept_until(day, datetime(2026, 11, 1, tzinfo=UTC), away)
    for name in ("Fulmar", "Petrel"):
        fed = [at for at, kind, culture in done if culture == name and kind is not NeedKind.CHILL]
        chilled = [at for at, kind, culture in done if culture == name and kind is NeedKind.CHILL]
        assert 5 <= len(fed) <= 14, "once a week or in ten days, and woken after the holiday"
        assert chilled, "whoever keeps it in the fridge is told to put it back"
        gaps = [after - before for before, after in pairwise(fed)]
        assert max(gaps) <= timedelta(days=22)
        life = day.desk.present().life(name)
        assert life.mass_g <= JAR_MOST_G
        assert not life.oddities
    assert not [at for at, _, _ in done if away[0] < at < away[1]]
    day.looks("/", "Fulmar", "Petrel")
    day.looks("/cultures", "Fulmar", "Petrel")


def test_a_jar_found_after_eight_weeks(walk: Callable[..., Walk]) -> None:
    day = walk(FULMAR)
    day.at(10, 26)
    bench = day.read()
    assert "Bring Fulmar back" in bench
    assert "Look first: fuzz, or pink or orange anywhere, and all of it goes away" in bench
    assert "Grey or brown liquid on top is only hunger" in bench
    assert "into the compost: it is too old to be good" in bench
    assert "Fulmar 10" in bench  # ten grams are kept, and fed one to two
    day.looks("/", "Bring Fulmar back", "feeds, 12 to 24 h apart")
    trouble = day.read("/cultures/Fulmar/trouble")
    assert "it has been in the cold for more than a week" in trouble
    assert "How long" not in trouble
    day.press("/", "/bench/culture", culture="Fulmar")
    kinds = []
    for _ in range(3):  # day by day, three feeds in all, and only then into the fridge
        need = day.desk.present().needs(day.now)[0]
        kinds.append(need.kind)
        assert need.at - day.now <= timedelta(days=1)
        day.until(max(day.now, need.at))
        day.read()
        day.press("/", "/bench/culture", culture="Fulmar")
    assert kinds == [NeedKind.WAKE, NeedKind.WAKE, NeedKind.CHILL]


@pytest.mark.long
def test_a_backup_is_dried_put_away_and_brought_back(walk: Callable[..., Walk]) -> None:
    day = walk(FULMAR)
    day.at(9, 2)
    answer = day.press("/cultures/Fulmar", "/cultures/Fulmar/backup", how="drying", grams="20")
    assert answer.headers["location"] == "/cultures/Fulmar%20backup"
    assert "20 g" in day.read("/cultures/Fulmar backup")
    day.at(9, 4)
    bench = day.read()
    assert "Put Fulmar backup away" in bench
    assert "On its label: “Fulmar backup, white wheat, dried Sep 4, 2026”" in bench
    day.press("/", "/bench/culture", culture="Fulmar backup")
    day.at(10, 2)
    assert "dried Fri Sep 4, 28 days ago; good until about Sep 4, 2027" in day.read("/cultures")
    assert "Fulmar backup" not in day.read()  # it asks for nothing for a year
    day.press("/cultures/Fulmar", "/cultures/Fulmar/retired")
    day.looks("/", "Bring Fulmar backup back", "First soak the flakes")
    day.looks("/cultures/Fulmar backup", "Day by day")
    day.press("/", "/bench/culture", culture="Fulmar backup")
    assert day.desk.present().life("Fulmar backup").state == "living"
    assert "Fulmar backup" in day.read()


def test_another_culture_may_have_the_name_of_one_that_is_gone(walk: Callable[..., Walk]) -> None:
    day = walk(FULMAR)
    day.at(9, 10)
    day.press("/cultures/Fulmar", "/cultures/Fulmar/retired")
    day.at(9, 12)

    def bring(**typed: str) -> int:
        revision = str(day.desk.kitchen_file.last.revision)
        return day.post("/begin/culture", FULMAR | {"revision": revision} | typed).status_code

    assert bring(fed="2026-09-09T08:00") == 422  # of the time of the one before
    assert bring(fed="2026-09-11T20:00", grams="60") == 303
    life = day.desk.present().life("Fulmar")
    assert (life.state, round(life.mass_g), life.oddities) == ("living", 60, ())
    assert bring(fed="2026-09-11T21:00") == 422  # and now it has one
    assert "Fulmar" in day.read()


@pytest.mark.long
def test_another_flour_is_a_path_of_feeds_on_the_bench(walk: Callable[..., Walk]) -> None:
    """A fifth kept three times leaves under one in a hundred: arithmetic."""
    day = walk(FULMAR)
    path = "/cultures/Fulmar/change?flour=rye-whole&hydration=&place="
    words = day.read(path)
    assert "After 3 feeds 0.8 % of the old culture is left" in words
    assert "1 20 40 40" in words
    day.looks(path, "Put it on the Bench", "at its height after")
    day.press(path, "/cultures/Fulmar/changing")
    for _ in range(3):
        need = day.desk.present().needs(day.now)[0]
        assert (need.kind, need.place) == (NeedKind.FEED, "Counter")
        assert need.at - day.now < timedelta(days=3)
        day.until(max(need.at, day.now))
        words = day.read()
        assert "Fulmar 20 432" in words
        assert "Whole rye flour 40" in words
        day.press("/", "/bench/culture", culture="Fulmar")
    life = day.desk.present().life("Fulmar")
    assert life.aim is None
    assert life.flours["rye-whole"] > 0.98
    assert day.desk.present().needs(day.now)[0].kind is NeedKind.CHILL  # as it was kept before


@pytest.mark.long
def test_another_place_is_a_path_too(walk: Callable[..., Walk]) -> None:
    day = walk(FULMAR | {"place": "Counter", "hours": "2"})
    path = "/cultures/Fulmar/change?flour=&hydration=&place=Fridge"
    assert "into the fridge: there one feed wakes it surely for" in day.read(path)
    day.press(path, "/cultures/Fulmar/changing")
    need = day.desk.present().needs(day.now)[0]
    assert (need.kind, need.place) == (NeedKind.CHILL, "Fridge")
    day.until(max(need.at, day.now))
    day.press("/", "/bench/culture", culture="Fulmar")
    assert day.desk.present().life("Fulmar").aim is None
    assert day.desk.present().needs(day.now)[0].kind is NeedKind.REFRESH


def test_what_no_feed_leads_to_and_a_place_that_is_gone_shut_no_page(
    walk: Callable[..., Walk],
) -> None:
    day = walk(FULMAR)
    for body in (
        {"keep": 0.9, "hydration": 2.0},
        {"place": "The moon"},
        {"flour": "rye-whole", "keep": 0.01},
        {"flour": "nothing of the kind"},
    ):
        said = {"event": "changing", "culture": "Fulmar", **body}
        with suppress(InputError):
            day.desk.records.record(str(uuid4()), EntryKind.CULTURE, day.now, said)
        assert "Fulmar" in day.read()
        day.read("/cultures/Fulmar")
