"""What cultures need in a week: one need after the other, and a time for each beside the bakes."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.examples import some
from tests.timetable.hall import NOW, formula, kitchen

from pointage.culture.life import Built, Fed
from pointage.desk.bakes.plan import culture_for
from pointage.kitchen.capacity import HANDS
from pointage.kitchen.culture_state import at_hand_of, life_of
from pointage.kitchen.kitchen import Kitchen
from pointage.kitchen.needs import CultureNeed, NeedKind
from pointage.kitchen.outlook import outlook_of
from pointage.mixture.traits import draw_traits
from pointage.timetable.calendar import Calendar
from pointage.timetable.choice.alternatives import CapacityUse
from pointage.timetable.problem import Problem
from pointage.timetable.upkeep.ahead import ahead
from pointage.timetable.upkeep.placing import place, task_options
from pointage.timetable.upkeep.task import CultureTask, Done, KeptCulture
from pointage.timetable.week.answer import WeekAnswer
from pointage.timetable.week.question import WantedStage, WantedWhen, WeekQuestion, WeekWish
from pointage.timetable.week.week import plan_week

HOUR, MINUTE, DAY = timedelta(hours=1), timedelta(minutes=1), timedelta(days=1)
IN_THE_WARM = (
    ('place = "Fridge"\n\n[[culture]]', 'place = "Boiler cupboard"\n\n[[culture]]'),
    ("fed_days_ago = 4", "fed_days_ago = 1"),
)
MEMBERS = 30


def kept(name: str, hall: Kitchen) -> KeptCulture:
    culture = at_hand_of(life_of(hall.culture(name)))
    traits = draw_traits(MEMBERS, 1)
    return KeptCulture(culture, outlook_of(culture, hall, traits, NOW + 14 * DAY), traits)


def fed(at: datetime) -> Fed:
    return Fed(at, 20.0, {"rye-whole": 60.0}, 60.0, place="Boiler cupboard", for_bake=True)


def test_what_a_bake_does_in_time_needs_no_feed_of_its_own() -> None:
    hall = kitchen(NOW, *IN_THE_WARM)
    first, second, *_ = ahead(kept("Gannet", hall), hall, NOW, NOW + 3 * DAY).tasks
    in_time = second.need.best_by - MINUTE

    def with_bake(at: datetime) -> list[datetime]:
        comes: list[Done] = [fed(at), Built(at + 6 * HOUR, 40.0)]
        tasks = ahead(kept("Gannet", hall), hall, NOW, NOW + 3 * DAY, comes=comes).tasks
        return [each.at for each in tasks if each.at < at]

    assert with_bake(in_time) == [first.at]
    assert with_bake(in_time + 2 * MINUTE) == [first.at, second.at]


def test_what_was_built_from_goes_back_into_the_fridge_while_somebody_is_up() -> None:
    hall = kitchen()
    bedtime = datetime(2026, 11, 25, 22, tzinfo=UTC)
    tasks = ahead(
        kept("Gannet", hall), hall, NOW, NOW + DAY, comes=[Built(bedtime, 40.0)]
    ).tasks  # fmt: skip
    (chill,) = tasks
    assert (chill.kind, chill.need.place) == (NeedKind.CHILL, "Fridge")
    assert chill.earliest <= chill.at <= chill.latest
    assert not 22 <= chill.at.hour + chill.at.minute / 60 - 0.51 < 24, "asleep from half past ten"


def task(
    culture: str, start: float, best: float, end: float, *, follows: bool = False
) -> CultureTask:
    kind = NeedKind.CHILL if follows else NeedKind.FEED
    first, at, last = (NOW + hours * HOUR for hours in (start, best, end))
    need = CultureNeed(culture, kind, at, last, "Hall")
    return CultureTask(need, first, at, last, follows)


quarters = st.integers(0, 120).map(lambda n: n / 4)


@st.composite
def upkeep(draw: st.DrawFn) -> list[CultureTask]:
    found = []
    for number in range(draw(st.integers(1, 4))):
        start, best, end = sorted(draw(st.tuples(quarters, quarters, quarters)))
        found.append(task(f"culture {number}", start, best, end))
        if draw(st.booleans()):
            found.append(task(f"culture {number}", best + 0.25, best + 3, best + 6, follows=True))
    return found


@given(upkeep(), st.lists(st.tuples(st.integers(0, 1900), st.integers(10, 300)), max_size=6))
@settings(max_examples=some(60), deadline=None)
def test_each_is_in_its_window_with_hands_free_or_is_named(
    tasks: list[CultureTask], busy: list[tuple[int, int]]
) -> None:
    nights = tuple((NOW + (13 + 24 * n) * HOUR, NOW + (21 + 24 * n) * HOUR) for n in range(12))
    calendar = Calendar(NOW, NOW + 10 * DAY, nights)
    hands = [CapacityUse(HANDS, start, start + long) for start, long in busy]
    found = place(task_options(tasks, NOW, calendar), NOW, calendar, hands)
    assert len(found.tasks) == len(tasks)
    spans = [(NOW + start * MINUTE, NOW + (start + long) * MINUTE) for start, long in busy]
    taken = [*nights, *spans]
    for each in found.tasks:
        if each.start is None:
            assert each.nearest is None or calendar.free(each.nearest, each.task.minutes)
            continue
        assert each.end is not None
        assert each.task.earliest <= each.start <= each.task.latest
        assert not any(each.start < end and each.end > start for start, end in taken)
        taken.append((each.start, each.end))


def test_what_finds_nobody_is_named_with_the_nearest_time() -> None:
    calendar = Calendar(NOW, NOW + 10 * DAY, ((NOW + HOUR, NOW + 9 * HOUR),))
    options = task_options([task("Gannet", 2, 4, 6)], NOW, calendar)
    (found,) = place(options, NOW, calendar, [CapacityUse(HANDS, 30, 60)]).tasks
    assert found.start is None
    assert found.nearest == NOW + timedelta(minutes=15)


def ripe_levain(*tasks: CultureTask, keep: bool = False) -> WeekAnswer:
    hall, bread = kitchen(), formula("tinned-rye")
    problem = Problem(bread, hall, culture_for(bread, hall), NOW, NOW + 26 * HOUR, 2, bread.piece_g)
    wish = WeekWish(problem, WantedWhen.READY, stage=WantedStage.RIPE)
    cultures = tuple(kept(each.name, hall) for each in hall.cultures) if keep else ()
    return plan_week(WeekQuestion(hall, NOW, (wish,), cultures, tasks))


def test_bakes_and_tasks_share_the_hands_and_change_nothing_where_there_is_room() -> None:
    alone = ripe_levain()
    plan = alone.wishes[0].plan
    assert plan is not None
    beside = ripe_levain(task("Skua", 1, 4, 6), keep=True)
    assert beside.wishes[0].plan is not None
    assert [(s.key, s.start) for s in beside.wishes[0].plan.steps] == [
        (s.key, s.start) for s in plan.steps
    ]
    assert beside.penalty == alone.penalty
    build = next(step for step in plan.steps if step.key.startswith("build"))
    at = (build.start - NOW) / HOUR
    contested = ripe_levain(task("Skua", at, at, at))
    moved = contested.wishes[0].plan
    assert moved is not None
    (skua,) = contested.upkeep
    assert skua.start == build.start, "the bake makes way, which is cheaper"
    assert skua.end is not None
    assert not any(s.hands and s.start < skua.end and s.end > skua.start for s in moved.steps)
    assert contested.penalty > alone.penalty


@pytest.mark.long
def test_a_bake_that_finds_its_culture_too_tired_has_it_fed_before() -> None:
    hall, bread = kitchen(), formula("tinned-rye")
    wishes = tuple(
        WeekWish(
            Problem(bread, hall, culture_for(bread, hall), NOW, ready, 2, bread.piece_g),
            stage=WantedStage.RIPE,
        )
        for ready in (NOW + 21 * HOUR, NOW + 7 * DAY + 6 * HOUR)
    )
    answer = plan_week(WeekQuestion(hall, NOW, wishes, (kept("Gannet", hall),)))
    assert [wish.kept for wish in answer.wishes] == [True, True]
    last = answer.wishes[1].plan
    assert last is not None
    feeds = [each.start for each in answer.upkeep if each.task.kind is NeedKind.FEED]
    assert any(at is not None and timedelta() < last.steps[0].start - at < 2 * DAY for at in feeds)
