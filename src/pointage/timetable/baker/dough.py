"""What becomes of a dough whose baker follows the signs, for every member of an ensemble.

It rises in the cool where its pace leaves time for that before bed, for then it hardly rises on in
the fridge; else in its place. It is divided when it will come to its rise as it cools, so a quick
one at less; one too low for that at bedtime stands in the fridge for the night. Shaped pieces stand
in the warm until cooling will bring them to their rise, and wait for the oven in the fridge. Those
that are behind are finished in the warm, as late as they need.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from pointage.mixture.mixture import Mixture
from pointage.mixture.state import S
from pointage.timetable.baker.looking import LOOK_MIN
from pointage.timetable.baker.quarters import PER_H, OwnCourses, Quarters
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
    """A wish as it is planned. look: when a mixture is found to be as wanted (`baker`).

    took: steps in which she believes it to rise in the room; None for the middle one's own.
    now: the first step that is still to come. at: the step at which it was divided, if it was.
    """

    problem: Problem
    stage: WantedStage
    thread: Thread
    quarters: Quarters
    look: Look
    took: float | None = None
    now: int = -1
    at: int | None = None


def dough_lived(made: WishMade, dough: Mixture, mix: Steps, *, pace: Floats) -> DoughLived:
    """What becomes of a dough. pace: each member's, as its levain showed, over the middle one's."""
    life = _Dough(made)
    problem, stage, thread, quarters = made.problem, made.stage, made.thread, made.quarters
    pieces, divided, rise = life.bulk(dough, mix, pace)
    shaped = np.minimum(divided + life.handle, quarters.steps)
    if stage is WantedStage.BAKED:
        return life.proof(pieces, divided, shaped)
    least, _, most = problem.process.bulk_rise
    risen = (rise >= least - LOW) & (rise <= most)
    ends, planned = (
        (divided, thread.divide) if stage is WantedStage.BULK else (shaped, thread.shaped)
    )
    on_time = ends <= quarters.step(planned) + LATE
    sound = np.ones_like(risen)
    return DoughLived(divided, shaped, risen, sound, on_time, life.cool, rise, life.took)


class _Dough:
    def __init__(self, made: WishMade) -> None:
        self.problem, self.stage, self.thread = made.problem, made.stage, made.thread
        self.quarters, self.look = made.quarters, made.look
        self.believed = made.took
        self.now, self.at = made.now, made.at
        self.cool: Flags = np.zeros(0, dtype=bool)
        self.took = 0.0

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

    @property
    def wanted(self) -> tuple[float, float, float]:
        return self.problem.process.rise_to_load(retarded=self.thread.retarded)

    def risen(self, rise: Floats) -> Steps:
        """Rows at which it is to be divided: it will be risen as it cools, or is risen now."""
        least, best, _ = self.problem.process.bulk_rise
        if self.stage is not WantedStage.BAKED:
            return _first(rise, best)
        ahead = np.where(rise < least - YOUNG, 0.0, coasted(rise, COAST_BULK_H))
        return np.minimum(_first(ahead, self.wanted[1]), _first(rise, best))

    def bulk(self, dough: Mixture, mix: Steps, pace: Floats) -> tuple[Mixture, Steps, Floats]:
        """The shaped dough, when it was divided, and how far it had risen."""
        quarters, problem = self.quarters, self.problem
        process, fridge = problem.process, problem.fridge
        here = problem.stands.bulk(dough, problem.bulk_place)
        rows = int(LONGEST_BULK_H * 1.5 * PER_H)
        courses = quarters.hold(dough, here, mix, rows)
        bed = quarters.free_until(mix, self.handling)
        self.cool = np.zeros(len(mix), dtype=bool)
        if fridge is not None and self.stage is WantedStage.BAKED:
            slower = quarters.hold(dough, problem.stands.bulk(dough, problem.room), mix, rows)
            self.took = float(np.median(self.risen(slower.rise)))
            took = self.took if self.believed is None else self.believed
            by = quarters.step(self.thread.loads[0]) - self.handle - COLD_FOR_H * PER_H
            cool = mix + COOL_SLACK * took * pace <= np.minimum(bed, by)
            self.cool = cool
            courses = replace(
                courses,
                states=np.where(cool[:, None, None], slower.states, courses.states),
                rise=np.where(cool[:, None], slower.rise, courses.rise),
            )
        ends = np.minimum(self.risen(courses.rise), courses.rise.argmax(axis=1))
        ends = mix + self.look(courses, np.maximum(ends, self.worked))
        ends = np.maximum(ends, self.now)
        least = np.maximum(mix + self.worked, self.now)
        divide = quarters.nearest_free(ends, self.handling, least)
        if self.at is not None:
            divide = ends = np.full_like(mix, self.at)
        states = courses.at(divide + self.handle).states
        rise = courses.rise_at(divide)
        low = rise < process.bulk_rise[0] - LOW
        night = (divide - ends > PER_H) | (low & (divide < ends))
        night &= np.array(self.at is None)
        if fridge is not None and night.any():
            put, up = quarters.last_free(ends, LOOK_MIN), quarters.next_free(ends, LOOK_MIN)
            cold = problem.stands.bulk(dough, fridge)
            spell = int(np.where(night, up - put, 1).clip(1, NIGHT_H * PER_H).max())
            slept = quarters.hold(courses.at(put), cold, put, spell)
            again = quarters.hold(slept.at(up), here, up, NIGHT_H * PER_H)
            later = quarters.nearest_free(up + self.risen(again.rise), self.handling, up)
            divide = np.where(night, later, divide)
            rise = np.where(night, again.rise_at(later), rise)
            states = np.where(night[:, None], again.at(later + self.handle).states, states)
        shaped = replace(dough, states=states).handled(process.shape_keeps)
        return shaped, np.minimum(divide, quarters.steps), rise

    def proof(self, pieces: Mixture, divided: Steps, shaped: Steps) -> DoughLived:
        """The pieces as they are loaded when the plan says."""
        quarters, problem = self.quarters, self.problem
        loads = [quarters.step(at) for at in (self.thread.loads[0], self.thread.loads[-1])]
        first, last = loads
        piece = pieces.scaled(float(problem.piece_g))
        warm_stand = problem.stands.piece(piece, problem.pieces, problem.proof_place)
        warm = quarters.hold(pieces, warm_stand, shaped, int(LONGEST_PROOF_H * PER_H))
        best = self.wanted[1]
        ends = _first(coasted(warm.rise, COAST_PROOF_H), best)
        into = shaped + np.where(ends == 0, 0, self.look(warm, ends))
        ahead = np.maximum(shaped, self.now)
        into = np.minimum(quarters.nearest_free(into, LOOK_MIN, ahead), max(first, 0))
        now = _Loaded.of(warm, first, last)
        if problem.fridge is not None:
            stand = problem.stands.piece(piece, problem.pieces, problem.fridge)
            chilled = quarters.hold(warm.at(into), stand, into, int((last - into).clip(1).max()))
            cold = into < first - 1
            now = now.where(cold, _Loaded.of(chilled, first, last))
            for hours in FINISHED:
                soonest = np.maximum(into, max(first - hours * PER_H, self.now))
                out = quarters.next_free(soonest, LOOK_MIN)
                behind = cold & (out < first) & (now.first < best)
                if not behind.any():
                    continue
                rows = int((last - out).clip(1).max())
                finished = _Loaded.of(
                    quarters.hold(chilled.at(out), warm_stand, out, rows), first, last
                )
                nearer = np.abs(finished.first - best) < np.abs(now.first - best)
                now = now.where(behind & nearer, finished)
        least, _, most = self.wanted
        proofed = (now.first >= least) & (now.first <= most) & (now.last <= most)
        sound, on_time = now.strength >= WEAKEST, shaped <= first + LATE
        return DoughLived(divided, shaped, proofed, sound, on_time, self.cool, now.first, self.took)


@dataclass(frozen=True, eq=False)
class _Loaded:
    """The rise as the first load goes in and the last one, and the strength at the first."""

    first: Floats
    last: Floats
    strength: Floats

    @staticmethod
    def of(courses: OwnCourses, first: int, last: int) -> _Loaded:
        at_first, at_last = (np.full(len(courses.start), each) for each in (first, last))
        strength = courses.at(at_first).states[:, S.STRENGTH]
        return _Loaded(courses.rise_at(at_first), courses.rise_at(at_last), strength)

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


def _first(rows: Floats, level: float) -> Steps:
    """The first row at which each is at a level; the last row where none is."""
    ready = rows >= level
    last = rows.shape[1] - 1
    return np.asarray(np.where(ready.any(axis=1), ready.argmax(axis=1), last))
