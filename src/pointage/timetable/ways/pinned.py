"""The ways of a wish of which a step is wanted at a time: how far off each of them has it."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime, timedelta

import numpy as np
from numpy.typing import NDArray

from pointage.formula.formula import Process
from pointage.timetable.pin import Pin
from pointage.timetable.plan import StepKind, Thread
from pointage.timetable.ways.levains import RipeInHand
from pointage.timetable.ways.weighed import Ending, ManyWays

AT_OVEN = (StepKind.PREHEAT, StepKind.BAKE)
FEEDS = (StepKind.FEED, StepKind.BUILD)


def hours_off(pin: Pin, ways: ManyWays) -> NDArray[np.float64]:
    """Of each way, how many hours it has the step from the time that is wanted."""
    if not len(ways):
        return np.zeros(0)
    if pin.kind in AT_OVEN:
        ends = np.array([pin.off_h(_at_oven(pin, end)) for end in ways.endings])
        return np.asarray(ends[ways.ending])
    problem = ways.endings[0].problem
    builds, process = len(problem.builds), problem.process
    doughs = [
        pin.off_h(
            _begins(pin, [each.at for each in way.levain.feedings()], builds, process,
                    mix=way.mix, divide=way.divide, shaped=way.shaped, retarded=way.retarded)
        )
        for way in ways.doughs
    ]  # fmt: skip
    return np.asarray(np.array(doughs)[ways.dough])


def feed_begins(pin: Pin, levain: RipeInHand, builds: int) -> datetime | None:
    """When the feed or build begins on the way to a levain; None where there is no such feed."""
    return _fed(pin, [each.at for each in levain.feedings()], builds)


def begins(pin: Pin, thread: Thread, builds: int, process: Process) -> datetime | None:
    """When the step begins in a thread; None where the thread has no such step."""
    if pin.kind is StepKind.PREHEAT:
        return thread.preheat
    if pin.kind is StepKind.BAKE:
        return _numbered(thread.loads, pin.number)
    feeds = [each.at for each in thread.feeds]
    return _begins(
        pin, feeds, builds, process,
        mix=thread.mix, divide=thread.divide, shaped=thread.shaped, retarded=thread.retarded,
    )  # fmt: skip


def _at_oven(pin: Pin, end: Ending) -> datetime | None:
    if pin.kind is StepKind.PREHEAT:
        return None if end.hot else end.preheat
    return _numbered(end.loads, pin.number)


def _begins(
    pin: Pin,
    feeds: Sequence[datetime],
    builds: int,
    process: Process,
    *,
    mix: datetime,
    divide: datetime,
    shaped: datetime,
    retarded: bool,
) -> datetime | None:
    if pin.kind in FEEDS:
        return _fed(pin, feeds, builds)
    match pin.kind:
        case StepKind.MIX:
            return mix
        case StepKind.DIVIDE:
            return divide
        case StepKind.SHAPE:
            return shaped - timedelta(minutes=process.shape_minutes)
        case _:
            return shaped if retarded else None


def _fed(pin: Pin, feeds: Sequence[datetime], builds: int) -> datetime | None:
    waking = max(0, len(feeds) - builds)
    return _numbered(feeds[:waking] if pin.kind is StepKind.FEED else feeds[waking:], pin.number)


def _numbered(instants: Sequence[datetime], number: int) -> datetime | None:
    return instants[number - 1] if number <= len(instants) else None
