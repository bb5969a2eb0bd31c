"""The ways on from what was done of a bake: its levain as it stands, its dough, its pieces."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime, timedelta
from math import inf, isnan

import numpy as np

from pointage.kitchen.capacity import HANDS
from pointage.mixture.course import Course
from pointage.mixture.hold import hold
from pointage.timetable.calendar import GRID, Calendar, calendar_of, ceil_to_grid
from pointage.timetable.plan import Feed, StepKind, Thread
from pointage.timetable.problem import Problem
from pointage.timetable.rescue.kept_to import as_planned
from pointage.timetable.ways.amounts import amounts
from pointage.timetable.ways.bands import PlannedFeed, run_thread
from pointage.timetable.ways.chilled import LONGEST_CHILL_H, sourness
from pointage.timetable.ways.levains import (
    WAKING_SHARES,
    Build,
    Feeding,
    RipeInHand,
    fed,
    pinned_at,
)
from pointage.timetable.ways.onward import StandingLevain, taken_from
from pointage.timetable.week.cultures import LATER, WishWays, leaned
from pointage.timetable.week.fit import WeekWay, ways_of_wish, worth_trying
from pointage.timetable.week.question import UnderWay, WantedStage, WeekWish


def ways_on(wish: WeekWish, was: UnderWay, *, otherwise: bool = True) -> WishWays:
    """The ways on from what was done.

    otherwise: whether a levain that stands may go into the fridge, or out of it, where that was not
    planned.
    """
    problem = wish.problem.baked_in(was.thread.oven)
    wish = replace(wish, problem=problem)
    thread = was.thread
    masses = amounts(problem, thread.feeds).masses
    run = run_thread(problem, thread, problem.likeliest, masses)
    last = wish.last + LATER
    calendar = _from_now(problem, thread.feeds[0].at, last)
    hand = fed_so_far(problem, thread, [each.course for each in run.feeds], was.feeds)
    if was.mixed:
        levains = {thread.mix: replace(hand, at=thread.mix, mixture=run.feeds[-1].left)}
    else:
        fed_last = run.feeds[was.feeds - 1]
        last_build = was.feeds > len(thread.feeds) - len(problem.builds)
        next_at = thread.feeds[was.feeds].at if was.feeds < len(thread.feeds) else thread.mix
        stands = StandingLevain(
            problem, fed_last, hand, calendar, next_at, wish.last + LATER, last=last_build
        )
        levains = _onward(wish, thread, was, taken_from(stands, otherwise=otherwise), calendar)
    ways_on = ways_of_wish(wish, levains, calendar, hot=False, done_soaks=thread.soaks)
    every = list(leaned(wish, ways_on))
    if was.divided:
        near = [way for way in every if abs(way.way.divide - thread.divide) <= GRID / 2]
        every = [
            replace(way, way=replace(way.way, divide=thread.divide, shaped=thread.shaped))
            for way in near
            if way.way.shaped <= way.loads[0]
        ]
    every = [way for way in every if _still_ahead(way, was, problem.now)]
    ways, left_out = worth_trying(every)
    planned = [way for way in every if as_planned(way.thread(), was)]
    if not any(as_planned(way.thread(), was) for way in ways):
        ways += planned[:1]
    return WishWays(wish, calendar, levains, tuple(ways), left_out, f"{id(wish)}")


def _still_ahead(way: WeekWay, was: UnderWay, now: datetime) -> bool:
    """Whether nothing that is left to do would have been before now."""
    thread = way.thread()
    left = [each.at for each in thread.feeds[was.feeds :]]
    left += [] if was.mixed else [thread.mix]
    left += [] if was.divided else [thread.divide]
    if way.stage is WantedStage.BAKED:
        left += [thread.preheat, *thread.loads]
    return all(at >= now for at in left)


def _from_now(problem: Problem, first: datetime, last: datetime) -> Calendar:
    """A calendar from the first feed on, in which what is past hinders nothing."""
    now = problem.now
    ahead = calendar_of(problem.kitchen, now, last, problem.occupied_spans(HANDS))
    blocked = tuple((max(start, now), end) for start, end in ahead.blocked if end > now)
    return Calendar(ceil_to_grid(first), ahead.last, blocked)


def fed_so_far(
    problem: Problem, thread: Thread, courses: Sequence[Course], feeds: int
) -> RipeInHand:
    """What the last feed that was done has made, as a node to go on from."""
    recipes = problem.recipes(len(thread.feeds))
    node = RipeInHand(thread.feeds[0].at, courses[0].after(0.0), 0.0, None, inf)
    for feed, recipe, course in list(zip(thread.feeds, recipes, courses, strict=True))[:feeds]:
        ripe_from, ripe_until = (float(each[0]) for each in course.ripe())
        feeding = Feeding(
            feed.at,
            feed.seed_share,
            recipe,
            _instant(feed, ripe_from),
            _instant(feed, ripe_until),
            node,
            feed.chilled,
            feed.warmed,
        )
        node = RipeInHand(feed.at, course.after(0.0), 0.0, feeding, inf)
    return node


def _instant(feed: Feed, hours: float) -> datetime:
    """That many hours after a feed; a day after it where it never is."""
    return feed.at + timedelta(hours=24.0 if isnan(hours) else hours)


def in_the_cold(problem: Problem, fed: PlannedFeed) -> tuple[datetime, datetime, Course] | None:
    """From and until when a levain that goes into the fridge is ripe there, and its course."""
    if fed.cold is None or fed.chilled is None or problem.fridge is None:
        return None
    there = problem.stands.fed(fed.mixed.mixture, problem.fridge, last=True)
    cold = hold(
        fed.cold.after(0.0), problem.fridge.surroundings, fed.chilled, LONGEST_CHILL_H,
        there.traits(problem.likeliest), follow_h=there.follow.hours,
    )  # fmt: skip
    edges = (fed.course.after(float(each[0])).states for each in fed.course.ripe())
    ripe_at, past = (float(sourness(each)[0]) for each in edges)
    sour = sourness(cold.states)[0]
    inside = np.flatnonzero((sour >= ripe_at) & (sour <= past))
    if not len(inside):
        return None
    first, last = (cold.at(float(cold.hours[row])) for row in (inside[0], inside[-1]))
    return first, last, cold


def _onward(
    wish: WeekWish,
    thread: Thread,
    was: UnderWay,
    nodes: dict[datetime, RipeInHand],
    calendar: Calendar,
) -> dict[datetime, RipeInHand]:
    """Levains in hand from what stands now, in hand as `nodes`, fed as often as planned."""
    problem = wish.problem
    waking = len(thread.feeds) - len(problem.builds)
    search = replace(problem.levain_search(calendar), pin=wish.pin)
    left = [Build(search.waking, WAKING_SHARES)] * max(0, waking - was.feeds)
    left += list(search.builds[max(0, was.feeds - waking) :])
    for number, build in enumerate(left, start=was.feeds + 1):
        kind = StepKind.FEED if number <= waking else StepKind.BUILD
        wanted = pinned_at(search, kind, number - (0 if number <= waking else waking))
        nodes = fed(search, list(nodes.values()), build, None, wanted)
    return nodes
