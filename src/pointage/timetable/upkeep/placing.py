"""When the tasks of the cultures are done: each in its window, one pair of hands for all of it.

A task, with what ends it, is a small set of alternatives on the quarter of an hour, in the form in
which the week's bakes are chosen (`week/packing.py`). So both can be chosen together.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from math import ceil, floor

from pointage.kitchen.capacity import HANDS
from pointage.timetable.calendar import GRID, Calendar, ceil_to_grid
from pointage.timetable.choice.alternatives import (
    Alternative,
    CapacityUse,
    InUse,
    Options,
    Packing,
)
from pointage.timetable.choice.proof import MOST_WORK
from pointage.timetable.upkeep.task import CultureTask, PlacedTask
from pointage.timetable.week.packing import pack

EDGE = 2.0  # penalty hours for a task at the edge of its window (ours)
AS_GOOD = timedelta(hours=1)
"""By so much nobody keeps to the hour; it costs nothing (ours)."""
MISSED = 6.0
"""Penalty hours for a task that finds no time in its window (ours): less than any bake given up."""
MOST_TIMES, MOST_ENDS = 40, 6
"""Times of a task that are weighed, the nearest to its best, and of what ends it for each."""
LOOKED_ROUND = timedelta(days=7)
"""So far from its best time the nearest one is looked for, where there is none in the window."""

Group = tuple[CultureTask, ...]
Times = tuple[datetime | None, ...]


@dataclass(frozen=True, eq=False)
class TaskOptions:
    """A task with what ends it, and the times at which they can be; None: not at all."""

    group: Group
    times: tuple[Times, ...]
    options: Options

    @property
    def least(self) -> float:
        """The price of the cheapest."""
        return min([self.options.given_up, *(e.penalty for e in self.options.alternatives)])


@dataclass(frozen=True, eq=False)
class PlacedUpkeep:
    """The tasks with their times, and what these cost. contested: those that would be better off
    without the bakes."""

    tasks: tuple[PlacedTask, ...]
    price: float
    least: float
    contested: tuple[TaskOptions, ...]


def task_options(
    tasks: Sequence[CultureTask], now: datetime, calendar: Calendar
) -> list[TaskOptions]:
    """The tasks as something to choose from. calendar: when hands are free but for the bakes that
    are chosen; minutes count from `now`, as those of the week do."""
    found = []
    for group in _groups(tasks):
        times = list(_times(group, calendar))
        alternatives = tuple(
            Alternative(
                _prices(group, each),
                tuple(
                    _use(task, at, now)
                    for task, at in zip(group, each, strict=True)
                    if at is not None
                ),
            )
            for each in times
        )
        found.append(
            TaskOptions(group, tuple(times), Options(alternatives, MISSED * len(group) + EDGE))
        )
    return found


def place(
    every: Sequence[TaskOptions],
    now: datetime,
    calendar: Calendar,
    hands: Sequence[CapacityUse],
    *,
    work: float = MOST_WORK,
) -> PlacedUpkeep:
    """The tasks around the spells in which hands are at the bakes."""
    if not every:
        return PlacedUpkeep((), 0.0, 0.0, ())
    packing = Packing({HANDS: 1}, tuple(each.options for each in every), _once(hands))
    packed = pack(packing, work=work)
    tasks: list[PlacedTask] = []
    contested = []
    price = 0.0
    taken = [*packing.fixed]
    for each, number in zip(every, packed.chosen, strict=True):
        if number is not None:
            taken += each.options.alternatives[number].uses
    for each, number in zip(every, packed.chosen, strict=True):
        alternative = None if number is None else each.options.alternatives[number]
        times = (None,) * len(each.group) if number is None else each.times[number]
        cost = each.options.given_up if alternative is None else alternative.penalty
        price += cost
        if cost > each.least:
            contested.append(each)
        moved = timedelta() if times[0] is None else times[0] - each.group[0].at
        for task, at in zip(_moved(each.group, moved), times, strict=True):
            nearest = None if at is not None else _nearest(task, now, calendar, taken)
            tasks.append(PlacedTask(task, at, nearest))
    tasks.sort(key=lambda each: each.start or each.task.at)
    return PlacedUpkeep(tuple(tasks), price, sum(each.least for each in every), tuple(contested))


def _groups(tasks: Sequence[CultureTask]) -> list[Group]:
    """Each task with what follows it."""
    found: list[Group] = []
    for task in tasks:
        if task.follows and found and found[-1][0].culture == task.culture:
            found[-1] = (*found[-1], task)
        else:
            found.append((task,))
    return found


def _moved(group: Group, by: timedelta) -> Group:
    """The tasks, what follows the first with its window counted from when that is done."""
    head, *rest = group
    return head, *(
        replace(each, earliest=each.earliest + by, at=each.at + by, latest=each.latest + by)
        for each in rest
    )


def _times(group: Group, calendar: Calendar) -> Iterator[Times]:
    """The times of a task and of what follows it, the best first."""
    head, *rest = group
    for at in _free(head, calendar, timedelta(), MOST_TIMES):
        if not rest:
            yield (at,)
            continue
        (end,) = rest
        ends = [
            each
            for each in _free(end, calendar, at - head.at, MOST_ENDS)
            if each >= at + timedelta(minutes=head.minutes)
        ]
        if not ends:
            yield at, None
        for each in ends:
            yield at, each


def _free(task: CultureTask, calendar: Calendar, moved: timedelta, most: int) -> list[datetime]:
    """Instants of the grid in its window, moved by so much, at which hands are free: the nearest
    to its best first."""
    best = ceil_to_grid(task.at + moved)
    first = max(task.earliest + moved, calendar.first)
    last = max(task.latest + moved, best)
    found: list[datetime] = []
    reach = timedelta()
    while len(found) < most and (best - reach >= first or best + reach <= last):
        for at in dict.fromkeys((best - reach, best + reach)):
            if first <= at <= last and calendar.free(at, task.minutes):
                found.append(at)
        reach += GRID
    return found


def _prices(group: Group, times: Times) -> float:
    """What it costs to do them then; what follows is counted from when the first is done."""
    head, *rest = group
    moved = timedelta() if times[0] is None else times[0] - head.at
    return _price(head, times[0]) + sum(
        MISSED if at is None else _price(task, at - moved)
        for task, at in zip(rest, times[1:], strict=True)
    )


def _price(task: CultureTask, at: datetime | None) -> float:
    """What it costs to do a task at another time than its best."""
    if at is None:
        return MISSED
    off = max(abs(at - task.at) - GRID, timedelta())
    reach = (task.at - task.earliest) if at < task.at else (task.latest - task.at)
    free = min(AS_GOOD, reach / 2)
    if off <= free:
        return 0.0
    return EDGE * min(1.0, (off - free) / max(reach - free, GRID)) ** 2


def _use(task: CultureTask, at: datetime, now: datetime) -> CapacityUse:
    minute = (at - now) / timedelta(minutes=1)
    return CapacityUse(HANDS, floor(minute), ceil(minute + task.minutes))


def _nearest(
    task: CultureTask, now: datetime, calendar: Calendar, taken: Sequence[CapacityUse]
) -> datetime | None:
    """The nearest instant to its window at which hands are free of all else."""
    in_use = InUse({HANDS: 1})
    in_use.add(taken)
    reach = timedelta()
    best = max(ceil_to_grid(task.at), calendar.first)
    while reach <= LOOKED_ROUND:
        for at in (best - reach, best + reach):
            fits = at >= calendar.first and calendar.free(at, task.minutes)
            if fits and in_use.fits(Alternative(0.0, (_use(task, at, now),))):
                return at
        reach += GRID
    return None


def _once(hands: Sequence[CapacityUse]) -> tuple[CapacityUse, ...]:
    """The spells of hands as they are taken once, those that bakes share together; where two
    overlap all the same (bakes that were planned so), as one."""
    found: list[CapacityUse] = []
    for use in sorted(hands, key=lambda each: each.start):
        if found and use.start < found[-1].end:
            last = found[-1]
            found[-1] = CapacityUse(HANDS, last.start, max(last.end, use.end))
        else:
            found.append(CapacityUse(HANDS, use.start, use.end))
    return tuple(found)
