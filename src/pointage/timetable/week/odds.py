"""How likely a wish is kept: by the clock alone, and by a baker who follows the signs.

Each member of the ensemble is one way the culture may be. By the clock every levain is taken and
every dough worked when the plan says. By the signs the baker looks: what is not yet ripe waits,
what is ripe early is taken, as far as hands are free; then bulk and proof share the time that is
left until the oven, each as long as the dough lets it.
"""

from __future__ import annotations

from datetime import datetime, timedelta

import numpy as np
from numpy.typing import NDArray

from pointage.mixture.hold import hold
from pointage.timetable.calendar import calendar_of
from pointage.timetable.plan import Plan, Thread
from pointage.timetable.ways.amounts import amounts
from pointage.timetable.ways.bands import Run, run_thread
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

MOST_SHIFT_H = 4.0
"""So far from its time a levain may be taken by who follows the signs (ours)."""
SHIFT_MIN = 15
_HOUR = timedelta(hours=1)

Floats = NDArray[np.float64]
Flags = NDArray[np.bool_]


def kept_odds(way: WeekWay, thread: Thread, plan: Plan) -> KeptOdds:
    """The shares of members by which the wish of a chosen way is kept."""
    del plan
    problem = way.problem
    traits = problem.traits
    run = run_thread(problem, thread, traits, amounts(problem, thread.feeds).masses)
    ripe, shift, ripe_by_clock = _levains(way, run)
    if way.stage is WantedStage.RIPE:
        on_time = np.abs(shift) <= ON_TIME / _HOUR
        return KeptOdds(float(np.mean(ripe & on_time)), float(np.mean(ripe_by_clock)))
    if way.stage is WantedStage.MIXED:
        on_time = np.abs(shift) <= ON_TIME / _HOUR
        return KeptOdds(float(np.mean(ripe & on_time)), float(np.mean(ripe_by_clock)))
    least_bulk, most_bulk, bulk_by_clock = _bulk(way, thread, run)
    handling = (thread.shaped - thread.divide) / _HOUR
    room = ON_TIME / _HOUR
    if way.stage is not WantedStage.BAKED:
        left = (thread.divide - thread.mix) / _HOUR - shift
        fits = (least_bulk <= left + room) & (most_bulk >= left - room)
        return KeptOdds(float(np.mean(ripe & fits)), float(np.mean(ripe_by_clock & bulk_by_clock)))
    least_proof, most_proof, proof_by_clock = _proof(way, thread, run)
    left = (thread.loads[-1] - thread.mix) / _HOUR - handling - shift
    span = (thread.loads[-1] - thread.loads[0]) / _HOUR
    fits = (least_bulk + least_proof + span <= left + room) & (
        most_bulk + most_proof >= left - room
    )
    clock = ripe_by_clock & bulk_by_clock & proof_by_clock
    return KeptOdds(float(np.mean(ripe & fits)), float(np.mean(clock)))


def _levains(way: WeekWay, run: Run) -> tuple[Flags, Floats, Flags]:
    """Which members' levains are ripe when taken by the signs, how much later that is, by clock."""
    members = len(run.feeds[0].course.states)
    shift, ripe = np.zeros(members), np.ones(members, dtype=bool)
    clock = np.ones(members, dtype=bool)
    for fed in run.feeds:
        ripe_from, ripe_until = fed.course.ripe()
        gap = (fed.taken - fed.at) / _HOUR
        clock &= (ripe_from <= gap) & ~(ripe_until < gap)
        earliest, latest = _free_about(way, fed.taken)
        until = np.where(np.isnan(ripe_until), np.inf, ripe_until)
        taken = np.clip(gap - shift, ripe_from, until)
        moved = np.clip(taken + shift - gap, earliest, latest)
        hours = gap + moved - shift
        ripe &= ~np.isnan(ripe_from) & (ripe_from <= hours + 1e-9) & (hours <= until + 1e-9)
        shift = np.where(np.isnan(moved), 0.0, moved)
    return ripe, shift, clock


def _free_about(way: WeekWay, at: datetime) -> tuple[float, float]:
    """How many hours sooner and later hands are free without a break."""
    problem = way.problem
    reach = timedelta(hours=MOST_SHIFT_H)
    calendar = calendar_of(problem.kitchen, at - reach, at + reach)
    found = []
    for sign in (-1, 1):
        steps = 0
        while steps * SHIFT_MIN < MOST_SHIFT_H * 60:
            next_at = at + sign * timedelta(minutes=(steps + 1) * SHIFT_MIN)
            if not calendar.free(next_at, SHIFT_MIN) or next_at < problem.now:
                break
            steps += 1
        found.append(sign * steps * SHIFT_MIN / 60)
    return found[0], found[1]


def _bulk(way: WeekWay, thread: Thread, run: Run) -> tuple[Floats, Floats, Flags]:
    """Least and most hours of bulk that each member's dough wants; whether the plan's are right."""
    process, problem = way.problem.process, way.problem
    here = run.bulk_stand
    course = hold(
        run.dough.mixture, here.place.surroundings, thread.mix, LONGEST_BULK_H,
        here.traits(problem.traits), follow_h=here.follow.hours,
    )  # fmt: skip
    least_rise, _, most_rise = process.bulk_rise
    worked = process.mix_minutes + process.folds * process.fold_every_minutes
    least = np.maximum(_reaches(course.reaches(least_rise)), worked / 60)
    peak = course.hours[course.rise.argmax(axis=1)]
    most = np.minimum(np.where(np.isnan(r := course.reaches(most_rise)), peak, r), peak)
    hours = (thread.divide - thread.mix) / _HOUR
    return least, most, (least <= hours + 1e-6) & (hours <= most + 1e-6)


def _proof(way: WeekWay, thread: Thread, run: Run) -> tuple[Floats, Floats, Flags]:
    """The same of the proof, in the warm or in the cold, for all loads."""
    problem, process = way.problem, way.problem.process
    wanted = process.retard_rise if thread.retarded else process.proof_rise
    assert wanted is not None
    here = run.proof_stand
    course = hold(
        run.proof.after(0.0), here.place.surroundings, thread.shaped,
        LONGEST_RETARD_H if thread.retarded else LONGEST_PROOF_H,
        here.traits(problem.traits), follow_h=here.follow.hours,
    )  # fmt: skip
    least = _reaches(course.reaches(wanted[0]))
    most = course.reaches(wanted[2])
    most = np.where(np.isnan(most), course.hours[-1], most)
    if thread.retarded:
        least = np.maximum(least, LEAST_RETARD_H)
        weak = course.strength < WEAKEST
        first_weak = np.where(weak.any(axis=1), course.hours[weak.argmax(axis=1)], np.inf)
        most = np.minimum(most, first_weak)
    else:
        most = np.minimum(most, course.hours[course.rise.argmax(axis=1)])
    first, last = ((at - thread.shaped) / _HOUR for at in (thread.loads[0], thread.loads[-1]))
    return least, most, (least <= first + 1e-6) & (last <= most + 1e-6)


def _reaches(hours: Floats) -> Floats:
    """Hours at which a rise is reached, never where it is not."""
    return np.where(np.isnan(hours), np.inf, hours)
