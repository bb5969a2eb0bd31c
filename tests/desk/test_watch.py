"""What is done and seen at the bench moves the courses of the bake."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from uuid import uuid4

import numpy as np
import pytest
from tests.web.stored_desk import hall

from pointage.daybook.entry import EntryKind
from pointage.daybook.readings import ReadingKind
from pointage.desk.answers import Bake, Report
from pointage.desk.desk import StoredDesk
from pointage.desk.now.bakes.watch import histories
from pointage.mixture.learning.update import Posterior, learn
from pointage.timetable.plan import Step, StepCourse, StepKind

WEDNESDAY = datetime(2026, 12, 2, 12, 0, tzinfo=UTC)
SATURDAY = datetime(2026, 12, 5, 9, 0, tzinfo=UTC)


@pytest.fixture(scope="module")
def friday(tmp_path_factory: pytest.TempPathFactory) -> StoredDesk:
    """Skerry Hall without a past, and all feeds of its first bake done on time."""
    desk = hall(tmp_path_factory.mktemp("hall"), WEDNESDAY)
    desk.wish(str(uuid4()), "harbour-loaf", 8, SATURDAY, WEDNESDAY)
    for step in feeds(desk):
        desk.mark_done(report(desk, step.key, step.end))
    return desk


def bake(desk: StoredDesk) -> Bake:
    return desk.bakes()[0]


def feeds(desk: StoredDesk) -> list[Step]:
    kinds = (StepKind.FEED, StepKind.BUILD)
    return [step for step in bake(desk).plan.steps if step.kind in kinds]


def report(desk: StoredDesk, step: str, at: datetime) -> Report:
    (plan,) = desk._store.entries(desk._id, {EntryKind.PLAN})  # to ask for the bake is to learn
    return Report(str(uuid4()), plan.id, step, at)


def standing(step: Step) -> StepCourse:
    assert step.standing is not None
    return step.standing


@pytest.mark.long
def test_one_reading_moves_the_forecast_and_an_odd_one_is_questioned(friday: StoredDesk) -> None:
    levain = feeds(friday)[-1]
    planned = standing(levain)
    assert planned.ripe_from is not None
    row = next(row for row in planned.rows if row.at >= levain.start + timedelta(hours=6))

    friday.record_reading(
        report(friday, levain.key, row.at), ReadingKind.RISE, round(row.rise_p90, 2)
    )
    seen = standing(feeds(friday)[-1])
    assert seen.ripe_from is not None
    assert seen.ripe_from.p50 < planned.ripe_from.p50 - timedelta(minutes=30)
    assert seen.ripe_from.p90 - seen.ripe_from.p10 < planned.ripe_from.p90 - planned.ripe_from.p10
    news = bake(friday).step_news(levain.key)
    assert news.ahead is not None
    assert news.ahead > timedelta(minutes=30)
    assert not news.readings[0].questioned

    for minutes in (20, 40):  # two that agree with the first, so that the odd one stands alone
        later = next(r for r in seen.rows if r.at >= row.at + timedelta(minutes=minutes))
        friday.record_reading(
            report(friday, levain.key, later.at), ReadingKind.RISE, round(later.rise, 2)
        )
    friday.record_reading(
        report(friday, levain.key, row.at + timedelta(minutes=60)), ReadingKind.RISE, 6.0
    )
    readings = bake(friday).step_news(levain.key).readings
    assert [each.questioned for each in readings] == [False, False, False, True]

    set_aside = standing(feeds(friday)[-1])
    assert questioned(friday) == [6.0]
    so = {"bake": bake(friday).key, "step": levain.key, "reading": readings[-1].entry}
    entry = str(uuid4())
    friday.records.record(entry, EntryKind.CONFIRMED, WEDNESDAY, so)
    readings = bake(friday).step_news(levain.key).readings
    assert [each.sure for each in readings] == [False, False, False, True]
    assert not readings[-1].questioned
    assert 6.0 not in questioned(friday)
    then = next(r for r in standing(feeds(friday)[-1]).rows if r.at >= row.at + timedelta(hours=1))
    assert then.rise > 1.05 * next(r.rise for r in set_aside.rows if r.at == then.at)

    friday.records.withdraw(str(uuid4()), entry)
    assert standing(feeds(friday)[-1]) == set_aside
    assert questioned(friday) == [6.0]


def questioned(desk: StoredDesk) -> list[float | None]:
    return [each.reading.value for each in desk.present().learning.questioned("Plover")]


@pytest.mark.long
def test_a_feed_done_late_is_ripe_late(friday: StoredDesk) -> None:
    first = feeds(friday)[0]
    planned = standing(first)
    assert planned.ripe_from is not None
    late = timedelta(minutes=50)
    friday.mark_done(report(friday, first.key, first.end + late))
    now = standing(feeds(friday)[0])
    assert now.ripe_from is not None
    shift = now.ripe_from.p50 - planned.ripe_from.p50
    assert timedelta(minutes=15) < shift < timedelta(minutes=120)
    assert now.rows[0].at == planned.rows[0].at + late


@pytest.mark.long
def test_a_vessel_in_a_place_is_learned(friday: StoredDesk) -> None:
    """Loaves in the fridge that are warmer than forecast: their baskets cool more slowly there."""
    (cold,) = (each for each in bake(friday).plan.steps if each.kind is StepKind.RETARD)
    name = f"{standing(cold).vessel} in {cold.place}"
    assert name == "Basket in Fridge"
    rows = standing(cold).rows
    (before,) = learn_from(friday)
    assert name not in before.warming
    for row in (rows[4], rows[8], rows[12]):
        warmer = row.temperature_c + 0.25 * (rows[0].temperature_c - row.temperature_c)
        friday.record_reading(
            report(friday, cold.key, row.at), ReadingKind.TEMPERATURE, round(warmer, 1)
        )
    (believed,) = learn_from(friday)
    assert float(np.median(believed.warming[name])) > 1.15
    assert believed.narrowed[f"warming of {name}"] < 0.9
    now = next(each for each in bake(friday).plan.steps if each.kind is StepKind.RETARD)
    assert standing(now).rows[8].temperature_c > rows[8].temperature_c + 1.0


def learn_from(desk: StoredDesk) -> list[Posterior]:
    return [learn(None, histories(each), seed=1) for each in desk.bakes()[:1]]
