"""The kitchen's calendar as its bakes and cultures move: identifiers stay, sequences go up."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any
from uuid import uuid4

import icalendar
import pytest
from tests.web.stored_desk import NOW, hall

from pointage.daybook.entry import Entry, EntryKind
from pointage.desk.answers import Report
from pointage.desk.desk import StoredDesk
from pointage.desk.sheets.calendar import kitchen_calendar
from pointage.timetable.plan import StepKind

READY = datetime(2026, 12, 6, 9, tzinfo=UTC)


@pytest.fixture
def desk(tmp_path: Path) -> StoredDesk:
    return hall(tmp_path)


def events(desk: StoredDesk, now: datetime = NOW) -> dict[str, Any]:
    found: Any = icalendar.Calendar.from_ical(kitchen_calendar(desk.present(), now))
    return {str(each["UID"]): each for each in found.walk("VEVENT")}


def test_a_bake_is_in_it_step_by_step_and_is_cancelled_when_it_will_not_be(
    desk: StoredDesk,
) -> None:
    empty = events(desk)
    bake = str(uuid4())
    plan = desk.wish(bake, "harbour-loaf", 8, READY, NOW)
    planned = events(desk)
    steps = [step for step in plan.steps if step.hands]
    keeps = [step.keep for step in steps if step.keep is not None]
    of_bake = {uid: planned[uid] for uid in planned.keys() - empty.keys()}
    assert len(of_bake) == len(steps) + len(keeps)
    assert {event.start for event in of_bake.values()} == {step.start for step in steps}
    assert all(event["STATUS"] == "CONFIRMED" for event in of_bake.values())
    assert all(event.walk("VALARM") for event in of_bake.values())
    assert kitchen_calendar(desk.present(), NOW) == kitchen_calendar(desk.present(), NOW)

    first = steps[0]
    desk.mark_done(Report(str(uuid4()), bake, first.key, NOW))
    done = events(desk)
    assert of_bake.keys() <= done.keys()
    assert all(done[uid]["SEQUENCE"] > event["SEQUENCE"] for uid, event in of_bake.items())
    quiet = [uid for uid in of_bake if not done[uid].walk("VALARM")]
    assert {done[uid].start for uid in quiet} == {first.start}

    desk.give_up(str(uuid4()), bake, NOW)
    gone = events(desk)
    assert {gone[uid]["STATUS"] for uid in of_bake} == {"CANCELLED"}
    assert not any(gone[uid].walk("VALARM") for uid in of_bake)


def test_the_next_feed_of_a_culture_moves_with_its_feeds(desk: StoredDesk) -> None:
    before = {str(e["SUMMARY"]): e for e in events(desk).values()}
    (name,) = [each for each in before if "Gannet" in each]
    flour = [{"ingredient": "rye-whole", "grams": 50}, {"ingredient": "water", "grams": 50}]
    body = {"culture": "Gannet", "seed_g": 20, "parts": flour, "place": "Fridge"}
    desk.records.record(str(uuid4()), EntryKind.FED, NOW, body, sure=True)
    after = events(desk)
    moved = after[str(before[name]["UID"])]
    assert moved.start > before[name].start
    assert moved["SEQUENCE"] > before[name]["SEQUENCE"]


def written(desk: StoredDesk, kind: EntryKind, body: dict[str, Any]) -> str:
    """An entry of any kind, as another device may send it."""
    entry = Entry(str(uuid4()), desk.present().record.id, kind, NOW, NOW, "baker", body)
    desk.records._store.append(entry)
    return entry.id


def test_steps_that_a_later_plan_of_the_bake_has_no_more_are_cancelled(desk: StoredDesk) -> None:
    """However the change is written: a plan's document about the bake; and taken back, they are on
    again, with a sequence that went up each time."""
    empty = events(desk)
    bake = str(uuid4())
    plan = desk.wish(bake, "harbour-loaf", 8, READY, NOW)
    planned = events(desk)
    of_bake = planned.keys() - empty.keys()
    body = dict(desk.present().replayed.journal.entries[bake].body)
    folds = [step.key for step in plan.steps if step.kind is StepKind.FOLD]
    assert folds
    steps = [each for each in body["plan"]["steps"] if each["key"] not in folds]
    fewer = {**body, "plan": {**body["plan"], "steps": steps}}
    change = written(desk, EntryKind.CORRECTED, {"entry": bake, "body": fewer})
    moved = events(desk)
    gone = {uid for uid in of_bake if moved[uid]["STATUS"] == "CANCELLED"}
    assert len(gone) == len(folds)
    assert not any(moved[uid].walk("VALARM") for uid in gone)
    assert all(moved[uid]["SEQUENCE"] > planned[uid]["SEQUENCE"] for uid in of_bake)
    assert {uid for uid in of_bake - gone if moved[uid]["STATUS"] == "CONFIRMED"} == of_bake - gone

    written(desk, EntryKind.WITHDRAWN, {"entry": change})
    back = events(desk)
    assert {back[uid]["STATUS"] for uid in of_bake} == {"CONFIRMED"}
    assert all(back[uid]["SEQUENCE"] > moved[uid]["SEQUENCE"] for uid in of_bake)

    later = desk.present().replayed.bakes[bake].ends
    written(desk, EntryKind.WITHDRAWN, {"entry": bake})
    removed = events(desk)
    assert {removed[uid]["STATUS"] for uid in of_bake} == {"CANCELLED"}
    assert of_bake <= events(desk, NOW + timedelta(days=13)).keys()
    assert not of_bake & events(desk, later + timedelta(days=15)).keys()


def test_the_feed_of_a_culture_that_is_retired_is_cancelled(desk: StoredDesk) -> None:
    before = {uid for uid, each in events(desk).items() if "Gannet" in str(each["SUMMARY"])}
    written(desk, EntryKind.CULTURE, {"event": "retired", "culture": "Gannet"})
    after = events(desk)
    assert {after[uid]["STATUS"] for uid in before} == {"CANCELLED"}
