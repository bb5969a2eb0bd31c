"""What is offered when reality moves: as little as will do, and nothing when nothing did."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime, timedelta
from functools import cache
from itertools import pairwise
from typing import Any

import numpy as np
import pytest
from tests.timetable.hall import NOW, SATURDAY, formula, kitchen

from pointage.desk.bakes.plan import culture_for
from pointage.kitchen.capacity import HANDS
from pointage.timetable.calendar import GRID, calendar_of, ceil_to_grid, floor_to_grid
from pointage.timetable.occupied import Occupied
from pointage.timetable.pin import Pin
from pointage.timetable.plan import StepKind, Thread
from pointage.timetable.problem import Problem
from pointage.timetable.rescue.ways_on import ways_on
from pointage.timetable.ways.onward import JUST_PAST, JUST_YOUNG
from pointage.timetable.ways.pinned import begins
from pointage.timetable.week import cultures
from pointage.timetable.week.odds import followed
from pointage.timetable.week.question import Jar, WantedWhen, WeekQuestion, WeekWish
from pointage.timetable.week.replan import Replanned, UnderWay, replan, tasks
from pointage.timetable.week.week import WeekChoice, choose_week

HOUR, MINUTE = timedelta(hours=1), timedelta(minutes=1)
WISHED = (("harbour-loaf", SATURDAY), ("tinned-rye", SATURDAY + 4 * HOUR))


def asked(now: datetime, occupied: tuple[Occupied, ...] = ()) -> WeekQuestion:
    hall = kitchen(NOW)
    wishes = []
    for slug, ready in WISHED:
        bread = formula(slug)
        what = (bread, hall, culture_for(bread, hall), now, ready, 4, bread.piece_g, occupied)
        wishes.append(WeekWish(Problem(*what)))
    return WeekQuestion(hall, now, tuple(wishes))


@cache
def planned() -> tuple[WeekChoice, list[Thread]]:
    choice = choose_week(asked(NOW))
    ways = [way for way in choice.ways if way is not None]
    assert len(ways) == len(WISHED)
    return choice, [way.thread() for way in ways]


@pytest.mark.long
def test_nothing_changed_changes_nothing() -> None:
    _, threads = planned()
    for later in (timedelta(), 2 * HOUR):
        found = replan(asked(NOW + later), [UnderWay(each) for each in threads])
        assert found.as_it_was
        assert list(found.threads) == threads


@pytest.fixture
def searched(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """The cultures whose levains are searched, as they are."""
    found: list[str] = []
    search = cultures._levains

    def seen(problem: Problem, *rest: Any) -> cultures.Levains:
        found.append(problem.culture.name)
        return search(problem, *rest)

    monkeypatch.setattr(cultures, "_levains", seen)
    return found


def test_a_plan_that_stands_is_not_searched(searched: list[str]) -> None:
    _, threads = planned()
    searched.clear()
    assert replan(asked(NOW + 2 * HOUR), [UnderWay(each) for each in threads]).as_it_was
    assert not searched


@pytest.mark.long
def test_only_what_no_longer_stands_is_searched(searched: list[str]) -> None:
    _, threads = planned()
    searched.clear()
    at = threads[1].feeds[-1].at
    assert all(abs(each.at - at) > HOUR for each in threads[0].feeds)
    busy = Occupied(HANDS, at - 5 * MINUTE, at + 20 * MINUTE)
    found = replan(asked(NOW, (busy,)), [UnderWay(each) for each in threads])
    assert searched == [found.choice.wishes[1].wish.problem.culture.name]
    assert {each.wish for each in found.moved} == {1}


def test_a_late_mix_moves_what_follows_and_keeps_the_bread() -> None:
    _, threads = planned()
    loaf = threads[0]
    late = loaf.mix + 45 * MINUTE
    now = late + 20 * MINUTE
    done = UnderWay(replace(loaf, mix=late), feeds=len(loaf.feeds), mixed=True)
    other = UnderWay(threads[1], sum(each.at < now for each in threads[1].feeds))
    found = replan(asked(now), [done, other])
    thread = found.threads[0]
    assert thread is not None
    assert thread.feeds == loaf.feeds
    assert thread.mix == late
    assert all(at >= now for what, at in tasks(thread).items() if what[:4] in ("divi", "bake"))
    assert SATURDAY - 3 * HOUR <= thread.loads[-1] + 50 * MINUTE <= SATURDAY
    assert all(each.what != "mix" for each in found.moved)


@pytest.mark.long
def test_hands_that_are_taken_move_what_fell_there_and_little_else() -> None:
    _, threads = planned()
    first = min(threads[0].feeds[0].at, threads[1].feeds[0].at)
    busy = Occupied(HANDS, first - HOUR, first + HOUR)
    found = replan(asked(NOW, (busy,)), [UnderWay(each) for each in threads])
    assert not found.as_it_was
    assert not found.given_up
    spans = sorted(
        span for way in found.choice.ways if way for span in (*way.hands(), *way.waking())
    )
    assert all(end <= busy.start or start >= busy.end for start, end in spans)
    assert all(one[1] <= other[0] for one, other in pairwise(spans))


def test_a_levain_that_stands_is_used_and_not_fed_again() -> None:
    _, threads = planned()
    loaf = threads[0]
    now = loaf.feeds[-1].at + 30 * MINUTE
    before = [UnderWay(each, feeds=sum(feed.at < now for feed in each.feeds)) for each in threads]
    found = replan(asked(now), before)
    thread = found.threads[0]
    assert thread is not None
    assert thread.feeds == loaf.feeds


def wanted_at(pin: Pin, by: timedelta) -> WeekQuestion:
    """The same two bakes, a step of the loaf at another time, by so much."""
    question = asked(NOW)
    loaf, rye = question.wishes
    first, last = (SATURDAY + edge(by, timedelta()) for edge in (min, max))
    problem = replace(loaf.problem, ready=last + 12 * HOUR)
    loaf = replace(loaf, problem=problem, when=WantedWhen.BETWEEN, since=first - 3 * HOUR, pin=pin)
    return replace(question, wishes=(loaf, rye))


def test_a_step_is_where_it_is_wanted_and_little_else_moves(searched: list[str]) -> None:
    _, threads = planned()
    loaf, before = threads[0], [UnderWay(each) for each in threads]
    searched.clear()
    for pin, what in (
        (Pin(StepKind.DIVIDE, loaf.divide + 30 * MINUTE), {"divide"}),
        (Pin(StepKind.RETARD, loaf.shaped + 30 * MINUTE), {"divide"}),
    ):
        found = replan(wanted_at(pin, 30 * MINUTE), before)
        assert {(each.wish, each.what) for each in found.moved} == {(0, each) for each in what}
        process = found.choice.wishes[0].wish.problem.process
        assert begins(pin, found.threads[0] or loaf, 1, process) == pin.at
    assert not searched, "the levain that was planned will do"


def test_a_build_is_a_quarter_of_an_hour_later_to_the_minute() -> None:
    _, threads = planned()
    loaf = threads[0]
    pin = Pin(StepKind.BUILD, loaf.feeds[-1].at - 15 * MINUTE)
    found = replan(wanted_at(pin, -15 * MINUTE), [UnderWay(each) for each in threads])
    assert found.threads[0] is not None
    assert found.threads[0].feeds[-1].at == pin.at
    assert not found.given_up


@pytest.mark.long
def test_what_cannot_be_then_is_as_near_as_it_can(searched: list[str]) -> None:
    """Nobody mixes before six: at five it stays at six."""
    _, threads = planned()
    loaf = threads[0]
    by = loaf.mix.replace(hour=3) - loaf.mix
    found = replan(wanted_at(Pin(StepKind.MIX, loaf.mix + by), by), [UnderWay(e) for e in threads])
    thread = found.threads[0]
    assert thread is not None
    assert thread.mix == loaf.mix.replace(hour=6, minute=0)
    assert thread.loads == loaf.loads


def test_a_levain_minutes_past_its_window_is_still_taken() -> None:
    choice, threads = planned()
    way, loaf = choice.ways[0], threads[0]
    assert way is not None
    assert way.way.levain.feeding is not None
    *fed, last = loaf.feeds
    loaf = replace(loaf, feeds=(*fed, replace(last, chilled=None)))
    for past, kept in ((15, True), (60, False)):
        now = ceil_to_grid(way.way.levain.feeding.ripe_until + past * MINUTE)
        (wish, _) = asked(now).wishes
        problem = replace(wish.problem, ready=now + 48 * HOUR)
        wish = replace(wish, problem=problem, when=WantedWhen.EARLIEST, since=now)
        found = replan(WeekQuestion(kitchen(NOW), now, (wish,)), [UnderWay(loaf, len(loaf.feeds))])
        assert (found.given_up == ()) is kept


def of_the_loaf(now: datetime) -> WeekQuestion:
    return replace(asked(now), wishes=asked(now).wishes[:1])


def built(back: timedelta, chilled: timedelta | None = None) -> UnderWay:
    """The loaf's levain, built by so much sooner than planned, in the fridge so long after that."""
    _, (loaf, _) = planned()
    *fed, last = loaf.feeds
    at = last.at - back
    put = None if chilled is None else at + chilled
    return UnderWay(replace(loaf, feeds=(*fed, replace(last, at=at, chilled=put))), len(loaf.feeds))


