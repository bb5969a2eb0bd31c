"""The chosen plan run again with the whole ensemble: every course with its band and its odds."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from math import isnan

import numpy as np
from numpy.typing import NDArray

from pointage.kitchen.culture_state import culture_at
from pointage.kitchen.kitchen import Kitchen
from pointage.kitchen.stand import VesselStand
from pointage.mixture.course import Course, band
from pointage.mixture.hold import STEP_MIN, hold
from pointage.mixture.learning.look import looks
from pointage.mixture.mixture import Mixture, raw
from pointage.mixture.temperature.temper import Tempered, temper
from pointage.mixture.traits import Traits
from pointage.timetable.calendar import sleep_spans
from pointage.timetable.plan import (
    CourseRow,
    Feed,
    PlannedLook,
    Quantiles,
    StepCourse,
    Thread,
)
from pointage.timetable.problem import Problem
from pointage.timetable.ways.chilled import sourness
from pointage.timetable.ways.levains import LONGEST_HOLD_H, Recipe
from pointage.timetable.ways.stands import KitchenStands

FARTHER = 2.0
"""The dough is looked at for so many times its planned length: it may be slow."""


@dataclass(frozen=True, eq=False)
class PlannedFeed:
    """A feed of the plan with its course; the next mix takes from it at `taken`.

    course: in its place, where it stays unless it is chilled. cold: its course in the fridge from
    `chilled` on, if it goes there; again: in its place from `warmed` on, if it comes out again.
    """

    at: datetime
    recipe: Recipe
    mixed: Tempered
    stand: VesselStand
    course: Course
    taken: datetime
    chilled: datetime | None = None
    cold: Course | None = None
    again: Course | None = None

    @property
    def left(self) -> Mixture:
        """As it stands when the next mix takes from it."""
        if self.cold is None:
            return self.course.after(_hours(self.at, self.taken))
        if self.again is not None:
            return self.again.after(_hours(self.again.start, self.taken))
        return self.cold.after(_hours(self.cold.start, self.taken))

    @property
    def is_ripe(self) -> NDArray[np.bool_]:
        """Whether each member is ripe when the next mix takes from it."""
        ripe_from, ripe_until = self.course.ripe()
        if self.cold is None:
            hours = _hours(self.at, self.taken)
            return np.asarray((ripe_from <= hours) & ~(ripe_until < hours))
        edges = []
        for edge in (ripe_from, ripe_until):
            row = np.searchsorted(self.course.hours, np.nan_to_num(edge, nan=np.inf))
            row = np.minimum(row, len(self.course.hours) - 1)
            edges.append(sourness(self.course.states[np.arange(len(row)), row]))
        sour = sourness(self.left.states)
        return np.asarray(~np.isnan(ripe_from) & (edges[0] <= sour) & (sour <= edges[1]))

    @property
    def odds(self) -> float:
        """The share of members that are ripe when the next mix takes from it."""
        return float(np.mean(self.is_ripe))


@dataclass(frozen=True, eq=False)
class Run:
    """All courses of a plan's thread. left: the culture as the first build takes from it."""

    feeds: tuple[PlannedFeed, ...]
    left: Mixture
    dough: Tempered
    bulk_stand: VesselStand
    bulk: Course
    proof_stand: VesselStand
    proof: Course


