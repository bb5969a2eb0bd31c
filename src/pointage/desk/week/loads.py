"""How much of the oven, the fridge, the baskets and the tins several bakes take at once."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from math import isinf

from pointage.desk.answers import Bake
from pointage.desk.week.plan import PlannedWeek
from pointage.kitchen.capacity import HANDS, capacities
from pointage.timetable.occupied import Occupied, occupied_by


@dataclass(frozen=True, slots=True)
class PeakLoad:
    """The most of a capacity that is taken at once, from `start` to `end`. whole: all there is of
    it, None where nobody said. unit: as the capacity's."""

    name: str
    most: float
    whole: float | None
    unit: str
    start: datetime
    end: datetime


def loads_of(found: PlannedWeek, bakes: Sequence[Bake]) -> list[PeakLoad]:
    """The loads of a week with the bakes in hand, but for the hands."""
    plans = [each.plan for each in found.answer.wishes if each.plan] if found.answer else []
    taken: dict[str, list[Occupied]] = defaultdict(list)
    for plan in (*plans, *(bake.plan for bake in bakes)):
        for each in occupied_by(plan, found.kitchen):
            if each.capacity != HANDS:
                taken[each.capacity].append(each)
    loads = []
    for capacity in capacities(found.kitchen):
        uses = taken.get(capacity.name, [])
        if not uses:
            continue
        at = {
            use.start: sum(e.amount for e in uses if e.start <= use.start < e.end) for use in uses
        }
        start = max(at, key=lambda instant: at[instant])
        end = min(use.end for use in uses if use.start <= start < use.end)
        whole = None if isinf(capacity.whole) else capacity.whole
        loads.append(PeakLoad(capacity.name, at[start], whole, capacity.unit, start, end))
    return loads