def assert_sound(found: Replanned, now: datetime) -> None:
    """Hands are at one thing at a time, awake, and at nothing that would have been before now."""
    (way,), (thread,) = found.choice.ways, found.threads
    assert way is not None
    assert thread is not None
    moved = [at for each in thread.feeds for at in (each.chilled, each.warmed) if at]
    ahead = [span for span in (*way.hands(), *way.waking()) if span[0] >= now]
    ahead += [(at, at + 5 * MINUTE) for at in moved if at >= now]
    ahead.sort()
    assert all(one[1] <= other[0] for one, other in pairwise(ahead))
    calendar = calendar_of(way.problem.kitchen, now, thread.loads[-1] + 24 * HOUR, ())
    oven = {thread.preheat, *thread.loads}
    assert all(calendar.free(a, (b - a) / MINUTE) for a, b in ahead if a not in oven)


def as_it_stands() -> Jar:
    bread, hall = formula("harbour-loaf"), kitchen(NOW)
    return Jar(culture_for(bread, hall))


@pytest.mark.parametrize("sooner", [3, 5])
def test_a_levain_that_is_ripe_too_soon_goes_into_the_fridge(sooner: int) -> None:
    before = built(sooner * HOUR)
    now = before.thread.feeds[-1].at + HOUR
    found = replan(of_the_loaf(now), [before])
    thread = found.threads[0]
    assert thread is not None
    *_, last = thread.feeds
    assert last.at == before.thread.feeds[-1].at, "what was done is frozen"
    assert last.chilled is not None
    assert now <= last.chilled < thread.mix
    assert thread.mix >= before.thread.mix - HOUR
    assert not found.anew
    assert_sound(found, now)


