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
from pointage.timetable.week.question import UnderWay, WantedStage
from pointage.timetable.week.steady import wider

_HOUR = timedelta(hours=1)
MEMBERS = 80
"""So many of the ensemble are lived through: the odds are then off by 4 in 100 (1 sd)."""
SEED = 5
FEWEST = 10
"""Of so many at the least are odds taken (ours)."""

Flags = NDArray[np.bool_]


@dataclass(frozen=True, eq=False)
class FollowedWish:
    """A baker with what she knows of the culture, and what becomes of those it may be.

    watched: had she never taken her eyes off them.
    """

    baker: Baker
    lived: Lived
    watched: Lived


def followed(
    problem: Problem, stage: WantedStage, thread: Thread, so_far: UnderWay | None = None
) -> FollowedWish:
    """A thread as a baker follows it who believes what the problem does of the culture.

    so_far: what of it was done by the `now` of the problem, at the instants of the thread.
    """
    calendar = calendar_of(
        problem.kitchen,
        problem.now,
        thread.loads[-1] + AFTER_H * _HOUR,
        problem.occupied_spans(HANDS),
    )
    masses = amounts(problem, thread.feeds).masses
    begun = so_far if so_far is not None and so_far.begun else None
    baker = Baker(problem, stage, thread, masses, calendar, so_far=begun)
    traits = wider(problem.traits.some(MEMBERS))
    watched = baker.lives(traits)
    baker = baker.who_knows(watched)
    return FollowedWish(baker, baker.lives(traits, SEED), watched)


def odds_on(problem: Problem, stage: WantedStage, thread: Thread, so_far: UnderWay) -> float:
    """How likely a wish is kept by who goes on by the signs from the `now` of a problem on.

    A levain that was used was ripe, as far as anyone can say: those that would not have been do not
    count. so_far: as of `followed`.
    """
    lived = followed(problem, stage, thread, so_far).lived
    builds = len(problem.builds)
    taken = len(thread.feeds) if so_far.mixed else max(0, so_far.feeds - 1)
    used = lived.ripe[: max(0, taken - (len(thread.feeds) - builds))]
    fit = np.logical_and.reduce([np.ones(len(lived.kept), dtype=bool), *used])
    kept = lived.kept[fit] if fit.sum() >= FEWEST else lived.kept
    return float(np.mean(kept))


def kept_odds(wish: FollowedWish, run: Run) -> KeptOdds:
    """The shares of members by which a wish is kept. run: its thread's, with the ensemble."""
    baker = wish.baker
    signs, watched = (float(np.mean(each.kept)) for each in (wish.lived, wish.watched))
    clock = float(np.mean(by_clock(baker.problem, baker.stage, baker.thread, run)))
    return KeptOdds(max(signs, clock), clock, max(signs, clock, watched))


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
    wanted = process.rise_to_load(retarded=thread.retarded)
    for load in (thread.loads[0], thread.loads[-1]):
        row = _row(run.proof.hours, (load - thread.shaped) / _HOUR)
        rise = run.proof.rise[:, row]
        kept &= (wanted[0] <= rise) & (rise <= wanted[2])
        kept &= run.proof.states[:, row, S.STRENGTH] >= WEAKEST
    return kept


def _row(hours: NDArray[np.float64], at: float) -> int:
    return int(np.abs(hours - at).argmin())
