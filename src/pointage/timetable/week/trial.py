"""Ways tried out: a few of each sort are lived through, so that the odds of all are about right.

What makes a way steady is its sort: how often its culture is fed before, whether its levain waits
in the fridge, how long before the oven it is mixed and whether it is retarded. Of each of the
likeliest sorts the best way is lived through by a small ensemble, and what it keeps beside its
quick odds is taken for all of its sort.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime, timedelta

import numpy as np

from pointage.kitchen.capacity import HANDS
from pointage.mixture.traits import Traits
from pointage.timetable.baker.life import AFTER_H, Baker, Resting
from pointage.timetable.calendar import calendar_of
from pointage.timetable.problem import Problem
from pointage.timetable.ways.amounts import amounts
from pointage.timetable.week.fit import WeekWay
from pointage.timetable.week.question import WantedStage
from pointage.timetable.week.steady import UNSTEADY, wider

SORTS = 12
"""So many sorts of a wish's ways are tried."""
MEMBERS = 32
UNTRIED = 0.6  # what is kept of the quick odds of the other sorts
MIXED_ABOUT = timedelta(hours=3)


def tried(ways: Sequence[WeekWay]) -> list[WeekWay]:
    """The same ways of a wish, the cheapest first, by what trials say of their odds."""
    if not ways or ways[0].stage is WantedStage.RIPE:
        return list(ways)
    best: dict[object, WeekWay] = {}
    sorts = [_sort(way) for way in ways]
    for way, sort in zip(ways, sorts, strict=True):
        best.setdefault(sort, way)
    chosen = dict(list(best.items())[:SORTS])
    lasts = max(way.ready for way in chosen.values())
    problem = ways[0].problem
    traits = wider(problem.traits.some(MEMBERS))
    starts = [way.way.levain.feedings()[0].at for way in chosen.values()]
    resting = Resting.of(problem, traits, max(starts))
    kept = {sort: _kept(way, lasts, traits, resting) for sort, way in chosen.items()}
    shares = {sort: min(1.2, kept[sort] / max(way.odds, 0.05)) for sort, way in chosen.items()}
    found = []
    for way, sort in zip(ways, sorts, strict=True):
        odds = min(1.0, way.odds * shares.get(sort, UNTRIED))
        penalty = way.penalty + UNSTEADY * (way.odds - odds)
        found.append(way.with_odds(odds, penalty))
    return sorted(found, key=lambda each: each.penalty)


def _sort(way: WeekWay) -> object:
    feeds = way.way.levain.feedings()
    before = (way.ready - way.way.mix) // MIXED_ABOUT
    return len(feeds), feeds[-1].chilled is not None, before, way.way.retarded, way.hot


def _kept(way: WeekWay, last: datetime, traits: Traits, resting: Resting) -> float:
    """The share of a small ensemble by which a way is kept."""
    problem: Problem = way.problem
    calendar = calendar_of(
        problem.kitchen,
        problem.now,
        last + timedelta(hours=AFTER_H),
        problem.occupied_spans(HANDS),
    )
    thread = way.thread()
    masses = amounts(problem, thread.feeds).masses
    baker = Baker(problem, way.stage, thread, masses, calendar, resting=resting)
    return float(np.mean(baker.lives(traits).kept))