def test_a_levain_too_young_in_the_fridge_comes_out_again() -> None:
    before = built(timedelta(), HOUR)
    now = before.thread.feeds[-1].at + 3 * HOUR
    found = replan(of_the_loaf(now), [before])
    thread = found.threads[0]
    assert thread is not None
    *_, last = thread.feeds
    assert last.chilled == before.thread.feeds[-1].chilled, "what was done is frozen"
    assert last.warmed is not None
    assert now <= last.warmed < thread.mix
    assert {"warm"} <= {each.what.partition(" ")[0] for each in found.moved}
    assert_sound(found, now)


def test_a_levain_taken_at_the_edge_of_its_window_says_by_how_much() -> None:
    before = built(timedelta())
    (wish,) = of_the_loaf(before.thread.feeds[-1].at + HOUR).wishes
    taken = ways_on(wish, before, otherwise=False).levains.values()
    for each in taken:
        assert each.feeding is not None
        inside = min(max(each.at, each.feeding.ripe_from), each.feeding.ripe_until)
        assert each.edge == each.at - inside
    edges = [each.edge for each in taken]
    assert -JUST_YOUNG <= min(edges) < timedelta() < max(edges) <= JUST_PAST


def test_a_levain_of_which_nothing_comes_is_built_anew_from_the_jar() -> None:
    way = planned()[0].ways[0]
    assert way is not None
    assert way.way.levain.feeding is not None
    before = built(timedelta())
    now = ceil_to_grid(way.way.levain.feeding.ripe_until + 2 * HOUR)
    question = of_the_loaf(now)
    (wish,) = question.wishes
    problem = replace(wish.problem, ready=now + 48 * HOUR)
    wish = replace(wish, problem=problem, when=WantedWhen.EARLIEST, since=now)
    question = replace(question, wishes=(wish,))
    assert replan(question, [before]).given_up == (0,)
    found = replan(question, [replace(before, jar=as_it_stands())])
    assert found.anew == (0,)
    thread = found.threads[0]
    assert thread is not None
    assert all(each.at >= now for each in thread.feeds)
    assert_sound(found, now)