def run_thread(problem: Problem, thread: Thread, traits: Traits, feed_g: Sequence[float]) -> Run:
    """Run a thread with an ensemble of a culture's traits.

    feed_g: the mass of each feed, so that each stands in its own tub.
    """
    mixture = left = culture_at(problem.culture, problem.kitchen, thread.feeds[0].at, traits)
    feeds = []
    recipes = problem.recipes(len(thread.feeds))
    for i, (feed, taken) in enumerate(taken_at(thread)):
        recipe = recipes[i]
        if i == len(recipes) - len(problem.builds):
            left = mixture
        mixed = _mixed(problem, mixture, feed, recipe, feed_g[i])
        last = i >= len(recipes) - len(problem.builds)
        here = problem.stands.fed(mixed.mixture, recipe.place, last=last)
        course = _held(mixed.mixture, here, feed.at, LONGEST_HOLD_H + 6, traits)
        planned = PlannedFeed(feed.at, recipe, mixed, here, course, taken)
        if feed.chilled is not None and problem.fridge is not None:
            put = course.after(_hours(feed.at, feed.chilled))
            there = problem.stands.fed(mixed.mixture, problem.fridge, last=last)
            hours = max(_hours(feed.chilled, feed.warmed or taken), STEP_MIN / 60)
            cold = _held(put, there, feed.chilled, hours, traits)
            planned = replace(planned, chilled=feed.chilled, cold=cold)
            if feed.warmed is not None:
                hours = max(_hours(feed.warmed, taken), STEP_MIN / 60)
                again = _held(cold.final, here, feed.warmed, hours, traits)
                planned = replace(planned, again=again)
        feeds.append(planned)
        mixture = planned.left
    dough = problem.dough(mixture, problem.room_c(thread.mix))
    bulk_stand = problem.stands.bulk(dough.mixture, problem.bulk_place)
    bulk = _held(dough.mixture, bulk_stand, thread.mix, _hours(thread.mix, thread.shaped), traits)
    last_place = problem.last_place(retarded=thread.retarded)
    piece = dough.mixture.scaled(float(problem.piece_g))
    proof_stand = problem.stands.piece(piece, problem.pieces, last_place)
    shaped = bulk.final.handled(problem.process.shape_keeps)
    hours = max(_hours(thread.shaped, thread.loads[-1]), STEP_MIN / 60)
    proof = _held(shaped, proof_stand, thread.shaped, hours, traits)
    return Run(tuple(feeds), left, dough, bulk_stand, bulk, proof_stand, proof)


def _held(
    mixture: Mixture, here: VesselStand, start: datetime, hours: float, traits: Traits
) -> Course:
    """A mixture held where it stands."""
    return hold(
        mixture,
        here.place.surroundings,
        start,
        hours,
        here.traits(traits),
        follow_h=here.follow.hours,
    )


def taken_at(thread: Thread) -> Iterator[tuple[Feed, datetime]]:
    """Each feed with the instant at which the next feed, or the mix, takes from it."""
    return zip(thread.feeds, [*(feed.at for feed in thread.feeds[1:]), thread.mix], strict=True)


def _mixed(
    problem: Problem, culture: Mixture, feed: Feed, recipe: Recipe, mass_g: float
) -> Tempered:
    flour_g = mass_g / (1.0 + recipe.hydration)
    seed = culture.scaled(feed.seed_share * flour_g)
    fresh = recipe.fresh(seed, flour_g)
    assert fresh is not None, "the search has weighed this feed"
    flours, water = fresh
    dry = raw(flours, celsius=problem.room_c(feed.at), record=recipe.record)
    return temper([seed, dry], water, recipe.wanted_c)


def course_in(
    stands: KitchenStands,
    here: VesselStand,
    course: Course,
    until: datetime,
    *,
    ripe: bool = False,
    comes: tuple[Course, NDArray[np.float64]] | None = None,
) -> StepCourse:
    """`step_course` with what its vessel makes of it: level, core, and whether it will hold it.

    comes: when it is as wanted (hours of a course), if that is not when it is ripe.
    """
    found = replace(
        step_course(course, until, ripe=ripe),
        vessel=here.vessel.name,
        full=here.full,
        core_lag_h=here.follow.core_lag_h,
        caution=stands.over_the_brim(course, here, _hours(course.start, until)),
    )
    if ripe:
        comes = course, course.ripe()[0]
    return found if comes is None else _looked_at(stands.kitchen, found, *comes, until)


def bulk_course(problem: Problem, run: Run, until: datetime, traits: Traits) -> StepCourse:
    """The bulk's course, and when to look whether it will stand as wanted at its end."""
    comes = _comes(run.bulk_stand, run.bulk, until, traits, problem.process.bulk_rise[1])
    return course_in(problem.stands, run.bulk_stand, run.bulk, until, comes=comes)


