"""Weeks of Skerry Hall: what is promised is kept, across both changes of the clocks too."""

from __future__ import annotations

import os
import signal
import sys
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from functools import partial
from typing import Any

import numpy as np
import pytest
from tests.timetable.hall import NOW, SATURDAY, formula, kitchen
from tests.timetable.week.weeks import keeps_its_promises, steps, week

from pointage.desk.bakes.plan import culture_for
from pointage.timetable.choice import beside
from pointage.timetable.choice.abreast import Chain, Needs, ToMake, abreast
from pointage.timetable.choice.memo import Digests, Memo
from pointage.timetable.plan import StepKind
from pointage.timetable.problem import Problem
from pointage.timetable.week import cultures
from pointage.timetable.week.answer import ReliefKind, WeekStatus
from pointage.timetable.week.question import WantedStage, WeekQuestion, WeekWish
from pointage.timetable.week.week import choose_week

FRIDAY = SATURDAY - timedelta(hours=18)
HOUR = timedelta(hours=1)
FOUR = (
    ("tinned-rye", FRIDAY, 6),
    ("harbour-loaf", SATURDAY, 8),
    ("seeded-rolls", SATURDAY + HOUR, 24),
    ("sunday-spelt", SATURDAY + 26 * HOUR, 6),
)


@pytest.mark.long
def test_four_wishes_are_kept_together() -> None:
    answer = week(NOW, *FOUR)
    assert answer.status in (WeekStatus.OPTIMAL, WeekStatus.FEASIBLE)
    assert all(wish.kept for wish in answer.wishes)
    assert answer.penalty >= answer.bound - 1e-6
    keeps_its_promises(answer)


@pytest.mark.long
def test_odds_are_shares_and_signs_help() -> None:
    for wish in week(NOW, *FOUR).wishes:
        assert wish.odds is not None
        assert 0 <= wish.odds.by_clock <= wish.odds.by_signs <= 1


@pytest.mark.long
def test_every_seed_can_be_weighed() -> None:
    for _, step in steps(week(NOW, *FOUR)):
        if step.kind in (StepKind.FEED, StepKind.BUILD) and step.ladder:
            seed = step.ladder.pours[0].grams
            assert seed >= 10 * step.ladder.step_g - 1e-9, step.key


@pytest.mark.parametrize(
    "ready", [datetime(2027, 3, 28, 9, tzinfo=UTC), datetime(2026, 10, 25, 10, tzinfo=UTC)]
)
@pytest.mark.soon(1)
def test_a_night_with_a_clock_change_is_a_night(ready: datetime) -> None:
    now = ready - timedelta(days=3)
    answer = week(now, ("harbour-loaf", ready, 4), ("tinned-rye", ready + 3 * HOUR, 4))
    assert all(wish.kept for wish in answer.wishes)
    keeps_its_promises(answer)


searches: list[str] = []
search = cultures._levains


def searched(problem: Problem, *rest: Any) -> cultures.Levains:
    searches.append(problem.culture.name)
    return search(problem, *rest)


def test_what_was_found_serves_again_and_changes_nothing(monkeypatch: pytest.MonkeyPatch) -> None:
    def ripe(*slugs: str) -> WeekQuestion:
        hall = kitchen(NOW)
        breads = [formula(slug) for slug in slugs]
        wishes = (
            Problem(each, hall, culture_for(each, hall), NOW, FRIDAY, 4, each.piece_g)
            for each in breads
        )
        stage = WantedStage.RIPE
        return WeekQuestion(hall, NOW, tuple(WeekWish(each, stage=stage) for each in wishes))

    searches.clear()
    monkeypatch.setattr(cultures, "_levains", searched)
    monkeypatch.setenv("POINTAGE_CORES", "1")  # all of it in this process
    memo = Memo()
    choose_week(ripe("harbour-loaf"), memo=memo)
    found = choose_week(ripe("harbour-loaf", "tinned-rye"), memo=memo)
    assert searches == ["Plover", "Gannet"]
    anew = choose_week(ripe("harbour-loaf", "tinned-rye"))
    assert len(searches) == 4
    assert found.packing == anew.packing
    assert found.packed == anew.packed
    monkeypatch.setenv("POINTAGE_CORES", "2")
    monkeypatch.setattr(beside, "active_count", lambda: 1)
    in_two = choose_week(ripe("harbour-loaf", "tinned-rye"))
    assert len(searches) == (5 if sys.platform == "linux" else 6)
    assert in_two.packing == anew.packing
    assert in_two.packed == anew.packed


