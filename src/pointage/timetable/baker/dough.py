"""What becomes of a dough whose baker follows the signs, for every member of an ensemble.

It rises in the cool where its pace leaves time for that before bed, for then it hardly rises on in
the fridge; else in its place. It is divided when it will come to its rise as it cools, so a quick
one at less; one too low for that at bedtime stands in the fridge for the night. Shaped pieces stand
in the warm until cooling will bring them to their rise, and wait for the oven in the fridge. Those
that are behind are finished in the warm, as late as they need.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from pointage.kitchen.kitchen import Place
from pointage.kitchen.stand import VesselStand
from pointage.mixture.state import S
from pointage.timetable.baker.looking import LOOK_MIN
from pointage.timetable.baker.quarters import PER_H, Abreast, OwnCourses, Quarters
from pointage.timetable.calendar import GRID_MIN
from pointage.timetable.plan import Thread
from pointage.timetable.problem import Problem
from pointage.timetable.ways.doughs import LONGEST_BULK_H, LONGEST_PROOF_H, WEAKEST
from pointage.timetable.week.question import WantedStage

Floats = NDArray[np.float64]
Flags = NDArray[np.bool_]
Steps = NDArray[np.intp]
Look = Callable[[OwnCourses, Steps], Steps]

COAST_BULK_H, COAST_PROOF_H = 2.25, 1.25
"""Hours for which a dough, and its pieces, rise on at their pace once they are to cool (ours)."""
YOUNG, LOW = 0.1, 0.1
"""So much below the least rise it may be divided: if it is quick, and at bedtime (ours)."""
COOL_SLACK, COLD_FOR_H = 1.5, 6
"""It rises in the cool if that leaves half as much time again before bed, and so many hours in the
fridge (ours)."""
NIGHT_H = 12
FINISHED = (7, 5, 3, 2, 1)
"""Hours before the oven at which pieces that are behind may be taken out of the fridge."""
LATE = 1  # steps that are within 20 minutes


@dataclass(frozen=True, eq=False)
class DoughLived:
    """divided, shaped: steps. fit: whether it was as wanted; on_time: whether in time.

    proofed, sound: of bread, whether all loads were inside the proof's rise, and strong enough.
    took: steps in which the middle one would rise in the room. cool: whether it rose there.
    rise: as it was loaded, or divided if it is no bread.
    """

    divided: Steps
    shaped: Steps
    proofed: Flags
    sound: Flags
    on_time: Flags
    cool: Flags
    rise: Floats
    took: float = 0.0

    @property
    def fit(self) -> Flags:
        return self.proofed & self.sound


@dataclass(frozen=True, eq=False)
class WishMade:
    """A wish as it is planned, by one thread or several that are lived through abreast.

    look: when a mixture is found to be as wanted (`life`). took: steps in which she believes it to
    rise in the room; None for the middle one's own. now: the first step that is still to come. at:
    the step at which it was divided, if it was.
    """

    problem: Problem
    stage: WantedStage
    threads: Sequence[Thread]
    quarters: Quarters
    look: Look
    took: float | None = None
    now: int = -1
    at: int | None = None


def doughs_lived(made: WishMade, doughs: Abreast, mix: Steps, *, pace: Floats) -> list[DoughLived]:
    """What becomes of the dough of each thread.

    pace: each member's, as its levain showed, over the middle one's.
    """
    life = _Dough(made)
    problem, stage, quarters = made.problem, made.stage, made.quarters
    pieces, divided, rise = life.bulk(doughs, mix, pace)
    shaped = np.minimum(divided + life.handle, quarters.last)
    if stage is WantedStage.BAKED:
        now = life.proof(pieces, shaped)
        proofed, sound, rise = life.is_fit(now), now.strength >= WEAKEST, now.first
        on_time = shaped <= life.first + LATE
    else:
        least, _, most = problem.process.bulk_rise
        proofed = (rise >= least - LOW) & (rise <= most)
        sound = np.ones_like(proofed)
        bulk = stage is WantedStage.BULK
        planned = quarters.each_step([x.divide if bulk else x.shaped for x in made.threads])
        on_time = (divided if bulk else shaped) <= planned + LATE
    steps = map(quarters.by_life, (divided, shaped))
    flags = map(quarters.by_life, (proofed, sound, on_time, life.cool))
    return list(map(DoughLived, *steps, *flags, quarters.by_life(rise), life.took))


class _Dough:
    def __init__(self, made: WishMade) -> None:
        self.problem, self.stage = made.problem, made.stage
        self.quarters, self.look = made.quarters, made.look
        self.believed = made.took
        self.now, self.at = made.now, made.at
        self.cool: Flags = np.zeros(0, dtype=bool)
        self.took = [0.0] * len(made.threads)
        process, quarters = self.problem.process, self.quarters
        wanted = np.array([process.rise_to_load(retarded=x.retarded) for x in made.threads])
        self.least, self.best, self.most = (quarters.each(x) for x in wanted.T)
        self.first = quarters.each_step([x.loads[0] for x in made.threads])
        self.last = quarters.each_step([x.loads[-1] for x in made.threads])

    @property
    def handling(self) -> float:
        p = self.problem.process
        return p.divide_minutes + p.bench_rest_minutes + p.shape_minutes

    @property
    def handle(self) -> int:
        return int(np.ceil(self.handling / GRID_MIN))

    @property
    def worked(self) -> int:
        p = self.problem.process
        minutes = p.mix_minutes + p.folds * p.fold_every_minutes
        return int(np.ceil((minutes + (p.fold_minutes if p.folds else 0)) / GRID_MIN))

    def risen(self, courses: OwnCourses) -> Steps:
        """Rows at which it is to be divided: it will be risen as it cools, or is risen now."""
        rise, (least, best, _) = courses.rise, self.problem.process.bulk_rise
        now = _first(rise, np.full(len(rise), best))
        if self.stage is not WantedStage.BAKED:
            return now
        ahead = np.where(rise < least - YOUNG, 0.0, coasted(rise, COAST_BULK_H))
        return np.minimum(_first(ahead, self.best[courses.who]), now)

    def bulk(self, doughs: Abreast, mix: Steps, pace: Floats) -> tuple[Abreast, Steps, Floats]:
        """The shaped doughs, when each was divided, and how far it had risen."""
        quarters, problem = self.quarters, self.problem
        process, fridge = problem.process, problem.fridge
        here = self._stands(doughs, problem.bulk_place)
        rows = int(LONGEST_BULK_H * 1.5 * PER_H)
        self.cool = np.zeros(len(mix), dtype=bool)
        if fridge is None or self.stage is not WantedStage.BAKED:
            courses = quarters.hold(doughs, here, mix, rows)
        else:
            courses = quarters.hold(doughs, self._stands(doughs, problem.room), mix, rows)
            took = np.median(quarters.by_life(self.risen(courses)), axis=1)
            self.took = took.tolist()
            believed = quarters.each(took) if self.believed is None else self.believed
            bed = quarters.free_until(mix, self.handling)
            by = self.first - self.handle - COLD_FOR_H * PER_H
            self.cool = mix + COOL_SLACK * believed * pace <= np.minimum(bed, by)
            if not self.cool.all():
                warm = quarters.hold(doughs, here, mix, rows, ~self.cool)
                courses.states[warm.who], courses.rise[warm.who] = warm.states, warm.rise
        ends = np.minimum(self.risen(courses), courses.rise.argmax(axis=1))
        ends = mix + self.look(courses, np.maximum(ends, self.worked))
        ends = np.maximum(ends, self.now)
        least = np.maximum(mix + self.worked, self.now)
        divide = quarters.nearest_free(ends, self.handling, least)
        if self.at is not None:
            divide = ends = np.full_like(mix, self.at)
        stood, rise = courses.at(divide + self.handle), courses.rise_at(divide)
        low = rise < process.bulk_rise[0] - LOW
        night = (divide - ends > PER_H) | (low & (divide < ends))
        night &= self.at is None
        if fridge is not None and night.any():
            put, up = quarters.last_free(ends, LOOK_MIN), quarters.next_free(ends, LOOK_MIN)
            spell = int((up - put)[night].clip(1, NIGHT_H * PER_H).max())
            cold = self._stands(doughs, fridge)
            slept = quarters.hold(courses.at(put), cold, put, spell, night)
            again = quarters.hold(slept.at(up), here, up, NIGHT_H * PER_H, night)
            ready = up.copy()
            ready[night] += self.risen(again)
            divide = np.where(night, quarters.nearest_free(ready, self.handling, up), divide)
            rise[night] = again.rise_at(divide)
            stood.states[night] = again.at(divide + self.handle).states[night]
        shaped = [each.handled(process.shape_keeps) for each in stood.apart()]
        return Abreast.of(shaped, len(quarters.traits)), np.minimum(divide, quarters.last), rise

    def _stands(self, doughs: Abreast, place: Place) -> list[VesselStand]:
        return [self.problem.stands.bulk(each, place) for each in doughs.each]

    def proof(self, pieces: Abreast, shaped: Steps) -> _Loaded:
        """The pieces as they are loaded when the plan says."""
        quarters, problem, first, last = self.quarters, self.problem, self.first, self.last
        here = self._trays(pieces, problem.proof_place)
        warm = quarters.hold(pieces, here, shaped, int(LONGEST_PROOF_H * PER_H))
        ends = _first(coasted(warm.rise, COAST_PROOF_H), self.best)
        into = shaped + np.where(ends == 0, 0, self.look(warm, ends))
        ahead = np.maximum(shaped, self.now)
        into = np.minimum(quarters.nearest_free(into, LOOK_MIN, ahead), np.maximum(first, 0))
        now = _Loaded.of(warm, first, last)
        cold = into < first - 1
        if problem.fridge is None or not cold.any():
            return now
        rows = int((last - into)[cold].clip(1).max())
        there = self._trays(pieces, problem.fridge)
        chilled = quarters.hold(warm.at(into), there, into, rows, cold)
        now = now.where(cold, _Loaded.of(chilled, first, last))
        for hours in FINISHED:
            soonest = np.maximum(into, np.maximum(first - hours * PER_H, self.now))
            out = quarters.next_free(soonest, LOOK_MIN)
            behind = cold & (out < first) & (now.first < self.best)
            if not behind.any():
                continue
            rows = int((last - out)[behind].clip(1).max())
            warmed = quarters.hold(chilled.at(out), here, out, rows, behind)
            finished = _Loaded.of(warmed, first, last)
            nearer = np.abs(finished.first - self.best) < np.abs(now.first - self.best)
            now = now.where(behind & nearer, finished)
        return now

    def _trays(self, pieces: Abreast, place: Place) -> list[VesselStand]:
        problem = self.problem
        each = (it.scaled(float(problem.piece_g)) for it in pieces.each)
        return [problem.stands.piece(piece, problem.pieces, place) for piece in each]

    def is_fit(self, now: _Loaded) -> Flags:
        """Whether all loads are inside the wanted rise."""
        least, most = self.least, self.most
        return np.asarray((now.first >= least) & (now.first <= most) & (now.last <= most))


@dataclass(frozen=True, eq=False)
class _Loaded:
    """The rise as the first load goes in and the last one, and the strength at the first.

    Not a number where a member was not held.
    """

    first: Floats
    last: Floats
    strength: Floats

    @staticmethod
    def of(courses: OwnCourses, first: Steps, last: Steps) -> _Loaded:
        found = np.full((3, len(courses.start)), np.nan)
        strength = courses.at(first).states[courses.who, S.STRENGTH]
        found[:, courses.who] = courses.rise_at(first), courses.rise_at(last), strength
        return _Loaded(*found)

    def where(self, chosen: Flags, other: _Loaded) -> _Loaded:
        return _Loaded(
            np.where(chosen, other.first, self.first),
            np.where(chosen, other.last, self.last),
            np.where(chosen, other.strength, self.strength),
        )


def coasted(rise: Floats, hours: float) -> Floats:
    """Where each will stand if it goes on for so long as over the last half hour."""
    pace = np.zeros_like(rise)
    pace[:, 2:] = (rise[:, 2:] - rise[:, :-2]) * PER_H / 2
    return np.asarray(rise + hours * pace)


def _first(rows: Floats, level: Floats) -> Steps:
    """The first row at which each is at its level; the last row where none is."""
    ready = rows >= level[:, None]
    last = rows.shape[1] - 1
    return np.asarray(np.where(ready.any(axis=1), ready.argmax(axis=1), last))
