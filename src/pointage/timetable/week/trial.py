"""Ways tried out: a few of each sort are lived through, so that the odds of all are about right.

What makes a way steady is its sort: how often its culture is fed before, whether its levain waits
in the fridge, how long before the oven it is mixed and whether it is retarded. Of each of the
likeliest sorts the best way is lived through by a small ensemble, and what it keeps beside its
quick odds is taken for all of its sort.
"""

from __future__ import annotations

from datetime import timedelta

import numpy as np

from pointage.kitchen.capacity import HANDS
from pointage.mixture.traits import Traits
from pointage.timetable.baker.life import AFTER_H, Baker, Resting
from pointage.timetable.calendar import Calendar, calendar_of
from pointage.timetable.problem import Problem
from pointage.timetable.ways.amounts import amounts
from pointage.timetable.ways.weighed import ManyWays, WeekWay
from pointage.timetable.week.question import WantedStage
from pointage.timetable.week.steady import UNSTEADY, wider

SORTS = 12
"""So many sorts of a wish's ways are tried."""
MEMBERS = 32
UNTRIED = 0.6  # what is kept of the quick odds of the other sorts
MIXED_ABOUT = timedelta(hours=3)


def tried(ways: ManyWays) -> ManyWays:
    """The same ways of a wish, the cheapest first, by what trials say of their odds."""
    if not len(ways) or ways.endings[0].stage is WantedStage.RIPE:
        return ways
    _, firsts, sorts = np.unique(ways.sorts(MIXED_ABOUT), return_index=True, return_inverse=True)
    chosen = {int(n): ways.one(firsts[n]) for n in np.argsort(firsts)[:SORTS]}
    lasts = max(way.ready for way in chosen.values())
    problem = ways.endings[0].problem
    traits = wider(problem.traits.some(MEMBERS))
    starts = [way.way.levain.feedings()[0].at for way in chosen.values()]
    resting = Resting.of(problem, traits, max(starts))
    calendar = calendar_of(
        problem.kitchen,
        problem.now,
        lasts + timedelta(hours=AFTER_H),
        problem.occupied_spans(HANDS),
    )
    shares = np.full(len(firsts), UNTRIED)
    for n, way in chosen.items():
        kept = _kept(way, calendar, traits, resting)
        shares[n] = min(1.2, kept / max(way.odds, 0.05))
    odds = np.minimum(1.0, ways.odds * shares[sorts])
    return ways.weighed(odds, ways.penalty + UNSTEADY * (ways.odds - odds))


def _kept(way: WeekWay, calendar: Calendar, traits: Traits, resting: Resting) -> float:
    """The share of a small ensemble by which a way is kept."""
    problem: Problem = way.problem
    thread = way.thread()
    masses = amounts(problem, thread.feeds).masses
    baker = Baker(problem, way.stage, thread, masses, calendar, resting=resting)
    return float(np.mean(baker.lives(traits).kept))
