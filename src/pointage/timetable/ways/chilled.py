"""Levains that wait in the fridge: put there shortly before their peak, taken when they are wanted.

Cold all but stops them, so that one is ripe for a day where it was for hours. How far it has come
is read from its acids, which no cooling undoes: it is ripe from where they stand as its rise is
NEAR_PEAK in the warm until where they stand as it falls back.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta

import numpy as np
from numpy.typing import NDArray

from pointage.kitchen.stand import VesselStand
from pointage.mixture.many import CoursesOfMany, hold_several_from, stacked
from pointage.mixture.mixture import Mixture
from pointage.mixture.state import S
from pointage.timetable.calendar import GRID, GRID_MIN
from pointage.timetable.ways.levains import (
    FEED_MINUTES,
    Feeding,
    LevainSearch,
    Recipe,
    RipeInHand,
    Seeds,
    courses_of,
)

Floats = NDArray[np.float64]

LONGEST_CHILL_H = 40.0
COOLING_H, COLD_COUNTS = 3.5, 0.05
"""Hours in the warm that cooling comes to, and of each hour in the cold (ours: a kilogram or less
in a tub, by the engine)."""
WAITS_H = 12.0  # about which a levain waits in the fridge
TURNS = 4
EACH_CHILL = 0.3  # penalty hours for the fridge's trouble (ours)
_HOUR = timedelta(hours=1)


def sourness(states: Floats) -> Floats:
    """mol/kg of acids."""
    return np.asarray(states[..., S.LACTIC] + states[..., S.ACETIC])


def ahead_h(window_h: Floats | float, cold_h: Floats | float) -> Floats:
    """Hours after it is ripe, or before if negative, at which it goes into the fridge.

    So that it is in the middle of its window once it was cold for `cold_h`.
    """
    return np.asarray(np.minimum(0.0, window_h / 2 - COOLING_H - COLD_COUNTS * cold_h))


def chilled_levains(
    search: LevainSearch, built: Iterable[RipeInHand]
) -> Mapping[datetime, RipeInHand]:
    """The best of some ripe levains put into the fridge, at each instant it may be taken."""
    recipe = search.builds[-1].recipe
    best: dict[datetime, RipeInHand] = {}
    for node in built:
        assert node.feeding is not None
        known = best.get(node.feeding.at)
        if known is None or node.penalty < known.penalty:
            best[node.feeding.at] = node
    if recipe.cold is None or not best:
        return {}
    by_share: dict[float, list[RipeInHand]] = defaultdict(list)
    for node in best.values():
        if node.feeding is not None:
            by_share[node.feeding.seed_share].append(node)
    kept = _kept(search, recipe, recipe.cold, dict(sorted(by_share.items())))
    return _at_each(search, sorted(kept, key=lambda each: each.node.penalty))


@dataclass(frozen=True, eq=False)
class _Chilled:
    """A levain put into the fridge. fit: the grid steps after that at which it is ripe."""

    node: RipeInHand
    feed: Feeding
    put: datetime
    courses: CoursesOfMany
    index: int
    fit: NDArray[np.intp]

    @property
    def fed(self) -> set[datetime]:
        return {each.at for each in self.node.feedings()}

    def taken(self, step: int) -> RipeInHand:
        state = self.courses.after(self.index, step * GRID_MIN / 60)
        at, penalty = self.put + step * GRID, self.node.penalty + EACH_CHILL
        return RipeInHand(at, state, penalty, self.feed, self.node.most_g)


def _kept(
    search: LevainSearch,
    recipe: Recipe,
    cold: VesselStand,
    by_share: Mapping[float, Sequence[RipeInHand]],
) -> Iterator[_Chilled]:
    """Levains in the fridge, by their seed share; what is fed and held alike all at once."""
    of_share = [
        [(node, node.feeding) for node in each if node.feeding] for each in by_share.values()
    ]
    seeds = [Seeds.of(search, [feed.before for _, feed in each]) for each in of_share]
    warm = courses_of(search, seeds, recipe, list(by_share))
    put = [list(_put(search, *each)) for each in zip(of_share, warm, strict=True)]
    put = [each for each in put if each]
    if not put:
        return
    every = hold_several_from(
        [stacked([levain.mixture for levain in each]) for each in put],
        cold.place.surroundings,
        [[levain.at for levain in each] for each in put],
        LONGEST_CHILL_H,
        cold.traits(search.traits),
        follow_h=cold.follow.hours,
    )
    for each, courses in zip(put, every, strict=True):
        sour = sourness(courses.states)
        for k, levain in enumerate(each):
            fit = np.flatnonzero((sour[k] >= levain.ripe) & (sour[k] <= levain.past))
            yield _Chilled(levain.node, levain.feed, levain.at, courses, k, fit[fit > 0])


@dataclass(frozen=True, slots=True)
class _Put:
    """A levain as it goes into the fridge, and how sour it is while it is ripe, mol/kg."""

    node: RipeInHand
    feed: Feeding
    at: datetime
    mixture: Mixture
    ripe: float
    past: float


def _put(
    search: LevainSearch, levains: Sequence[tuple[RipeInHand, Feeding]], warm: CoursesOfMany
) -> Iterator[_Put]:
    """Levains of one seed share as they go into the fridge, where hands are free for that.

    warm: the course of each in the warm.
    """
    for i, (node, feed) in enumerate(levains):
        window_h = (feed.ripe_until - feed.ripe_from) / _HOUR
        at = _free(search, feed, feed.ripe_from + _HOUR * float(ahead_h(window_h, WAITS_H)))
        if at is None:
            continue
        rows = [round((x - feed.at) / GRID) for x in (feed.ripe_from, feed.ripe_until)]
        ripe, past = (sourness(warm.states[i, min(r, len(warm.hours) - 1)]) for r in rows)
        mixture = warm.after(i, (at - feed.at) / _HOUR)
        yield _Put(node, replace(feed, chilled=at), at, mixture, float(ripe), float(past))


def _at_each(search: LevainSearch, kept: Sequence[_Chilled]) -> dict[datetime, RipeInHand]:
    """The best at each instant, by turns of those that are built, or fed, at other times.

    So that hands which are taken at one time have a way at another.
    """
    found: dict[datetime, RipeInHand] = {}
    first, free = search.calendar.first, search.calendar.free_on_grid(FEED_MINUTES).copy()
    built: list[set[datetime]] = [set()]  # of each turn, when nothing is built
    fed: list[set[datetime]] = [set()]  # … and nothing fed
    for each in kept:
        if each.feed.at not in built[-1] and not each.fed & fed[-1] and len(built) < TURNS:
            built.append(built[-1] | {each.feed.at})
            fed.append(set() if len(built) < TURNS - 1 else fed[-1] | each.fed | built[-1])
    for each in kept:
        turns = [
            each.feed.at not in others and not each.fed & those
            for others, those in zip(built, fed, strict=True)
        ]
        slots = (each.put - first) // GRID + each.fit
        inside = slots < len(free)
        steps, slots = each.fit[inside], slots[inside]
        taken = free[slots] & np.array(turns)[slots % len(built)]
        for step in steps[taken].tolist():
            found[each.put + step * GRID] = each.taken(step)
        free[slots[taken]] = False
    return found


def _free(search: LevainSearch, feed: Feeding, at: datetime) -> datetime | None:
    """The grid instant at or next before one at which hands are free, after the feed."""
    steps = int((at - search.calendar.first) / GRID)
    found = search.calendar.first + steps * GRID
    if found <= feed.at or not search.calendar.free(found, FEED_MINUTES):
        return None
    return found