def proof_standing(
    problem: Problem, run: Run, until: datetime, traits: Traits, *, retarded: bool
) -> StepCourse:
    """The same of the shaped pieces, in the room or in the cold."""
    process = problem.process
    wanted = process.rise_to_load(retarded=retarded)
    comes = _comes(run.proof_stand, run.proof, until, traits, wanted[1])
    return course_in(problem.stands, run.proof_stand, run.proof, until, comes=comes)


def _comes(
    here: VesselStand, course: Course, until: datetime, traits: Traits, rise: float
) -> tuple[Course, NDArray[np.float64]]:
    """The course carried farther, and the hours at which it stands at `rise`."""
    hours = max(FARTHER * _hours(course.start, until), STEP_MIN / 60)
    farther = _held(course.after(0.0), here, course.start, hours, traits)
    return farther, farther.reaches(rise)


def _looked_at(
    kitchen: Kitchen,
    standing: StepCourse,
    course: Course,
    wanted: NDArray[np.float64],
    until: datetime,
) -> StepCourse:
    """With the looks up to `until` that are worth it and fall in waking hours, to 0.01 h."""
    start = course.start
    asleep = [
        (_hours(start, down), _hours(start, up)) for down, up in sleep_spans(kitchen, start, until)
    ]
    found = looks(course, wanted, asleep=asleep)
    worth = () if found is None else found.worth
    each = tuple(PlannedLook(course.at(look.at_h), round(look.half_h, 2)) for look in worth)
    each = tuple(look for look in each if look.at < until)
    if found is None or not each:
        return standing
    return replace(standing, looks=each, half_h=round(found.half_h, 2))


def step_course(course: Course, until: datetime, *, ripe: bool) -> StepCourse:
    """A course as rows for people, up to `until` and a little beyond; `ripe`: with its window.

    Rounded once, to 0.01 °C, 0.0001 of the rise and 0.001 of the pH: finer than anyone reads them.
    """
    end = _hours(course.start, until)
    shown = min(float(course.hours[-1]), end + (3.0 if ripe else 0.0))
    count = min(int(np.searchsorted(course.hours, shown + 1e-9)) + 1, len(course.hours))
    low, middle, high = np.percentile(course.rise[:, :count], (10, 50, 90), axis=0)
    temperature = np.median(course.temperature[:, :count], axis=0)
    ph = np.median(course.ph[:, :count], axis=0)
    rows = tuple(
        CourseRow(
            at=course.at(float(course.hours[i])),
            temperature_c=round(float(temperature[i]), 2),
            rise=round(float(middle[i]), 4),
            rise_p10=round(float(low[i]), 4),
            rise_p90=round(float(high[i]), 4),
            ph=round(float(ph[i]), 3),
        )
        for i in range(count)
    )
    at_end = int(np.abs(course.hours - end).argmin())
    ripe_from, ripe_until = course.ripe() if ripe else (None, None)
    return StepCourse(
        rows=rows,
        ripe_from=_quantiles(course, ripe_from),
        ripe_until=_quantiles(course, ripe_until),
        peak=_quantiles(course, course.peak_h()) if ripe else None,
        rise_at_end=round(float(middle[at_end]), 4),
        ph_at_end=round(float(ph[at_end]), 3),
    )


def _quantiles(course: Course, hours: NDArray[np.float64] | None) -> Quantiles | None:
    """Instants of 10, 50 and 90 %; later than the course counts as its end."""
    if hours is None:
        return None
    found = band(hours)
    end = float(course.hours[-1])
    instants = [
        course.start + timedelta(minutes=round(60 * (end if isnan(h) else h)))
        for h in (found.p10, found.p50, found.p90)
    ]
    return Quantiles(*instants)


def _hours(start: datetime, end: datetime) -> float:
    return (end - start).total_seconds() / 3600
