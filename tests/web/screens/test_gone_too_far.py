"""A bake that went too far: said beside what stands, taken another way, and undone."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import timedelta
from html import unescape
from pathlib import Path
from re import search, sub
from uuid import uuid4

import pytest
from tests.faults.injector import begun, sqlite_url
from tests.faults.writing import Ids
from tests.timetable.hall import NOW
from tests.whole.hall import Hall

from pointage.daybook.entry import Entry, EntryKind
from pointage.desk.answers import Bake
from pointage.timetable.plan import Manner, StepKind


@pytest.fixture
def hall(tmp_path: Path) -> Iterator[Hall]:
    with Hall(begun(sqlite_url(tmp_path, "gone")), NOW) as hall:
        yield hall


def text(page: str) -> str:
    return " ".join(unescape(sub("<[^>]+>", " ", page)).split())


def bake_of(hall: Hall, key: str) -> Bake:
    return hall.desk.present().every_bake[key]


def done(hall: Hall, key: str, kind: StepKind) -> None:
    """The last step of a kind is done in time; the clock stands at its end."""
    step = [each for each in bake_of(hall, key).plan.steps if each.kind is kind][-1]
    hall.now = step.end
    said = {"entry": str(uuid4()), "bake": key, "step": step.key}
    assert hall.post("/bench/done", said).status_code == 303


@pytest.mark.long
def test_a_levain_found_fallen_says_what_it_still_makes(hall: Hall) -> None:
    key = Ids.of(hall).bake
    done(hall, key, StepKind.BUILD)
    assert "past its best" not in text(hall.get("/").text)
    mix = next(s for s in bake_of(hall, key).plan.steps if s.kind is StepKind.MIX)
    hall.now = mix.start
    build = [s for s in bake_of(hall, key).plan.steps if s.kind is StepKind.BUILD][-1]
    seen = {"entry": str(uuid4()), "bake": key, "step": build.key, "kind": "fallen"}
    hall.post("/bench/reading", seen)
    page = text(hall.get("/").text)
    for words in ("The levain is past its best", "Mix the dough with it now", "Feed it again"):
        assert words in page
    assert "Nobody has recorded a look" not in page
    assert "Common practice, not calculated." in page


@pytest.mark.long
def test_a_dough_left_standing_stays_on_the_bench_and_goes_into_tins(hall: Hall) -> None:
    key = Ids.of(hall).bake
    done(hall, key, StepKind.MIX)
    bulk = next(s for s in bake_of(hall, key).plan.steps if s.kind is StepKind.BULK)
    hall.now = bulk.end + timedelta(hours=5)
    page = hall.get("/").text
    assert "The dough has risen too far" in text(page)
    assert "Nobody has recorded a look at it" in text(page)
    entry = str(uuid4())
    said = {"entry": entry, "bake": key, "step": bulk.key, "way": "tin"}
    assert hall.post("/bench/rescue", said).status_code == 303
    assert hall.post("/bench/rescue", said).status_code == 303  # sent twice, recorded once
    shape = next(s for s in bake_of(hall, key).plan.steps if s.kind is StepKind.SHAPE)
    assert shape.manner is Manner.TIN
    page = hall.get("/").text
    assert "Rescued: In tins, not on the hearth" in text(page)
    assert "Use tins" not in text(page)
    undone = search(r'name="withdraws" value="([^"]+)"', page)
    assert undone is not None
    assert undone[1] == entry
    hall.post("/bench/undo", {"entry": str(uuid4()), "withdraws": entry})
    shape = next(s for s in bake_of(hall, key).plan.steps if s.kind is StepKind.SHAPE)
    assert shape.manner is Manner.PLAIN


def test_fewer_pieces_have_a_ladder_of_their_own(hall: Hall) -> None:
    """As an archive of another kitchen may bring it: the mix, its water and what follows."""
    key = Ids.of(hall).bake
    plan = bake_of(hall, key).plan
    mix = next(s for s in plan.steps if s.kind is StepKind.MIX)
    assert mix.ladder is not None
    pours = [round(0.75 * each.grams) for each in mix.ladder.pours]
    wished = bake_of(hall, key).wished
    assert wished is not None
    body = {
        "bake": key, "step": mix.key, "way": "more levain", "formula": wished.formula,
        "pieces": 6, "pours": pours, "water_c": 31.5,
    }  # fmt: skip
    entry = Entry(str(uuid4()), hall.kitchen, EntryKind.RESCUED, hall.now, hall.now, "baker", body)
    hall.store.append(entry)
    now = bake_of(hall, key).plan
    after = next(s for s in now.steps if s.kind is StepKind.MIX)
    assert after.ladder is not None
    assert [each.grams for each in after.ladder.pours] == pours
    assert after.ladder.pours[0].temperature_c == 31.5
    assert now.pieces == 6
    assert max(each.pieces for each in now.steps) == 6
    for wrong in ({"pours": pours[:-1]}, {"pours": [-1.0]}):
        bad = Entry(
            str(uuid4()), hall.kitchen, EntryKind.RESCUED, hall.now, hall.now, "baker", body | wrong
        )
        hall.store.append(bad)
        assert bad.id in hall.desk.present().reasons
        assert bake_of(hall, key).plan.pieces == 6


def test_a_way_that_is_advice_alone_or_of_nothing_that_stands_is_refused(hall: Hall) -> None:
    key = Ids.of(hall).bake
    done(hall, key, StepKind.MIX)
    for step, way in (("bulk", "flat"), ("bulk", "more levain"), ("mix", "tin"), ("no", "tin")):
        said = {"entry": str(uuid4()), "bake": key, "step": step, "way": way}
        answer = hall.post("/bench/rescue", said)
        assert answer.status_code in (400, 404), (step, way)


@pytest.mark.long
def test_what_was_recorded_last_can_be_undone_for_two_hours(hall: Hall) -> None:
    key = Ids.of(hall).bake
    done(hall, key, StepKind.MIX)
    rise = {"entry": str(uuid4()), "bake": key, "step": "bulk", "kind": "rise", "value": "1.3"}
    hall.post("/bench/reading", rise)
    page = hall.get("/").text
    assert f'name="withdraws" value="{rise["entry"]}"' in page
    hall.post("/bench/undo", {"entry": str(uuid4()), "withdraws": rise["entry"]})
    assert bake_of(hall, key).step_news("bulk").readings == ()
    assert "Mix the dough: done" in text(hall.get("/").text)
    hall.now += timedelta(hours=2, minutes=1)
    assert "withdraws" not in hall.get("/").text