def test_a_levain_that_will_do_is_not_built_anew() -> None:
    before = replace(built(timedelta()), jar=as_it_stands())
    found = replan(of_the_loaf(before.thread.feeds[-1].at + HOUR), [before])
    assert not found.anew
    assert not found.given_up


def test_who_goes_on_by_the_signs_lives_from_now_on() -> None:
    """What was done stays as it was done, and nothing is done before now."""
    choice, (loaf, _) = planned()
    way = choice.ways[0]
    assert way is not None
    now = loaf.feeds[-1].at + 2 * HOUR
    problem = replace(way.problem, now=now)
    lived = followed(problem, way.stage, loaf, UnderWay(loaf, len(loaf.feeds))).lived
    base = floor_to_grid(loaf.feeds[0].at)
    since = (now - base) / GRID
    assert {int(each) for each in lived.begun[-1]} == {round((loaf.feeds[-1].at - base) / GRID)}
    assert all(int(each) == -1 or each >= since for each in lived.put[-1])
    assert (lived.taken >= since).all()
    mixed = UnderWay(loaf, len(loaf.feeds), mixed=True)
    now = loaf.mix + HOUR
    lived = followed(replace(problem, now=now), way.stage, loaf, mixed).lived
    assert {int(each) for each in lived.taken} == {round((loaf.mix - base) / GRID)}
    assert lived.dough is not None
    assert (lived.dough.divided >= (now - base) / GRID).all()


def test_what_was_done_is_found_again_as_it_was() -> None:
    """A levain that waited in the cold, and stood in the warm again, is as ripe when it is recorded
    and gone on from as it was when it was used."""
    choice, (loaf, _) = planned()
    way = choice.ways[0]
    assert way is not None
    baker = followed(way.problem, way.stage, loaf).baker
    base, last = floor_to_grid(loaf.feeds[0].at), len(loaf.feeds) - 1
    every = baker.lives(way.problem.traits.some(200))
    again = np.flatnonzero(every.out[last] >= 0)
    assert len(again)
    for member in map(int, again[:4]):
        culture = way.problem.traits.some(200).only(np.array([member]))
        lived = baker.lives(culture)
        feeds = []
        for n, feed in enumerate(loaf.feeds):
            at, put, out = (
                base + int(steps[n][0]) * GRID if steps[n][0] >= 0 else None
                for steps in (lived.begun, lived.put, lived.out)
            )
            assert at is not None
            feeds.append(replace(feed, at=feed.at if n == 0 else at, chilled=put, warmed=out))
        mixed_at = base + int(lived.taken[0]) * GRID
        done = replace(loaf, feeds=tuple(feeds), mix=mixed_at)
        so_far = UnderWay(done, len(feeds), mixed=True)
        problem = replace(way.problem, now=mixed_at + GRID)
        found = followed(problem, way.stage, done, so_far).baker.lives(culture)
        assert [bool(each[0]) for each in found.ripe] == [bool(each[0]) for each in lived.ripe]
        assert found.ripe_h == pytest.approx(lived.ripe_h)
