"""Weeks in Skerry Hall for the tests, and what every week promises, checked from the outside."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from datetime import datetime, time, timedelta
from functools import cache
from itertools import pairwise

from tests.timetable.hall import DUBLIN, formula, kitchen

from pointage.desk.bakes.plan import culture_for
from pointage.timetable.plan import Step, StepKind
from pointage.timetable.problem import Problem
from pointage.timetable.week.answer import WeekAnswer
from pointage.timetable.week.question import WantedWhen, WeekQuestion, WeekWish
from pointage.timetable.week.week import plan_week

MINUTE = timedelta(minutes=1)
UP, DOWN = time(6), time(22, 30)
FRIDGE_L, BASKETS, TINS = 90.0, 12, 6
BASKET_L = 1.9  # of the kitchen's file


@cache
def week(
    now: datetime, *wished: tuple[str, datetime, int], changes: tuple[tuple[str, str], ...] = ()
) -> WeekAnswer:
    """The week of wishes (formula, when, pieces); each is planned once for all tests."""
    hall = kitchen(now, *changes)
    wishes = []
    for slug, ready, pieces in wished:
        bread = formula(slug)
        what = (bread, hall, culture_for(bread, hall), now, ready, pieces, bread.piece_g)
        wishes.append(WeekWish(Problem(*what), WantedWhen.READY))
    return plan_week(WeekQuestion(hall, now, tuple(wishes)))


def steps(answer: WeekAnswer) -> Iterator[tuple[int, Step]]:
    for number, wish in enumerate(answer.wishes):
        for step in wish.plan.steps if wish.plan else ():
            yield number, step


def keeps_its_promises(answer: WeekAnswer) -> None:
    """Every promise at once, of what was planned."""
    one_pair_of_hands(answer)
    sleeps(answer)
    one_load_in_the_oven(answer)
    has_room(answer)
    is_on_time(answer)


def one_pair_of_hands(answer: WeekAnswer) -> None:
    shared = {(p.plan, p.key) for build in answer.joint for p in build.parts[1:]}
    spans = sorted(
        (s.start, s.end, s.key) for n, s in steps(answer) if s.hands and (n, s.key) not in shared
    )
    for first, second in pairwise(spans):
        assert first[1] <= second[0], f"{first} runs into {second}"


def sleeps(answer: WeekAnswer) -> None:
    for _, step in steps(answer):
        at = step.start
        while step.hands and at < step.end:
            assert UP <= at.astimezone(DUBLIN).time() < DOWN, f"{step.key} wakes the baker"
            at += MINUTE


def one_load_in_the_oven(answer: WeekAnswer) -> None:
    """Loads do not overlap, and whatever is not lit for goes in soon after another comes out."""
    loads = sorted((s.start, s.end, n) for n, s in steps(answer) if s.kind is StepKind.BAKE)
    for first, second in pairwise(loads):
        assert first[1] <= second[0]
    for number, wish in enumerate(answer.wishes):
        if wish.plan and not any(s.kind is StepKind.PREHEAT for s in wish.plan.steps):
            start = min(load[0] for load in loads if load[2] == number)
            waited = min(start - end for _, end, other in loads if other != number and end <= start)
            assert waited <= timedelta(minutes=85)  # it keeps its heat, or it is left on
    for number, step in steps(answer):
        if step.kind is StepKind.PREHEAT:
            own = min(load[0] for load in loads if load[2] == number)
            others = (load for load in loads if load[2] != number)
            assert all(end <= step.start or start >= own for start, end, _ in others)


def has_room(answer: WeekAnswer) -> None:
    """Fridge, baskets and tins, looked at whenever pieces are put somewhere."""
    waiting = defaultdict(list)
    for wish in answer.wishes:
        if wish.plan is None:
            continue
        until = max(s.start for s in wish.plan.steps if s.kind is StepKind.BAKE)
        for step in wish.plan.steps:
            if step.kind in (StepKind.PROOF, StepKind.RETARD):
                shape = wish.wish.problem.process.shape
                held = {"tin": "tin", "boule": "basket"}.get(shape)
                if held:
                    waiting[held].append((step.start, until, float(step.pieces)))
                if step.kind is StepKind.RETARD and held == "basket":
                    waiting["fridge"].append((step.start, until, BASKET_L * step.pieces))
    for name, most in (("basket", BASKETS), ("tin", TINS), ("fridge", FRIDGE_L)):
        for at, _, _ in waiting[name]:
            used = sum(amount for start, end, amount in waiting[name] if start <= at < end)
            assert used <= most, f"{name} at {at}"


def is_on_time(answer: WeekAnswer) -> None:
    for wish in answer.wishes:
        if wish.plan is not None and wish.ready is not None:
            out = max(s.end for s in wish.plan.steps if s.kind is StepKind.BAKE)
            assert abs(out - wish.ready) <= MINUTE
            assert wish.wish.last - timedelta(hours=3, minutes=15) <= out
            assert wish.kept == (out <= wish.wish.last + timedelta(minutes=20))
            for step in wish.plan.steps:
                assert step.start >= wish.wish.problem.now
