"""Whether the shaped pieces of a bake have baskets, tins and fridge enough while they wait.

Without room in the fridge a dough cannot be retarded. Without a basket or tin a cook can make do,
with a bowl and a cloth; so a plan that is short of them stands, and the shortage is said.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from functools import lru_cache

from pointage.kitchen.capacity import Capacity, CapacityKind, capacity_called
from pointage.timetable.occupied import Occupied
from pointage.timetable.plan import Shortage
from pointage.timetable.problem import Problem
from pointage.timetable.ways.stands import litres_on_shelf

COUNTED = (CapacityKind.BASKET, CapacityKind.TIN)


def fridge_is_full(problem: Problem, start: datetime, end: datetime, *, retarded: bool) -> bool:
    """Whether the pieces are to wait in a fridge that has no room for them from start to end."""
    if problem.last_place(retarded=retarded).room_l is None:
        return False
    lacks = shortages(problem, start, end, retarded=retarded)
    return any(each.kind is CapacityKind.FRIDGE for each in lacks)


def shortages(
    problem: Problem, start: datetime, end: datetime, *, retarded: bool
) -> tuple[Shortage, ...]:
    """What there is too little of while the shaped pieces wait from start to end."""
    found = []
    for capacity, each in needs_of_pieces(problem, retarded=retarded):
        needed = each * problem.pieces
        others = [taken for taken in problem.occupied if taken.capacity == capacity.name]
        free = capacity.whole - _most_taken(others, start, end)
        if needed <= free:
            continue
        later = (
            at
            for at in sorted(taken.end for taken in others if taken.end > start)
            if capacity.whole - _most_taken(others, at, at + (end - start)) >= needed
        )
        found.append(
            Shortage(
                capacity=capacity.name,
                kind=capacity.kind,
                needed=needed,
                free=max(free, 0.0),
                unit=capacity.unit,
                start=start,
                end=end,
                free_from=next(later, None),
                most_pieces=int(max(free, 0.0) / each),
            )
        )
    return tuple(found)


@lru_cache(maxsize=8)  # asked for every way of one bake
def needs_of_pieces(problem: Problem, *, retarded: bool) -> tuple[tuple[Capacity, float], ...]:
    """Each capacity that waiting pieces need, and how much of it for one of them."""
    found = []
    kitchen, piece_g = problem.kitchen, float(problem.piece_g)
    vessel = problem.stands.piece_vessel(piece_g)
    held = capacity_called(kitchen, CapacityKind(vessel.use.value), vessel.name)
    if held is not None and held.kind in COUNTED:
        found.append((held, 1.0))
    place = problem.last_place(retarded=retarded)
    fridge = capacity_called(kitchen, CapacityKind.FRIDGE, place.name)
    if fridge is not None:
        found.append((fridge, litres_on_shelf(vessel, piece_g)))
    return tuple(found)


def _most_taken(others: Sequence[Occupied], start: datetime, end: datetime) -> float:
    """The most that other bakes take at any one instant between two."""
    during = [each for each in others if each.start < end and each.end > start]
    instants = [start, *(each.start for each in during if each.start > start)]
    return max(
        sum(each.amount for each in during if each.start <= at < each.end) for at in instants
    )
