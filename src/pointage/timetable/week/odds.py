"""How likely a wish is kept: by the clock alone, and by a baker who follows the signs.

Each member of the ensemble is one way the culture may be. By the clock every levain is taken and
every dough worked when the plan says. By the signs the baker looks: what is not yet ripe waits,
what is ripe early is taken, as far as hands are free; then bulk and proof share the time that is
left until the oven, each as long as the dough lets it.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import timedelta

import numpy as np
from numpy.typing import NDArray

from pointage.mixture.hold import hold
from pointage.mixture.mixture import Mixture
from pointage.timetable.calendar import calendar_of
from pointage.timetable.plan import Thread
from pointage.timetable.ways.bands import Run
from pointage.timetable.ways.doughs import (
    LEAST_RETARD_H,
    LONGEST_BULK_H,
    LONGEST_PROOF_H,
    LONGEST_RETARD_H,
    WEAKEST,
)
from pointage.timetable.week.answer import KeptOdds
from pointage.timetable.week.fit import WeekWay
from pointage.timetable.week.question import ON_TIME, WantedStage
from pointage.timetable.week.steady import MOST_SHIFT_H, free_about

_HOUR = timedelta(hours=1)

Floats = NDArray[np.float64]
Flags = NDArray[np.bool_]


def kept_odds(way: WeekWay, thread: Thread, run: Run) -> KeptOdds:
    """The shares of members by which the wish of a chosen way is kept, out of its courses.

    run: the thread's, with the traits of the ensemble.
    """
    room = ON_TIME / _HOUR
    ripe, shift, clock = _levains(way, run)
    if way.stage in (WantedStage.RIPE, WantedStage.MIXED):
        return _shares(ripe & (np.abs(shift) <= room), clock)
    bulk = _bulk(way, thread, run)
    clock = clock & bulk.by_clock
    if way.stage is not WantedStage.BAKED:
        left = (thread.divide - thread.mix) / _HOUR - shift
        return _shares(ripe & (bulk.least <= left + room) & (bulk.most >= left - room), clock)
    least, most, proofed = _proof(way, thread, run, bulk)
    handling = (thread.shaped - thread.divide) / _HOUR
    first = (thread.loads[0] - thread.mix) / _HOUR - handling - shift
    last = (thread.loads[-1] - thread.mix) / _HOUR - handling - shift
    fits = (bulk.least + least <= first + room) & (bulk.most + most >= last - room)
    return _shares(ripe & fits, clock & proofed)


def _shares(by_signs: Flags, by_clock: Flags) -> KeptOdds:
    return KeptOdds(float(np.mean(by_signs | by_clock)), float(np.mean(by_clock)))


def _levains(way: WeekWay, run: Run) -> tuple[Flags, Floats, Flags]:
    """Which members' levains are ripe when taken by the signs, how much later that is, by clock."""
    members = len(run.feeds[0].course.states)
    shift, ripe = np.zeros(members), np.ones(members, dtype=bool)
    clock = np.ones(members, dtype=bool)
    for fed in run.feeds:
        ripe_from, ripe_until = fed.course.ripe()
        gap = (fed.taken - fed.at) / _HOUR
        clock &= (ripe_from <= gap) & ~(ripe_until < gap)
        reach = timedelta(hours=MOST_SHIFT_H + 1)
        calendar = calendar_of(way.problem.kitchen, fed.taken - reach, fed.taken + reach)
        earliest, latest = free_about(calendar, way.problem.now, fed.taken)
        until = np.where(np.isnan(ripe_until), np.inf, ripe_until)
        taken = np.clip(gap - shift, ripe_from, until)
        moved = np.clip(taken + shift - gap, earliest, latest)
        hours = gap + moved - shift
        ripe &= ~np.isnan(ripe_from) & (ripe_from <= hours + 1e-9) & (hours <= until + 1e-9)
        shift = np.where(np.isnan(moved), 0.0, moved)
    return ripe, shift, clock


@dataclass(frozen=True, eq=False)
class BulkOdds:
    """Least and most hours of bulk that each member's dough wants, and what it is at its best.

    by_clock: whether it is within them when the plan divides it.
    """

    least: Floats
    most: Floats
    by_clock: Flags
    risen: Mixture


def _bulk(way: WeekWay, thread: Thread, run: Run) -> BulkOdds:
    process, problem = way.problem.process, way.problem
    here = run.bulk_stand
    course = hold(
        run.dough.mixture, here.place.surroundings, thread.mix, LONGEST_BULK_H,
        here.traits(problem.traits), follow_h=here.follow.hours,
    )  # fmt: skip
    worked = process.mix_minutes + process.folds * process.fold_every_minutes
    least = np.maximum(_reaches(course.reaches(process.bulk_rise[0])), worked / 60)
    best, most = (course.reaches(rise) for rise in process.bulk_rise[1:])
    peak = course.hours[course.rise.argmax(axis=1)]
    most = np.fmin(most, peak)
    hours = (thread.divide - thread.mix) / _HOUR
    # While it is handled it stands in the bulk place, as the search has it.
    ends = np.fmin(best, peak) + (thread.shaped - thread.divide) / _HOUR
    rows = np.abs(course.hours[None, :] - ends[:, None]).argmin(axis=1)
    risen = replace(run.bulk.final, states=course.states[np.arange(len(rows)), rows].copy())
    right = (least <= hours + 1e-6) & (hours <= most + 1e-6)
    return BulkOdds(least, most, right, risen.handled(process.shape_keeps))


def _proof(way: WeekWay, thread: Thread, run: Run, bulk: BulkOdds) -> tuple[Floats, Floats, Flags]:
    """Least and most hours of proof of a dough divided at its best; right by the clock alone."""
    hours = LONGEST_RETARD_H if thread.retarded else LONGEST_PROOF_H
    least, most = _proof_of(way, thread, run, bulk.risen, hours)
    first, last = ((at - thread.shaped) / _HOUR for at in (thread.loads[0], thread.loads[-1]))
    as_planned = run.proof.after(0.0)
    soonest, latest = _proof_of(way, thread, run, as_planned, min(hours, last + 1.0))
    return least, most, (soonest <= first + 1e-6) & (last <= latest + 1e-6)


def _proof_of(
    way: WeekWay, thread: Thread, run: Run, pieces: Mixture, hours: float
) -> tuple[Floats, Floats]:
    """From and until when pieces may be baked, hours after they were shaped."""
    process = way.problem.process
    wanted = process.retard_rise if thread.retarded else process.proof_rise
    assert wanted is not None
    here = run.proof_stand
    course = hold(
        pieces, here.place.surroundings, thread.shaped, hours,
        here.traits(way.problem.traits), follow_h=here.follow.hours,
    )  # fmt: skip
    least = _reaches(course.reaches(wanted[0]))
    most = np.fmin(course.reaches(wanted[2]), course.hours[-1])
    if not thread.retarded:
        return least, np.minimum(most, course.hours[course.rise.argmax(axis=1)])
    weak = course.strength < WEAKEST
    first_weak = np.where(weak.any(axis=1), course.hours[weak.argmax(axis=1)], np.inf)
    return np.maximum(least, LEAST_RETARD_H), np.minimum(most, first_weak)


def _reaches(hours: Floats) -> Floats:
    """Hours at which a rise is reached, never where it is not."""
    return np.where(np.isnan(hours), np.inf, hours)
