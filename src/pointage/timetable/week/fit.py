"""The ways of one wish: when each is ready, what it costs and what it uses, for the choice."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import UTC, datetime, timedelta
from functools import cached_property
from typing import Any

import numpy as np
from numpy.typing import NDArray

from pointage.timetable.calendar import (
    GRID,
    GRID_MIN,
    Calendar,
    floor_to_grid,
)
from pointage.timetable.problem import Problem
from pointage.timetable.shortage import fridge_is_full
from pointage.timetable.solve import (
    EACH_HOUR_LONG,
    OTHER_OVEN,
    first_load,
    length_penalty,
    oven_times,
    way_begins,
)
from pointage.timetable.ways.doughs import (
    LEAST_RETARD_H,
    OFF_RISE,
    Way,
    dough_ways,
    fold_times,
    soaks_before,
)
from pointage.timetable.ways.levains import RipeInHand
from pointage.timetable.ways.weighed import Ending, ManyWays, Spans, minute, span
from pointage.timetable.ways.weighed import WeekWay as WeekWay  # noqa: PLC0414
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
HEATED_ONCE = 0.25  # … that it saves to go into an oven that is hot already (ours)
LONGEST_DOUGH = timedelta(hours=50)  # from a mix to bread that was retarded
ENOUGH = timedelta(hours=12)  # after the first instant at which it can be, the rest is only later

MOST_WAYS, CHEAPEST, LEAST_OF_TIME = 600, 200, 2
"""Of one wish, about so many ways are weighed against those of the others: so many of them because
they are cheap, and so many at the least of each time at which it may be ready, or built, and mixed
about."""
MIXED_ABOUT = timedelta(hours=6)
LOOKED_AT = 256
"""Ways that are looked at together: whether there are enough of their times already."""

Floats = NDArray[np.float64]
Numbers = NDArray[np.intp]


def ways_of_wish(
    wish: WeekWish,
    levains: Mapping[datetime, RipeInHand],
    calendar: Calendar,
    *,
    hot: bool = False,
    later: timedelta = timedelta(),
    done_soaks: tuple[datetime, ...] | None = None,
) -> ManyWays:
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
        return ManyWays.of([])
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
    loaded = None
    if wish.stage is WantedStage.BAKED:
        ovens = problem.in_each_oven
        loaded = (
            min(first_load(each, outs[0][0], each.loads) for each in ovens),
            max(first_load(each, outs[-1][0], 1) for each in ovens),
        )
    ways = dough_ways(search, levains, loaded)
    if done_soaks is not None:
        ways = [replace(way, soaks=done_soaks) for way in ways]
    if wish.stage is not WantedStage.BAKED:
        return _unbaked(wish, ways, outs, calendar, steady)
    stacks = [
        Stack.of(ways, steady, search.handling_minutes(), retarded=retarded)
        for retarded in (False, True)
    ]
    endings: list[Ending] = []
    found: list[list[NDArray[Any]]] = []
    for passed_over, baked in enumerate(problem.in_each_oven):
        for out, price in outs:
            if wish.when is WantedWhen.EARLIEST and endings and out > endings[0].ready + ENOUGH:
                break
            paid = price + passed_over * OTHER_OVEN
            for end, *columns in _baked(baked, calendar, stacks, out, paid, hot=hot):
                endings.append(end)
                found.append(columns)
    if not found:
        return ManyWays.of([])
    dough, penalty, odds = map(np.concatenate, zip(*found, strict=True))
    ending = np.repeat(np.arange(len(endings)), [len(each[0]) for each in found])
    return ManyWays(ways, endings, dough, ending, penalty, odds).weighed()


@dataclass(frozen=True, eq=False)
class NotWeighed:
    """Ways of a wish that are not weighed, by their numbers among all. None of what they are where
    nobody looked for them."""

    ways: ManyWays | None = None
    numbers: tuple[int, ...] = ()

    @cached_property
    def alike(self) -> list[tuple[Numbers, list[WeekWay]]]:
        """Three numbers of each, with a way for every number: which are alike up to the last fold,
        which from there until they are shaped, and which from then on."""
        assert self.ways is not None
        ways, mine = self.ways, np.array(self.numbers, dtype=np.intp)
        dough = ways.dough[mine]
        built = _labels((id(way.levain), way.mix, way.soaks) for way in ways.doughs)
        divided = _labels((way.divide, way.shaped) for way in ways.doughs)
        found = []
        for sort in (built[dough], divided[dough], ways.ending[mine]):
            _, first, number = np.unique(sort, return_index=True, return_inverse=True)
            found.append((number, [ways.one(int(mine[n])) for n in first]))
        return found


def _labels(them: Iterable[object]) -> Numbers:
    """A number for each, the same for those that are the same."""
    known: dict[object, int] = {}
    return np.array([known.setdefault(each, len(known)) for each in them], dtype=np.intp)


def worth_trying(
    ways: ManyWays | Sequence[WeekWay], most: int = MOST_WAYS
) -> tuple[list[WeekWay], NotWeighed]:
    """The cheapest ways and the cheapest for each time; and those left out.

    So that the choice has few enough to weigh, and something at every time.
    """
    ways = ways if isinstance(ways, ManyWays) else ManyWays.of(ways)
    groups, own = np.unique(np.concatenate(ways.times(MIXED_ABOUT)), return_inverse=True)
    ready, built = own[: len(ways)], own[len(ways) :]
    each_time = max(LEAST_OF_TIME, (most - CHEAPEST) // max(len(groups), 1))
    taken = [0] * len(groups)
    found: list[WeekWay] = []
    left_out: list[int] = []
    free: dict[int, Spans | None] = {}
    for start in range(0, len(ways), LOOKED_AT):
        some = np.arange(start, min(start + LOOKED_AT, len(ways)))
        if len(found) >= CHEAPEST:
            full = np.array(taken) >= each_time
            passed = full[ready[some]] & full[built[some]]
            left_out += some[passed].tolist()
            some = some[~passed]
        columns = (each[some].tolist() for each in (ready, built, ways.dough))
        for number, at, by, dough in zip(some.tolist(), *columns, strict=True):
            if len(found) >= CHEAPEST and taken[at] >= each_time and taken[by] >= each_time:
                left_out.append(number)
                continue
            way = ways.one(number)
            if dough not in free:
                free[dough] = way.hands_before()
            if not way.overlaps(free[dough]):
                taken[at] += 1
                taken[by] += 1
                found.append(way)
    return found, NotWeighed(ways, tuple(left_out))


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
    """Ways that proof alike, as columns. numbers: theirs among all. begun: minutes after EPOCH."""

    ways: list[Way]
    numbers: Numbers
    begun: Floats
    shaped: Numbers  # minutes after the first
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
        numbers = [number for number, way in enumerate(ways) if way.retarded is retarded]
        here = [ways[number] for number in numbers]
        since = min((way.shaped for way in here), default=datetime.min.replace(tzinfo=UTC))
        return Stack(
            here,
            np.array(numbers, dtype=np.intp),
            np.array([minute(way_begins(way)) for way in here]),
            np.array([round((way.shaped - since) / span(1)) for way in here], dtype=np.intp),
            np.array([way.rise for way in here]) if here else np.zeros((0, 1)),
            np.array([way.last_fit for way in here], dtype=np.intp),
            np.array([way.penalty for way in here]),
            since,
            retarded,
            steady.doughs(here, handling_min),
        )

    def minutes(self, at: datetime) -> float:
        return (at - self.since) / span(1)

    def waits(self, at: datetime) -> Floats:
        """The penalty of baking each of them at an instant (`Way.wait_penalty`), NaN if unfit."""
        minutes = round(self.minutes(floor_to_grid(at))) - self.shaped
        row = np.rint(minutes / GRID_MIN).astype(np.intp)
        fit = (row >= 0) & (row <= self.last_fit)
        if self.retarded:
            fit &= row * GRID_MIN >= LEAST_RETARD_H * 60
        rise = self.rise[np.arange(len(row)), np.where(fit, row, 0)]
        least, best, most = self.ways[0].wanted
        fit &= (least <= rise) & (rise <= most)
        reach = np.where(rise < best, best - least, most - best)
        off = np.divide(rise - best, reach, out=np.zeros_like(rise), where=reach > 0)
        return np.where(fit, OFF_RISE * off**2, np.nan)


def _baked(
    problem: Problem,
    calendar: Calendar,
    stacks: Sequence[Stack],
    out: datetime,
    price: float,
    *,
    hot: bool,
) -> Iterator[tuple[Ending, Numbers, Floats, Floats]]:
    """The ways to bread out at an instant: their doughs by number, with penalties and odds."""
    for warm in (False, True) if hot else (False,):
        times = oven_times(problem, calendar, out, problem.loads, hot=warm)
        if times is None:
            continue
        preheat, loads = times
        ending = Ending(problem, WantedStage.BAKED, out, loads, preheat, warm)
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
            penalty = price + stack.penalty + waits / len(loads) + UNSTEADY * (1 - odds)
            penalty += EACH_HOUR_LONG * (minute(out) - stack.begun) / 60
            penalty -= HEATED_ONCE * warm
            if stack.retarded and problem.process.retard_rise is None:
                penalty += NOT_FOR_RETARDING
            fit = np.flatnonzero(~np.isnan(waits) & (stack.shaped <= stack.minutes(loads[0])))
            if problem.occupied:
                room = {
                    minutes: not fridge_is_full(
                        problem, stack.since + span(minutes), loads[-1],
                        retarded=stack.retarded,
                    )
                    for minutes in set(stack.shaped[fit].tolist())
                }  # fmt: skip
                fit = np.array([k for k in fit if room[int(stack.shaped[k])]], dtype=np.intp)
            if len(fit):
                yield ending, stack.numbers[fit], penalty[fit], odds[fit]


def _unbaked(
    wish: WeekWish,
    ways: Sequence[Way],
    outs: Sequence[tuple[datetime, float]],
    calendar: Calendar,
    steady: Steadiness,
) -> ManyWays:
    """Ways that end before the oven, one of each levain and instant."""
    prices = dict(outs)
    found: dict[tuple[datetime, datetime], WeekWay] = {}
    process = wish.problem.process
    for way in ways:
        ready = {
            WantedStage.RIPE: way.mix,
            WantedStage.MIXED: way.mix + span(process.mix_minutes),
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
    return ManyWays.of(list(found.values()))


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
        shaped=divide + span(handling),
        retarded=False,
        penalty=levain.penalty,
        wanted=process.proof_rise,
        rise=np.ones(1),
        last_fit=0,
    )
