"""What is leaned to moves the answer in its direction, where there is a choice."""

from __future__ import annotations

from datetime import datetime, timedelta
from functools import cache

import pytest
from tests.timetable.hall import DUBLIN, NOW, SATURDAY, formula, kitchen
from tests.timetable.week.weeks import DOWN, UP

from pointage.desk.bakes.plan import culture_for
from pointage.timetable.plan import Plan, StepKind
from pointage.timetable.problem import Problem
from pointage.timetable.timetable import plan
from pointage.timetable.ways.lean import AS_USUAL, STRONGLY, Lean
from pointage.timetable.week.question import WeekQuestion, WeekWish
from pointage.timetable.week.week import answers_of, choose_week

NOON = SATURDAY + timedelta(hours=3)
HOUR = timedelta(hours=1)


@cache
def planned(lean: Lean) -> tuple[datetime, Plan]:
    """When the bread is out that is wanted by noon, and its plan."""
    bread, hall = formula("harbour-loaf"), kitchen(NOW)
    problem = Problem(bread, hall, culture_for(bread, hall), NOW, NOON, 4, bread.piece_g)
    question = WeekQuestion(hall, NOW, (WeekWish(problem, lean=lean),))
    heard: list[tuple[datetime | None, ...]] = []
    (answer,) = answers_of(choose_week(question, so_far=heard.append))
    assert answer.ready is not None
    assert heard[-1] == (answer.ready,)
    assert answer.plan is not None
    return answer.ready, answer.plan


def feeds(plan: Plan) -> int:
    return sum(step.kind is StepKind.FEED for step in plan.steps)


def next_to_sleep(plan: Plan) -> int:
    """Jobs that begin in the first hour of the day, or end in its last."""

    def hour_of(at: datetime) -> float:
        local = at.astimezone(DUBLIN)
        return local.hour + local.minute / 60

    up, down = UP.hour, DOWN.hour + DOWN.minute / 60
    jobs = [(hour_of(step.start), hour_of(step.end)) for step in plan.steps if step.hands]
    return sum(start < up + 1 or end > down - 1 for start, end in jobs)


def thrown_g(plan: Plan) -> float:
    """Grams of culture that are left of the jar when it is woken, and when it is fed again."""
    first = next(step for step in plan.steps if step.kind in (StepKind.FEED, StepKind.BUILD))
    assert first.ladder is not None
    jar = culture_for(formula("harbour-loaf"), kitchen(NOW)).mass_g - first.ladder.pours[0].grams
    kept = [step.keeping.discard_g for step in plan.steps if step.keeping is not None]
    return sum(kept) + (jar if feeds(plan) else 0.0)


@pytest.mark.long
def test_early_rather_than_late() -> None:
    usual, early = (planned(lean)[0] for lean in (AS_USUAL, Lean(early=STRONGLY)))
    assert usual == NOON
    assert NOON - 3 * HOUR <= early <= usual - HOUR


@pytest.mark.long
def test_less_work_next_to_sleep() -> None:
    usual, rested = (planned(lean)[1] for lean in (AS_USUAL, Lean(night=STRONGLY)))
    assert next_to_sleep(rested) < next_to_sleep(usual)


@pytest.mark.long
def test_less_culture_thrown_away() -> None:
    usual, sparing = (planned(lean)[1] for lean in (AS_USUAL, Lean(waste=STRONGLY)))
    assert thrown_g(sparing) < 0.75 * thrown_g(usual)


def test_fewer_chores() -> None:
    usual, easy = (planned(lean)[1] for lean in (AS_USUAL, Lean(chores=STRONGLY)))
    assert feeds(easy) < feeds(usual)


def test_one_bake_by_itself_leans_as_well() -> None:
    bread, hall = formula("harbour-loaf"), kitchen(NOW)
    problem = Problem(bread, hall, culture_for(bread, hall), NOW, NOON, 4, bread.piece_g)
    usual, easy = (plan(problem, lean=lean) for lean in (AS_USUAL, Lean(chores=STRONGLY)))
    assert feeds(easy) < feeds(usual)
    assert usual.penalty is not None
    assert easy.penalty is not None
    assert easy.penalty >= usual.penalty, "what is leaned to costs besides"