def test_what_cannot_be_done_beside_is_done_here(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("POINTAGE_CORES", "2")
    monkeypatch.setattr(beside, "active_count", lambda: 1)
    here = os.getpid()
    with beside.beside(os.getpid) as answer:
        assert (answer() != here) is (sys.platform == "linux")
    with beside.beside(lambda: lambda: 3) as unwritten:
        assert unwritten()() == 3
    with beside.beside(lambda: 1 // 0) as fails, pytest.raises(ZeroDivisionError):
        fails()
    begun: list[int] = []
    fork = os.fork

    def seen() -> int:
        child = fork()
        begun.append(child)
        return child

    monkeypatch.setattr(os, "fork", seen)
    with beside.beside(signal.pause):
        pass  # nobody waits for it
    for child in begun:
        with pytest.raises(ChildProcessError):  # it is gone
            os.waitpid(child, 0)


def by_whom(here: int, *, dies: bool = False) -> str:
    if dies and os.getpid() != here:
        os._exit(1)
    return "here" if os.getpid() == here else "beside"


def chain(*tasks: Any) -> Chain[object]:
    """One after the other is needed."""
    for task in tasks:
        yield Needs([ToMake(task, task)], len(tasks))
        yield task


@pytest.mark.parametrize("cores", ["1", "2"])
def test_chains_are_parted_as_they_go(monkeypatch: pytest.MonkeyPatch, cores: str) -> None:
    monkeypatch.setenv("POINTAGE_CORES", cores)
    monkeypatch.setattr(beside, "active_count", lambda: 1)
    whom = [partial(by_whom, os.getpid()) for _ in range(8)]
    last = partial(by_whom, os.getpid(), dies=True)
    memo, unwritten = Memo(), lambda: lambda: 3
    found = list(abreast([chain(*whom[:4], unwritten), chain(*whom[4:], last)], memo))
    assert set(found) == {*whom, unwritten, last}
    assert [each for each in found if each in whom[:4]] == whom[:4]
    assert memo.get(unwritten, unwritten)() == 3
    assert memo.get(last, str) == "here"
    beyond = {"here", "beside"} if cores == "2" and sys.platform == "linux" else {"here"}
    assert {memo.get(each, str) for each in whom} == beyond
    dies = partial(by_whom, os.getpid(), dies=True)  # what the copy is given
    memo = Memo()
    assert set(abreast([chain(dies), chain(*whom[:3])], memo)) == {dies, *whom[:3]}
    assert {memo.get(each, str) for each in (dies, *whom[:3])} == {"here"}
    fails = partial(divmod, 1, 0)
    with pytest.raises(ZeroDivisionError):
        list(abreast([chain(fails), chain(partial(divmod, 2, 0))], Memo()))


def test_a_digest_is_of_what_is_in_it() -> None:
    hall, digests = kitchen(NOW), Digests()
    assert digests.of(hall, NOW) == Digests().of(kitchen(NOW), NOW)
    assert digests.of(hall, NOW) != digests.of(replace(hall, tap_c=hall.tap_c + 1), NOW)
    assert digests.of(np.array([1.0, 2.0])) == digests.of(np.array([1.0, 2.0]))
    assert digests.of(np.array([1.0, 2.0])) != digests.of(np.array([1.0, 2.5]))
    assert digests.of(("a", "b"), "c") != digests.of("a", ("b", "c"))
    assert digests.of(1) != digests.of(1.0) != digests.of(True)
    assert digests.of(object()) != digests.of(object())
    with pytest.raises(TypeError, match="object"):
        Digests(strict=True).of(hall, [object()])


@pytest.mark.long
def test_what_clashes_is_named_with_its_ways_out() -> None:
    """One bowl holds so large a dough, and both would be in it the evening before."""
    wishes = (("harbour-loaf", SATURDAY, 8), ("harbour-loaf", SATURDAY, 8))
    answer = week(NOW, *wishes, ("tinned-rye", FRIDAY, 6))
    assert answer.status is WeekStatus.IMPOSSIBLE
    assert [wish.kept for wish in answer.wishes].count(False) == 1
    (clash,) = answer.clashes
    assert clash.wishes == (0, 1)
    later = [each for each in clash.ways_out if each.kind is ReliefKind.LATER]
    assert later
    assert all(each.ready and each.ready > SATURDAY for each in later)
    assert {each.wish for each in clash.ways_out if each.kind is ReliefKind.WITHOUT} == {0, 1}
    keeps_its_promises(answer)


@pytest.mark.long
def test_bread_that_cannot_be_is_no_reason_to_plan_nothing() -> None:
    answer = week(NOW, ("harbour-loaf", NOW + 2 * HOUR, 8), ("tinned-rye", FRIDAY, 6))
    assert [wish.kept for wish in answer.wishes] == [False, True]
    (clash,) = answer.clashes
    assert clash.wishes == (0,)
    assert clash.conflicts
