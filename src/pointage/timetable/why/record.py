"""A bake as it was done, and what each thing that strayed from its plan did to it.

The engine runs the bake as it was recorded, and again with one thing as it was meant. By how much
the rise then differs is what that one thing did.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from pointage.mixture.course import Course
from pointage.mixture.hold import STEP_MIN, hold
from pointage.mixture.mixture import Mixture
from pointage.mixture.state import S
from pointage.mixture.temperature.surroundings import Surroundings
from pointage.timetable.plan import Thread
from pointage.timetable.problem import Problem
from pointage.timetable.ways.amounts import amounts
from pointage.timetable.ways.bands import Run, run_thread

HOUR = timedelta(hours=1)
FIRST_HOURS = np.linspace(0.0, 3.0, 7)


@dataclass(frozen=True, eq=False)
class BakeAsDone:
    """What is known of a bake that is done; None for what was not recorded.

    planned, done: its thread as planned, and with the times at which it was done. dough_c: after
    the mix. room_c: of the air during the bulk. divided_rise, loaded_rise: read last before it was
    divided and loaded, over the volume just after mixing. levain_fallen, levain_ripe: seen before
    the mix. oven_c, minutes, core_c, steam: as recorded.
    """

    problem: Problem
    planned: Thread
    done: Thread
    dough_c: float | None = None
    room_c: float | None = None
    divided_rise: float | None = None
    loaded_rise: float | None = None
    levain_fallen: bool = False
    levain_ripe: bool = False
    oven_c: float | None = None
    minutes: float | None = None
    core_c: float | None = None
    steam: bool | None = None

    @cached_property
    def as_planned(self) -> Run:
        """Its courses as they were meant, by the likeliest traits."""
        return self._run(self.planned)

    @cached_property
    def as_done(self) -> Run:
        """Its courses with feeds and mix at the times at which they were done."""
        return self._run(self.done)

    def _run(self, thread: Thread) -> Run:
        masses = amounts(self.problem, thread.feeds).masses
        return run_thread(self.problem, thread, self.problem.likeliest, masses)

    @property
    def wanted_c(self) -> float:
        """The dough temperature that the formula wants, °C."""
        return self.problem.process.dough_temperature.celsius

    @property
    def place_c(self) -> float:
        """What the bulk's place was taken to have at first, °C."""
        return _mean(self.problem.bulk_place.surroundings, self.done.mix)

    @cached_property
    def risen(self) -> float:
        """The rise at the dividing that the engine finds for the bake as recorded."""
        return self.rise_with()

    def rise_with(
        self,
        *,
        dough_c: float | None = None,
        bulk: timedelta | None = None,
        room_c: float | None = None,
        levain: Mixture | None = None,
    ) -> float:
        """The rise at the dividing with one thing otherwise than recorded: the dough's °C after the
        mix, the length of the bulk, the °C of its place, or the levain that went in."""
        course = self.bulk(dough_c, bulk, room_c, levain)
        return float(np.median(course.rise[:, -1]))

    def bulk(
        self,
        dough_c: float | None = None,
        bulk: timedelta | None = None,
        room_c: float | None = None,
        levain: Mixture | None = None,
    ) -> Course:
        """The dough's course from its mix on, for the length of the bulk."""
        problem, mix = self.problem, self.done.mix
        dough = problem.dough(levain or self.levain, problem.room_c(mix)).mixture
        warm = dough_c if dough_c is not None else self.dough_c
        if warm is not None:
            dough = replace(dough, states=dough.states.copy())
            dough.states[:, S.TEMPERATURE] = warm
        here = problem.stands.bulk(dough, problem.bulk_place)
        around: Surroundings = problem.bulk_place.surroundings
        air = room_c if room_c is not None else self.room_c
        if air is not None:
            around = _Shifted(around, air - self.place_c)
        hours = (bulk or self.done.divide - mix) / HOUR
        traits = here.traits(problem.likeliest)
        return hold(
            dough, around, mix, max(hours, STEP_MIN / 60), traits, follow_h=here.follow.hours
        )

    @property
    def levain(self) -> Mixture:
        """The levain as it went into the dough."""
        return _taken(self.as_done)

    @property
    def meant_levain(self) -> Mixture:
        """The levain as it should have been when the plan took from it."""
        return _taken(self.as_planned)

    @property
    def levain_early_h(self) -> float:
        """Hours from the mix to the start of the levain's ripe window; below 0 in or after it."""
        return self._ripe_h[0] - self._age_h

    @property
    def levain_late_h(self) -> float:
        """Hours from the end of the levain's ripe window to the mix; below 0 in or before it."""
        return self._age_h - self._ripe_h[1]

    @property
    def _age_h(self) -> float:
        last = self.as_done.feeds[-1]
        return (last.taken - last.at) / HOUR

    @cached_property
    def _ripe_h(self) -> tuple[float, float]:
        ripe_from, ripe_until = (
            float(np.median(each)) for each in self.as_done.feeds[-1].course.ripe()
        )
        end = float(self.as_done.feeds[-1].course.hours[-1])
        return (
            end if np.isnan(ripe_from) else ripe_from,
            end if np.isnan(ripe_until) else ripe_until,
        )

    @cached_property
    def loaded(self) -> float:
        """The rise at which the first load went in, by the engine from the bulk as recorded."""
        return self.loaded_with(self.done.loads[0] - self.done.shaped)

    def loaded_with(self, proof: timedelta) -> float:
        """The same after another length of the proof or the retard."""
        return float(np.median(self.proof(proof).rise[:, -1]))

    def proof(self, lasts: timedelta, warmer_k: float = 0.0) -> Course:
        """The course of the shaped pieces in the proof or the retard, `warmer_k` warmer than its
        place was taken to be."""
        problem, retarded = self.problem, self.done.retarded
        place = problem.last_place(retarded=retarded)
        shaped = self.bulk(bulk=self.done.shaped - self.done.mix).final
        shaped = shaped.handled(problem.process.shape_keeps)
        stand = problem.stands.piece(shaped.scaled(float(problem.piece_g)), problem.pieces, place)
        around: Surroundings = place.surroundings
        if warmer_k:
            around = _Shifted(around, warmer_k)
        return hold(
            shaped, around, self.done.shaped, max(lasts / HOUR, STEP_MIN / 60),
            stand.traits(problem.likeliest), follow_h=stand.follow.hours,
        )  # fmt: skip


@dataclass(frozen=True)
class _Shifted:
    """Surroundings by so many kelvin warmer."""

    around: Surroundings
    kelvin: float

    def temperatures(self, start: datetime, hours: NDArray[np.float64]) -> NDArray[np.float64]:
        return self.around.temperatures(start, hours) + self.kelvin


def _mean(around: Surroundings, start: datetime) -> float:
    return float(around.temperatures(start, FIRST_HOURS).mean())


def _taken(run: Run) -> Mixture:
    last = run.feeds[-1]
    return last.course.after((last.taken - last.at) / HOUR)
