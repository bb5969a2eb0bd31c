"""How likely a wish is kept: by the clock alone, and by a baker who follows the signs.

Each member of the ensemble is one way the culture may be. By the clock every levain is taken and
every dough worked when the plan says; by the signs, as `baker` has it.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import timedelta

import numpy as np
from numpy.typing import NDArray

from pointage.kitchen.capacity import HANDS
from pointage.mixture.state import S
from pointage.timetable.baker.life import AFTER_H, Baker, Lived
from pointage.timetable.calendar import calendar_of
from pointage.timetable.plan import Thread
from pointage.timetable.problem import Problem
from pointage.timetable.ways.amounts import amounts
from pointage.timetable.ways.bands import Run
from pointage.timetable.ways.doughs import WEAKEST
from pointage.timetable.week.answer import KeptOdds
from pointage.timetable.week.fit import WeekWay
from pointage.timetable.week.question import WantedStage
from pointage.timetable.week.steady import wider

_HOUR = timedelta(hours=1)
MEMBERS = 80
"""So many of the ensemble are lived through: the odds are then off by 4 in 100 (1 sd)."""
SEED = 5

Flags = NDArray[np.bool_]


@dataclass(frozen=True, eq=False)
class FollowedWish:
    """A baker with what she knows of the culture, and what becomes of those it may be."""

    baker: Baker
    lived: Lived


def followed(problem: Problem, stage: WantedStage, thread: Thread) -> FollowedWish:
    """A thread as a baker follows it who believes what the problem does of the culture."""
    calendar = calendar_of(
        problem.kitchen,
        problem.now,
        thread.loads[-1] + AFTER_H * _HOUR,
        problem.occupied_spans(HANDS),
    )
    masses = amounts(problem, thread.feeds).masses
    baker = Baker(problem, stage, thread, masses, calendar)
    traits = wider(problem.traits.some(MEMBERS))
    baker = baker.who_knows(baker.lives(traits))
    return FollowedWish(baker, baker.lives(traits, SEED))


def kept_odds(way: WeekWay, thread: Thread, run: Run) -> KeptOdds:
    """The shares of members by which the wish of a chosen way is kept.

    run: the thread's, with the traits of the ensemble.
    """
    signs = float(np.mean(followed(way.problem, way.stage, thread).lived.kept))
    clock = float(np.mean(by_clock(way.problem, way.stage, thread, run)))
    return KeptOdds(max(signs, clock), clock)


def by_clock(problem: Problem, stage: WantedStage, thread: Thread, run: Run) -> Flags:
    """Which members keep a wish if all is done when the plan says. run: the thread's."""
    kept = np.ones(len(run.bulk.states), dtype=bool)
    for fed in run.feeds[-len(problem.builds) :]:
        kept &= fed.is_ripe
    if stage in (WantedStage.RIPE, WantedStage.MIXED):
        return kept
    process = problem.process
    rise = run.bulk.rise[:, _row(run.bulk.hours, (thread.divide - thread.mix) / _HOUR)]
    kept &= (process.bulk_rise[0] <= rise) & (rise <= process.bulk_rise[2])
    if stage is not WantedStage.BAKED:
        return kept
    wanted = process.retard_rise if thread.retarded else process.proof_rise
    assert wanted is not None
    for load in (thread.loads[0], thread.loads[-1]):
        row = _row(run.proof.hours, (load - thread.shaped) / _HOUR)
        rise = run.proof.rise[:, row]
        kept &= (wanted[0] <= rise) & (rise <= wanted[2])
        kept &= run.proof.states[:, row, S.STRENGTH] >= WEAKEST
    return kept


def _row(hours: NDArray[np.float64], at: float) -> int:
    return int(np.abs(hours - at).argmin())
