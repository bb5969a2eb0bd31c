"""Ways tried out: a few of each sort are lived through, so that the odds of all are about right.

What makes a way steady is its sort: how often its culture is fed before, whether its levain waits
in the fridge, how long before the oven it is mixed and whether it is retarded. Of each of the
likeliest sorts the best way is lived through by a small ensemble, all of them abreast, and what it
keeps beside its quick odds is taken for all of its sort.
"""

from __future__ import annotations

from collections import defaultdict
from datetime import timedelta

import numpy as np

from pointage.kitchen.capacity import HANDS
from pointage.timetable.baker.life import AFTER_H, Baker, Resting, lived_abreast
from pointage.timetable.calendar import calendar_of
from pointage.timetable.ways.amounts import amounts
from pointage.timetable.ways.weighed import ManyWays
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
    in_oven: dict[int, dict[int, Baker]] = defaultdict(dict)
    for n, way in chosen.items():
        thread = way.thread()
        masses = amounts(way.problem, thread.feeds).masses
        baker = Baker(way.problem, way.stage, thread, masses, calendar, resting=resting)
        in_oven[id(way.problem)][n] = baker
    for bakers in in_oven.values():
        for n, life in zip(bakers, lived_abreast(list(bakers.values()), traits), strict=True):
            shares[n] = min(1.2, float(np.mean(life.kept)) / max(chosen[n].odds, 0.05))
    odds = np.minimum(1.0, ways.odds * shares[sorts])
    return ways.weighed(odds, ways.penalty + UNSTEADY * (ways.odds - odds))
