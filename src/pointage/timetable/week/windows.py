"""When each step is done, from and until, and when to look: read from what was lived through."""

from __future__ import annotations

from datetime import datetime

import numpy as np

from pointage.timetable.baker.looking import LOOK_MIN
from pointage.timetable.baker.quarters import Quarters, Steps
from pointage.timetable.calendar import GRID, floor_to_grid
from pointage.timetable.plan import StepKind
from pointage.timetable.week.answer import CHILL, LookRule, StepWindow
from pointage.timetable.week.odds import FollowedWish

EDGES = (5, 95)  # percent of the members by which the wish is kept


def step_windows(wish: FollowedWish) -> tuple[StepWindow, ...]:
    """Of each feed, the mix and dividing: from when until when, and the look at what stands then.

    None where no member keeps the wish.
    """
    lived, thread = wish.lived, wish.baker.thread
    kept = lived.kept
    if not kept.any():
        return ()
    base = floor_to_grid(thread.feeds[0].at)
    waking = len(thread.feeds) - len(wish.baker.problem.builds)
    done: list[tuple[str, datetime, Steps]] = [
        (f"{_kind(i, waking).value}-{i + 1}", feed.at, begun)
        for i, (feed, begun) in enumerate(zip(thread.feeds, lived.begun, strict=True))
    ]
    done.append(("mix", thread.mix, lived.taken))
    if lived.dough is not None:
        done.append(("divide", thread.divide, lived.dough.divided))
    edges = [
        [base + round(float(x)) * GRID for x in np.percentile(steps[kept], EDGES)]
        for _, _, steps in done
    ]
    steps = int((thread.loads[-1] - base) / GRID)
    quarters = Quarters(wish.baker.problem.likeliest, base, wish.baker.calendar, steps)
    found = []
    for number, (key, at, _) in enumerate(done):
        look = None
        if number + 1 < len(done):
            chilled = number < len(thread.feeds) and thread.feeds[number].chilled
            then = CHILL if chilled else done[number + 1][0]
            look = _look(wish, quarters, number, at, until=edges[number + 1][1], then=then)
        earliest, latest = edges[number]
        found.append(StepWindow(key, earliest, latest, look))
    return tuple(found)


def _kind(number: int, waking: int) -> StepKind:
    return StepKind.FEED if number < waking else StepKind.BUILD


def _look(
    wish: FollowedWish, quarters: Quarters, number: int, at: datetime, *, until: datetime, then: str
) -> LookRule | None:
    """The look at a mixture that stands from an instant on; None where it comes after all else."""
    believed = wish.baker.known[number]
    start = quarters.step(at)
    due = np.array([start + believed.look])
    first = int(quarters.last_free(due, LOOK_MIN)[0])
    if first <= start:
        first = int(quarters.next_free(due, LOOK_MIN)[0])
    waits = believed.comes[believed.comes > first - start]
    again = start + int(np.median(waits)) if len(waits) else first + 1
    again = int(quarters.next_free(np.array([max(again, first + 1)]), LOOK_MIN)[0])
    look, later = (quarters.base + step * GRID for step in (first, again))
    latest = look + max(until - look, 0 * GRID)
    return LookRule(look, min(later, latest), latest, then) if look < until else None
