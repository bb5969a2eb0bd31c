"""The ways of one wish: when each is ready, what it costs and what it uses, for the choice."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import UTC, datetime, timedelta
from itertools import pairwise
from math import inf

import numpy as np
from numpy.typing import NDArray

from pointage.timetable.calendar import (
    GRID,
    GRID_MIN,
    Calendar,
    floor_to_grid,
)
from pointage.timetable.plan import Feed, Thread
from pointage.timetable.problem import Problem
from pointage.timetable.shortage import fridge_is_full
from pointage.timetable.solve import (
    LIGHT_MINUTES,
    OTHER_OVEN,
    length_penalty,
    oven_times,
)
from pointage.timetable.ways.doughs import (
    LEAST_RETARD_H,
    OFF_RISE,
    SOAK_MINUTES,
    Way,
    dough_ways,
    fold_times,
    hands_on,
    soaks_before,
)
from pointage.timetable.ways.levains import FEED_MINUTES, RipeInHand
from pointage.timetable.week.question import (
    LATE,
    WantedStage,
    WantedWhen,
    WeekWish,
)
from pointage.timetable.week.steady import UNSTEADY, Doughs, Steadiness

EACH_EARLY_HOUR = 1.0  # as of one bake
EACH_LATE_HOUR = 3.0  # … after its time, of a wish that is not firm (ours)
EACH_WAITED_HOUR = 0.5  # … of a wish for as early as can be (ours)
NOT_FOR_RETARDING = 1.0  # … of pieces in the cold that the formula has in the warm (ours)
LONGEST_DOUGH = timedelta(hours=50)  # from a mix to bread that was retarded
ENOUGH = timedelta(hours=12)  # after the first instant at which it can be, the rest is only later

MOST_WAYS, CHEAPEST, LEAST_OF_TIME = 600, 200, 2
"""Of one wish, about so many ways are weighed against those of the others: so many of them because
they are cheap, and so many at the least of each time at which it may be ready, or built, and mixed
about."""
MIXED_ABOUT = timedelta(hours=6)

Floats = NDArray[np.float64]
Numbers = NDArray[np.intp]


@dataclass(frozen=True, eq=False)
class WeekWay:
    """One way of one wish. hot: it goes into an oven that another bake has left hot.

    odds: about, that it is kept by who follows the signs, which are in its penalty. ready: when
    what is wanted is there. problem: in the oven that was taken.
    """

    problem: Problem
    stage: WantedStage
    way: Way
    ready: datetime
    penalty: float
    loads: tuple[datetime, ...] = ()
    preheat: datetime | None = None
    hot: bool = False
    odds: float = 1.0

    def with_odds(self, odds: float, penalty: float) -> WeekWay:
        """The same at other odds. Quicker than `replace`, for tens of thousands."""
        return WeekWay(
            self.problem, self.stage, self.way, self.ready, penalty, self.loads, self.preheat,
            hot=self.hot, odds=odds,
        )  # fmt: skip

    @property
    def begins(self) -> datetime:
        return min([*self._soaks, self.way.levain.feedings()[0].at])

    @property
    def _soaks(self) -> tuple[datetime, ...]:
        return () if self.stage is WantedStage.RIPE else self.way.soaks

    def hands(self) -> list[tuple[datetime, datetime]]:
        """When hands are at it, but for the waking feeds of its culture."""
        process, way, stage = self.problem.process, self.way, self.stage
        builds = way.levain.feedings()[-len(self.problem.builds) :]
        found = [(each.at, each.at + _minutes(FEED_MINUTES)) for each in builds]
        found += [(at, at + _minutes(SOAK_MINUTES)) for at in self._soaks]
        mix, *folds, divide, shape = hands_on(process, way)
        if stage is not WantedStage.RIPE:
            found.append(mix)
        if stage not in (WantedStage.RIPE, WantedStage.MIXED):
            found += folds
        if stage in (WantedStage.SHAPED, WantedStage.BAKED):
            found += [divide, shape]
        if stage is WantedStage.BAKED:
            if not self.hot and self.preheat is not None:
                found.append((self.preheat, self.preheat + _minutes(LIGHT_MINUTES)))
            each = _minutes(process.load_minutes + self.problem.bake_minutes)
            found += [(load, load + each) for load in self.loads]
        return found

    def waking(self) -> list[tuple[datetime, datetime]]:
        """When its culture is woken."""
        feeds = self.way.levain.feedings()[: -len(self.problem.builds)]
        return [(each.at, each.at + _minutes(FEED_MINUTES)) for each in feeds]

    def overlaps_itself(self) -> bool:
        spans = sorted([*self.hands(), *self.waking()])
        return any(a[1] > b[0] for a, b in pairwise(spans))

    def thread(self) -> Thread:
        """What was chosen; beyond the stage that is wanted, what would come next."""
        way, process = self.way, self.problem.process
        loads = self.loads or (way.shaped + timedelta(hours=LEAST_RETARD_H),)
        preheat = loads[0] if self.hot or self.preheat is None else self.preheat
        return Thread(
            feeds=tuple(
                Feed(each.at, each.seed_share, each.chilled) for each in way.levain.feedings()
            ),
            soaks=way.soaks,
            mix=way.mix,
            divide=way.divide,
            shaped=way.shaped,
            retarded=way.retarded,
            preheat=preheat,
            loads=loads,
            oven=self.problem.oven.name if process else "",
        )


def _minutes(minutes: float) -> timedelta:
    return timedelta(minutes=minutes)


def ways_of_wish(
    wish: WeekWish,
    levains: Mapping[datetime, RipeInHand],
    calendar: Calendar,
    *,
    hot: bool = False,
    later: timedelta = timedelta(),
    done_soaks: tuple[datetime, ...] | None = None,
) -> list[WeekWay]:
    """Every way of a wish, the cheapest first. hot: also with the oven left hot by another bake.

    later: by so much it may be later than wanted, at no price. done_soaks: when its soakers were
    put to soak, or are to be, of a bake under way.
    """
    if later:
        wish = replace(
            wish,
            problem=replace(wish.problem, ready=wish.last + later),
            when=WantedWhen.EARLIEST,
            since=wish.last,
        )
    outs = list(_times(wish))
    if not outs:
        return []
    earliest, latest = outs[0][0] - LONGEST_DOUGH, outs[-1][0]
    levains = {at: each for at, each in levains.items() if earliest <= at <= latest}
    problem = wish.problem
    # In the fridge any dough may wait, be it for retarding or not.
    search = replace(problem.dough_search(calendar), retard_place=problem.fridge)
    steady = Steadiness(calendar, len(problem.builds), problem.fridge is not None)
    if done_soaks is not None:
        search = replace(search, soaks=())
    if wish.stage in (WantedStage.RIPE, WantedStage.MIXED):
        mixed = wish.stage is WantedStage.MIXED
        stubs = [
            _stub(problem, each, soaks)
            for each in levains.values()
            if (soaks := soaks_before(search, each) if mixed else ()) is not None
        ]
        return _unbaked(wish, stubs, outs, calendar, steady)
    ways = dough_ways(search, levains)
    if done_soaks is not None:
        ways = [replace(way, soaks=done_soaks) for way in ways]
    if wish.stage is not WantedStage.BAKED:
        return _unbaked(wish, ways, outs, calendar, steady)
    found: list[WeekWay] = []
    for passed_over, baked in enumerate(problem.in_each_oven):
        stacks = [
            Stack.of(ways, steady, search.handling_minutes(), retarded=retarded)
            for retarded in (False, True)
        ]
        for out, price in outs:
            if wish.when is WantedWhen.EARLIEST and found and out > found[0].ready + ENOUGH:
                break
            paid = price + passed_over * OTHER_OVEN
            found += _baked(baked, calendar, stacks, out, paid, hot=hot)
    return sorted(found, key=lambda each: each.penalty)


def worth_trying(ways: Sequence[WeekWay], most: int = MOST_WAYS) -> tuple[list[WeekWay], float]:
    """The cheapest ways and the cheapest for each time; the least penalty of those left out.

    So that the choice has few enough to weigh, and something at every time.
    """

    def groups_of(way: WeekWay) -> tuple[object, object]:
        mixed = (way.ready - way.way.mix) // MIXED_ABOUT
        return (way.ready, way.hot, mixed), (way.way.levain.feedings()[-1].at, way.hot, mixed)

    groups = {group for way in ways for group in groups_of(way)}
    each_time = max(LEAST_OF_TIME, (most - CHEAPEST) // max(len(groups), 1))
    taken: Counter[object] = Counter()
    found: list[WeekWay] = []
    left_out = inf
    for way in ways:
        groups_in = groups_of(way)
        if len(found) >= CHEAPEST and all(taken[group] >= each_time for group in groups_in):
            left_out = min(left_out, way.penalty)
        elif not way.overlaps_itself():
            taken.update(groups_in)
            found.append(way)
    return found, left_out


def _times(wish: WeekWish) -> Iterator[tuple[datetime, float]]:
    """Instants of the grid at which it may be ready, with the price of each, in order."""
    last = wish.last if wish.firm else wish.last + LATE
    at = floor_to_grid(wish.first) + (GRID if floor_to_grid(wish.first) < wish.first else GRID * 0)
    while at <= last:
        price = 0.0
        if at > wish.last:
            price = EACH_LATE_HOUR * _hours(wish.last, at)
        elif wish.when is WantedWhen.READY:
            price = EACH_EARLY_HOUR * _hours(at, wish.last)
        elif wish.when is WantedWhen.EARLIEST:
            price = EACH_WAITED_HOUR * _hours(wish.first, at)
        yield at, price
        at += GRID


def _hours(start: datetime, end: datetime) -> float:
    return (end - start) / timedelta(hours=1)


@dataclass(frozen=True, eq=False)
class Stack:
    """Ways that proof alike, as columns."""

    ways: list[Way]
    shaped: Numbers  # grid steps after the first
    rise: Floats
    last_fit: Numbers
    penalty: Floats
    since: datetime
    retarded: bool
    doughs: Doughs

    @staticmethod
    def of(
        ways: Sequence[Way], steady: Steadiness, handling_min: float, *, retarded: bool
    ) -> Stack:
        here = [way for way in ways if way.retarded is retarded]
        since = min((way.shaped for way in here), default=datetime.min.replace(tzinfo=UTC))
        return Stack(
            here,
            np.array([round((way.shaped - since) / _minutes(1)) for way in here], dtype=np.intp),
            np.array([way.rise for way in here]) if here else np.zeros((0, 1)),
            np.array([way.last_fit for way in here], dtype=np.intp),
            np.array([way.penalty for way in here]),
            since,
            retarded,
            steady.doughs(here, handling_min),
        )

    def waits(self, at: datetime) -> Floats:
        """The penalty of baking each of them at an instant (`Way.wait_penalty`), NaN if unfit."""
        minutes = round((floor_to_grid(at) - self.since) / _minutes(1)) - self.shaped
        row = np.rint(minutes / GRID_MIN).astype(np.intp)
        fit = (row >= 0) & (row <= self.last_fit)
        if self.retarded:
            fit &= row * GRID_MIN >= LEAST_RETARD_H * 60
        rise = self.rise[np.arange(len(row)), np.where(fit, row, 0)]
        least, best, most = self.ways[0].wanted
        fit &= (least <= rise) & (rise <= most)
        span = np.where(rise < best, best - least, most - best)
        off = np.divide(rise - best, span, out=np.zeros_like(rise), where=span > 0)
        return np.where(fit, OFF_RISE * off**2, np.nan)


def _baked(
    problem: Problem,
    calendar: Calendar,
    stacks: Sequence[Stack],
    out: datetime,
    price: float,
    *,
    hot: bool,
) -> Iterator[WeekWay]:
    for warm in (False, True) if hot else (False,):
        times = oven_times(problem, calendar, out, problem.loads, hot=warm)
        if times is None:
            continue
        preheat, loads = times
        for stack in stacks:
            if not stack.ways:
                continue
            # With nothing else in the fridge it is as full at any time.
            full = not problem.occupied and fridge_is_full(
                problem, loads[0], loads[-1], retarded=stack.retarded
            )
            if full:
                continue
            waits = sum((stack.waits(load) for load in loads), np.zeros(len(stack.ways)))
            odds = stack.doughs.odds(loads[0], loads[-1])
            for k in np.flatnonzero(~np.isnan(waits)):
                way = stack.ways[k]
                if loads[0] < way.shaped:
                    continue
                if problem.occupied and fridge_is_full(
                    problem, way.shaped, loads[-1], retarded=way.retarded
                ):
                    continue
                penalty = price + way.penalty + float(waits[k]) / len(loads)
                penalty += length_penalty(way, out)
                penalty += UNSTEADY * (1 - float(odds[k]))
                if way.retarded and problem.process.retard_rise is None:
                    penalty += NOT_FOR_RETARDING
                yield WeekWay(
                    problem, WantedStage.BAKED, way, out, penalty, loads, preheat,
                    hot=warm, odds=float(odds[k]),
                )  # fmt: skip


def _unbaked(
    wish: WeekWish,
    ways: Sequence[Way],
    outs: Sequence[tuple[datetime, float]],
    calendar: Calendar,
    steady: Steadiness,
) -> list[WeekWay]:
    """Ways that end before the oven, one of each levain and instant."""
    prices = dict(outs)
    found: dict[tuple[datetime, datetime], WeekWay] = {}
    process = wish.problem.process
    for way in ways:
        ready = {
            WantedStage.RIPE: way.mix,
            WantedStage.MIXED: way.mix + _minutes(process.mix_minutes),
            WantedStage.BULK: way.divide,
            WantedStage.SHAPED: way.shaped,
        }[wish.stage]
        price = prices.get(ceil_of(ready))
        if price is None or (
            wish.stage is WantedStage.MIXED and not calendar.free(way.mix, process.mix_minutes)
        ):
            continue
        penalty = price + way.penalty + length_penalty(way, ready)
        odds = steady.levain(way.levain)
        penalty += UNSTEADY * (1 - odds)
        made = WeekWay(wish.problem, wish.stage, way, ready, penalty, odds=odds)
        known = found.get((way.mix, way.divide))
        if known is None or penalty < known.penalty:
            found[way.mix, way.divide] = made
    return sorted(found.values(), key=lambda each: each.penalty)


def ceil_of(instant: datetime) -> datetime:
    """The instant of the grid by which something is ready."""
    floor_ = floor_to_grid(instant)
    return floor_ if floor_ == instant else floor_ + GRID


def _stub(problem: Problem, levain: RipeInHand, soaks: tuple[datetime, ...]) -> Way:
    """A levain in hand as a way that has hardly begun: the rest in round hours, for its courses."""
    process = problem.process
    folds = fold_times(process, levain.at)
    divide = max([levain.at + timedelta(hours=3), *(at + GRID for at in folds)])
    handling = process.divide_minutes + process.bench_rest_minutes + process.shape_minutes
    return Way(
        levain=levain,
        mix=levain.at,
        soaks=soaks or tuple(levain.at - GRID for _ in problem.formula.soakers),
        divide=divide,
        shaped=divide + _minutes(handling),
        retarded=False,
        penalty=levain.penalty,
        wanted=process.proof_rise,
        rise=np.ones(1),
        last_fit=0,
    )
