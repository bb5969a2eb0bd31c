"""Cultures as the daybook has left them: the file, the bakes that were done, and what was told."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from pathlib import Path
from uuid import uuid4

import pytest
from tests.web.stored_desk import NOW, hall

from pointage.daybook.entry import Entry, EntryKind
from pointage.desk.answers import Report
from pointage.desk.desk import StoredDesk
from pointage.desk.now.cultures.lives import takes
from pointage.errors import InputError
from pointage.timetable.plan import StepKind


@pytest.fixture
def desk(tmp_path: Path) -> StoredDesk:
    return hall(tmp_path, NOW)


def record(desk: StoredDesk, kind: EntryKind, hours_ago: float, **body: object) -> str:
    entry = str(uuid4())
    desk.records.record(entry, kind, NOW - timedelta(hours=hours_ago), body)
    return entry


def test_without_news_they_are_as_the_file_says(desk: StoredDesk) -> None:
    cultures = {each.name: each for each in desk.kitchen().cultures}
    assert set(cultures) == {"Gannet", "Plover"}
    assert {name: each.mass_g for name, each in cultures.items()} == {"Gannet": 150, "Plover": 120}
    assert all(each.life is not None and not each.life.oddities for each in cultures.values())


def test_a_feed_told_is_the_last_feed(desk: StoredDesk) -> None:
    wrong = record(
        desk,
        EntryKind.FED,
        5,
        culture="Gannet",
        seed_g=20,
        parts=[{"ingredient": "rye-whole", "grams": 50}, {"ingredient": "water", "grams": 60}],
        place="Hall",
    )
    gannet = desk.kitchen().culture("Gannet")
    assert gannet.mass_g == 130
    assert gannet.place == "Hall"
    assert gannet.fed == NOW - timedelta(hours=5)
    assert gannet.hydration == pytest.approx(70 / 60)
    desk.records.withdraw(str(uuid4()), wrong)
    assert desk.kitchen().culture("Gannet").place == "Fridge"


def test_split_renamed_and_retired(desk: StoredDesk) -> None:
    record(desk, EntryKind.CULTURE, 9, event="split", culture="Tern", origin="Gannet", grams=30)
    record(
        desk,
        EntryKind.FED,
        8,
        culture="Tern",
        seed_g=30,
        parts=[{"ingredient": "spelt-whole", "grams": 60}, {"ingredient": "water", "grams": 60}],
        place="Hall",
    )
    record(desk, EntryKind.CULTURE, 7, event="renamed", culture="Skua", origin="Tern")
    kitchen = desk.kitchen()
    assert kitchen.culture("Gannet").mass_g == 120
    assert kitchen.culture("Skua").flours["rye-whole"] == pytest.approx(15 / 75)
    record(desk, EntryKind.CULTURE, 6, event="retired", culture="Skua")
    assert {each.name for each in desk.kitchen().cultures} == {"Gannet", "Plover"}
    assert {life.name: life.state for life in desk.lives()}["Skua"] == "retired"


def test_more_poured_off_than_there_is_is_refused_at_the_door_and_set_aside_if_stored(
    desk: StoredDesk,
) -> None:
    said, at = {"culture": "Plover", "grams": 500.0}, NOW - timedelta(hours=3)
    with pytest.raises(InputError, match="grams: 500 g cannot be used; expected at most the 120 g"):
        record(desk, EntryKind.POURED_OFF, 3, **said)
    assert not desk.records.lines()
    entry = Entry(str(uuid4()), desk._id, EntryKind.POURED_OFF, at, at, "Orla", said)
    desk._store.append(entry)  # as an import would
    assert desk.kitchen().culture("Plover").mass_g == 120
    assert desk.present().reasons[entry.id].field == "grams"
    plover = next(life for life in desk.lives() if life.name == "Plover")
    (odd,) = plover.oddities
    assert (odd.field, odd.value) == ("grams", "500 g")
    assert "the 120 g that there are" in odd.expected


def test_a_bake_done_leaves_its_culture_fed_and_put_back(desk: StoredDesk) -> None:
    ready = datetime(2026, 12, 5, 9, tzinfo=UTC)
    plan = desk.wish(str(uuid4()), "harbour-loaf", 8, ready, NOW)
    key = desk.bakes()[0].key
    before = desk.kitchen().culture(plan.culture)
    late = desk.__class__(desk._store, desk._id, desk._since, clock=lambda: ready)
    for step in plan.steps:
        if step.kind in (StepKind.FEED, StepKind.BUILD):
            late.mark_done(Report(str(uuid4()), key, step.key, step.end))
    after = late.kitchen().culture(plan.culture)
    built = next(step for step in plan.steps if step.kind is StepKind.BUILD)
    assert after.fed >= built.end > before.fed
    assert after.mass_g == pytest.approx(before.mass_g, rel=0.02)
    assert after.place == "Fridge"
    assert after.life is not None
    assert after.life.made[0].what_for == "Harbour loaf"
    # The next bake starts from the culture as this one left it, and the plan in hand stays itself.
    assert late.bakes()[0].plan.steps[0].start == plan.steps[0].start
    again = late.wish(str(uuid4()), "harbour-loaf", 8, ready + timedelta(days=4), ready)
    assert again.steps


def test_two_bakes_from_one_culture_are_counted_together(desk: StoredDesk) -> None:
    for day in (5, 9):
        ready = datetime(2026, 12, day, 9, tzinfo=UTC)
        desk.wish(str(uuid4()), "harbour-loaf", 8, ready, NOW)
    planned = takes(desk.bakes(), desk.present().life("Plover"))
    assert [each.what_for for each in planned] == ["Harbour loaf", "Harbour loaf"]
    assert planned[0].at < planned[1].at
    there = 120 + sum(each.fresh_g for each in planned)
    assert 0 < sum(each.grams for each in planned) <= there
