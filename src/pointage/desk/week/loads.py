"""How much of ovens, fridge, baskets, tins and bowls several bakes take at once, and when."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime
from itertools import pairwise
from math import isinf

from pointage.kitchen.capacity import HANDS, CapacityKind, capacities, capacity_called
from pointage.kitchen.kitchen import Kitchen
from pointage.timetable.occupied import Occupied, occupied_by
from pointage.timetable.plan import Plan

IN_BOWLS = (CapacityKind.BOWL, CapacityKind.TUB)
NEAR = 0.75
"""From so much of all there is on, a limit is near (ours)."""


@dataclass(frozen=True, slots=True)
class LoadSpell:
    """So much is taken from `start` to `end`, in the capacity's unit."""

    start: datetime
    end: datetime
    amount: float


@dataclass(frozen=True, slots=True)
class CapacityLoad:
    """What is taken of a capacity, spell by spell. whole: all there is, None where nobody said.

    unit: as the capacity's; bowls and tubs are counted.
    """

    name: str
    unit: str
    whole: float | None
    spells: tuple[LoadSpell, ...]

    @property
    def most(self) -> LoadSpell:
        """The first spell in which the most is taken."""
        return max(self.spells, key=lambda each: each.amount)

    @property
    def near(self) -> bool:
        """Whether the most that is taken is near to all there is."""
        return self.whole is not None and self.most.amount >= NEAR * self.whole


def loads_of(plans: Sequence[Plan], kitchen: Kitchen) -> list[CapacityLoad]:
    """What plans take of a kitchen, but for the hands; of bowls and tubs those that several use."""
    taken: dict[str, list[Occupied]] = defaultdict(list)
    users: dict[str, set[int]] = defaultdict(set)
    for number, plan in enumerate(plans):
        for each in (*occupied_by(plan, kitchen), *_in_bowls(plan, kitchen)):
            if each.capacity != HANDS:
                taken[each.capacity].append(each)
                users[each.capacity].add(number)
    loads = []
    for capacity in capacities(kitchen):
        uses, counted = taken.get(capacity.name, []), capacity.kind in IN_BOWLS
        if not uses or (counted and len(users[capacity.name]) < 2):
            continue
        whole = float(capacity.count) if counted else capacity.whole
        known = None if isinf(whole) else whole
        unit = "" if counted else capacity.unit
        loads.append(CapacityLoad(capacity.name, unit, known, tuple(_spells(uses))))
    return loads


def _in_bowls(plan: Plan, kitchen: Kitchen) -> Iterator[Occupied]:
    """The bowls and tubs that its mixtures stand in."""
    bowls = {v.name: v for v in kitchen.vessels if v.use.value in IN_BOWLS}
    for step in plan.steps:
        if step.standing is None or not step.standing.rows:
            continue
        vessel, rows = bowls.get(step.standing.vessel), step.standing.rows
        if vessel is None:
            continue
        capacity = capacity_called(kitchen, CapacityKind(vessel.use.value), vessel.name)
        if capacity is not None:
            yield Occupied(capacity.name, rows[0].at, rows[-1].at)


def _spells(uses: Sequence[Occupied]) -> Iterator[LoadSpell]:
    """How much is taken between any two instants at which that changes; where it is anything."""
    edges = sorted({at for use in uses for at in (use.start, use.end)})
    before: LoadSpell | None = None
    for start, end in pairwise(edges):
        amount = sum(use.amount for use in uses if use.start <= start < use.end)
        if before is not None and before.end == start and before.amount == amount:
            before = LoadSpell(before.start, end, amount)
            continue
        if before is not None:
            yield before
        before = LoadSpell(start, end, amount) if amount else None
    if before is not None:
        yield before
