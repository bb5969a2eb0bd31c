"""What can be made of a levain that stands: when it is taken, in the fridge or out of it till then.

One that will be ripe too soon goes into the fridge and waits there; one that was put there too
young, or is wanted sooner, comes out and stands in the warm until it is ripe. How far it has come
is read from its acids, as of `chilled`.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta

import numpy as np
from numpy.typing import NDArray

from pointage.kitchen.stand import VesselStand
from pointage.mixture.course import Course
from pointage.mixture.hold import hold
from pointage.mixture.many import CoursesOfMany, hold_from, stacked
from pointage.mixture.mixture import Mixture
from pointage.timetable.calendar import GRID, Calendar, ceil_to_grid
from pointage.timetable.problem import Problem
from pointage.timetable.ways.bands import PlannedFeed
from pointage.timetable.ways.chilled import EACH_CHILL, LONGEST_CHILL_H, sourness
from pointage.timetable.ways.levains import (
    FEED_GRID,
    FEED_MINUTES,
    OFF_CENTRE,
    Feeding,
    RipeInHand,
)

JUST_PAST = timedelta(minutes=30)
"""So long after its window a levain is still taken, at a price, before its bake is lost (ours)."""
JUST_YOUNG = timedelta(minutes=30)
"""So long before it one is taken that is a little young, at a price (ours)."""
ANOTHER_WAY = 0.5
"""Penalty hours for taking it into the fridge or out of it where that was not planned (ours)."""
WARM_AGAIN_H = 12.0
"""So long at the most does one stand in the warm again (ours)."""
_HOUR = timedelta(hours=1)

Floats = NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class StandingLevain:
    """A levain that stands, by the likeliest traits. last: whether it is of the formula's levain.

    hand: it as a node, with its window in the warm. planned: when it was to be taken, which counts
    though it be off the grid. keeps: until when it is of use to anyone.
    """

    problem: Problem
    fed: PlannedFeed
    hand: RipeInHand
    calendar: Calendar
    planned: datetime
    keeps: datetime
    last: bool = True

    @property
    def feeding(self) -> Feeding:
        assert self.hand.feeding is not None
        return self.hand.feeding

    @property
    def is_cold(self) -> bool:
        """Whether it is in the fridge now."""
        now, put, out = self.problem.now, self.fed.chilled, self.feeding.warmed
        return put is not None and put <= now and (out is None or out > now)

    @property
    def edges(self) -> tuple[float, float] | None:
        """How sour it is where it is ripe in the warm first and last; None where it never is."""
        ripe = [float(each[0]) for each in self.fed.course.ripe()]
        if np.isnan(ripe[0]):
            return None
        ends = [self.fed.course.hours[-1] if np.isnan(each) else each for each in ripe]
        first, last = (float(sourness(self.fed.course.after(each).states)[0]) for each in ends)
        return first, last

    def node(
        self,
        at: datetime,
        state: Mixture,
        penalty: float,
        feeding: Feeding,
        edge: timedelta = timedelta(),
    ) -> Iterator[RipeInHand]:
        """It in hand at an instant, where hands are free."""
        if at >= self.problem.now and self.calendar.free(at, FEED_MINUTES):
            yield replace(
                self.hand, at=at, mixture=state, penalty=penalty, feeding=feeding, edge=edge
            )


def taken_from(levain: StandingLevain, *, otherwise: bool) -> dict[datetime, RipeInHand]:
    """It in hand at each instant at which it may be taken.

    As was planned, where it is ripe so; else, if it may go otherwise, by the best other way, on the
    half hour.
    """
    found: dict[datetime, RipeInHand] = {}
    for node in _as_planned(levain):
        found[node.at] = node
    ripe = {at for at, node in found.items() if node.penalty <= OFF_CENTRE}
    first = levain.calendar.first
    for node in _otherwise(levain) if otherwise else ():
        known = found.get(node.at)
        on_grid = (node.at - first) // GRID % FEED_GRID == 0 or node.at == levain.planned
        if on_grid and node.at not in ripe and (known is None or node.penalty < known.penalty):
            found[node.at] = node
    return found


def _as_planned(levain: StandingLevain) -> Iterator[RipeInHand]:
    """Where it stands, or goes as was planned."""
    feeding, fed, problem = levain.feeding, levain.fed, levain.problem
    if levain.edges is None:
        return
    if fed.cold is None:
        yield from _in_the_warm(levain, feeding)
        return
    if feeding.warmed is not None and fed.again is not None:
        stands, since, before, hours = fed.stand, feeding.warmed, fed.cold.final, WARM_AGAIN_H
    else:
        assert problem.fridge is not None
        stands = problem.stands.fed(fed.mixed.mixture, problem.fridge, last=levain.last)
        since, before, hours = fed.cold.start, fed.cold.after(0.0), LONGEST_CHILL_H
    course = _held(levain, before, stands, since, hours)
    inside = _inside(levain, sourness(course.states)[0])
    if len(inside):
        first, last = (course.at(float(course.hours[row])) for row in (inside[0], inside[-1]))
        yield from _ripe(levain, (first, last), course, feeding)


def _otherwise(levain: StandingLevain) -> Iterator[RipeInHand]:
    """Other ways than was planned: into the fridge, not into it, or out of it."""
    fed, now = levain.fed, levain.problem.now
    if levain.edges is None or levain.problem.fridge is None:
        return
    if levain.is_cold:
        yield from _out(levain)
    elif fed.chilled is None or fed.chilled > now:
        if fed.chilled is not None:
            for node in _in_the_warm(levain, _moved(levain, None, None)):
                yield replace(node, penalty=node.penalty + ANOTHER_WAY)
        yield from _put(levain)


def _put(levain: StandingLevain) -> Iterator[RipeInHand]:
    """Put into the fridge at instants from now on, and taken from there."""
    fed, fridge = levain.fed, levain.problem.fridge
    assert fridge is not None
    puts = [at for at in _instants(levain, levain.feeding.ripe_until) if at != fed.chilled]
    if not puts:
        return
    cold = levain.problem.stands.fed(fed.mixed.mixture, fridge, last=levain.last)
    before = [fed.course.after((at - fed.at) / _HOUR) for at in puts]
    courses = _held_from(levain, before, cold, puts, LONGEST_CHILL_H)
    for k, (at, sour) in enumerate(zip(puts, sourness(courses.states), strict=True)):
        moved = _moved(levain, at, None)
        for step, penalty in _rows(levain, sour):
            state = courses.after(k, float(courses.hours[step]))
            price = penalty + EACH_CHILL + ANOTHER_WAY
            yield from levain.node(at + step * GRID, state, price, moved)


def _out(levain: StandingLevain) -> Iterator[RipeInHand]:
    """Taken out of the fridge at instants from now on, and taken once it is ripe in the warm."""
    fed, fridge = levain.fed, levain.problem.fridge
    assert fed.cold is not None
    assert fed.chilled is not None
    assert fridge is not None
    there = levain.problem.stands.fed(fed.mixed.mixture, fridge, last=levain.last)
    rest = _held(levain, fed.cold.after(0.0), there, fed.chilled, LONGEST_CHILL_H)
    if levain.feeding.warmed is not None:  # it may as well stay
        stays = _moved(levain, fed.chilled, None)
        for row, penalty in _rows(levain, sourness(rest.states)[0]):
            hours = float(rest.hours[row])
            at, state = ceil_to_grid(rest.at(hours)), rest.after(hours)
            yield from levain.node(at, state, penalty + ANOTHER_WAY, stays)
    until = fed.chilled + timedelta(hours=LONGEST_CHILL_H)
    outs = [at for at in _instants(levain, until) if at != levain.feeding.warmed]
    if not outs:
        return
    before = [rest.after((at - fed.chilled) / _HOUR) for at in outs]
    courses = _held_from(levain, before, fed.stand, outs, WARM_AGAIN_H)
    for k, (at, sour) in enumerate(zip(outs, sourness(courses.states), strict=True)):
        moved = _moved(levain, fed.chilled, at)
        for step, penalty in _rows(levain, sour):
            state = courses.after(k, float(courses.hours[step]))
            yield from levain.node(at + step * GRID, state, penalty + ANOTHER_WAY, moved)


def _instants(levain: StandingLevain, until: datetime) -> list[datetime]:
    """Half hours from now on at which hands may move it."""
    at = ceil_to_grid(max(levain.problem.now, levain.fed.at + GRID))
    found = []
    while at <= min(until, levain.keeps):
        if levain.calendar.free(at, FEED_MINUTES):
            found.append(at)
        at += FEED_GRID * GRID
    return found


def _moved(levain: StandingLevain, chilled: datetime | None, warmed: datetime | None) -> Feeding:
    return replace(levain.feeding, chilled=chilled, warmed=warmed)


def _held(
    levain: StandingLevain, before: Mixture, here: VesselStand, since: datetime, hours: float
) -> Course:
    traits = here.traits(levain.problem.likeliest)
    around, follow_h = here.place.surroundings, here.follow.hours
    return hold(before, around, since, hours, traits, follow_h=follow_h)


def _held_from(
    levain: StandingLevain,
    before: Sequence[Mixture],
    here: VesselStand,
    starts: Sequence[datetime],
    hours: float,
) -> CoursesOfMany:
    traits = here.traits(levain.problem.likeliest)
    around, follow_h = here.place.surroundings, here.follow.hours
    return hold_from(stacked(before), around, starts, hours, traits, follow_h=follow_h)


def _inside(levain: StandingLevain, sour: Floats) -> NDArray[np.intp]:
    """The rows of a course at which it is ripe."""
    if levain.edges is None:
        return np.array([], dtype=np.intp)
    first, last = levain.edges
    return np.flatnonzero((sour >= first) & (sour <= last))


def _rows(levain: StandingLevain, sour: Floats) -> Iterator[tuple[int, float]]:
    """The same but for the first, each with the penalty for how far it is from the middle."""
    inside = _inside(levain, sour)
    if not len(inside):
        return
    middle, half = (inside[0] + inside[-1]) / 2, max((inside[-1] - inside[0]) / 2, 1.0)
    for row in inside:
        if row:
            yield int(row), OFF_CENTRE * (abs(row - middle) / half) ** 2


def _in_the_warm(levain: StandingLevain, feeding: Feeding) -> Iterator[RipeInHand]:
    return _ripe(levain, (feeding.ripe_from, feeding.ripe_until), levain.fed.course, feeding)


def _ripe(
    levain: StandingLevain, window: tuple[datetime, datetime], course: Course, feeding: Feeding
) -> Iterator[RipeInHand]:
    """It in hand from a little before its window until a little after."""
    first, last = window
    low = max(levain.problem.now, course.start, first - JUST_YOUNG)
    high = min(last + JUST_PAST, max(levain.keeps, levain.planned))
    instants = [levain.planned] if low <= levain.planned <= high else []
    at = ceil_to_grid(low)
    while at <= high:
        instants.append(at)
        at += GRID
    middle, half = first + (last - first) / 2, (last - first) / 2
    for instant in instants:
        off = abs(instant - middle) / half if half else 0.0
        state = course.after(max(0.0, (instant - course.start) / _HOUR))
        edge = instant - min(max(instant, first), last)
        yield from levain.node(instant, state, OFF_CENTRE * off**2, feeding, edge)
