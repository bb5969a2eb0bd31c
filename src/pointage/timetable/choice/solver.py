"""Alternatives as CP-SAT takes them: a literal each; of uses that overlap, what fits together."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from math import inf

from pointage.timetable.choice.alternatives import (
    CapacityUse,
    HotSpell,
    Packed,
    Packing,
    cost,
    left_for,
)
from pointage.timetable.choice.sat import Literals


def solved(
    problem: Packing,
    near: Sequence[Sequence[int]],
    in_hand: Packed,
    work: float,
    *,
    all_kept: bool = False,
    unseen: Sequence[float] | None = None,
) -> Packed:
    """By CP-SAT, from the choice in hand on. all_kept: at any price, if it can be.

    unseen: what a way of each wish that is not near costs at the least. As if it used nothing, it
    may be chosen too: only the bound is then of use.
    """
    model = Literals()
    literals: list[dict[int, int]] = []
    tasks: dict[str, int] = {}
    dearer = [inf] * len(near) if unseen is None else unseen
    for wish, kept, before, other in zip(problem.wishes, near, in_hand.chosen, dearer, strict=True):
        own = {k: model.literal(wish.alternatives[k].penalty, hint=before == k) for k in kept}
        none = model.literal(min(wish.given_up, other), hint=before is None)
        model.exactly_one(own.values() if all_kept else [none, *own.values()])
        literals.append(own)
        for k, literal in own.items():
            for task, price in wish.alternatives[k].tasks:
                if task not in tasks:
                    tasks[task] = model.literal(price)
                model.implies(literal, [tasks[task]])
    _left_hot(model, problem, literals)
    for row, room in rows(problem, near):
        held = {
            tasks[use.task] if use.task in tasks else literals[i][k]: use.amount
            for i, k, use in row
        }
        if room == 1 and all(amount == 1 for amount in held.values()):
            model.at_most_one(held)
        else:
            model.at_most(held.items(), room)
    found = model.solved(work, priced=not all_kept)
    if found is None:
        return in_hand
    numbers = tuple(
        next((k for k, literal in own.items() if found.values[literal]), None) for own in literals
    )
    penalty = cost(problem, numbers)
    # The solver weighs whole thousandths: its bound may lie above what it bounds by some.
    return Packed(numbers, penalty, min(found.bound, penalty), False)


def _left_hot(model: Literals, problem: Packing, literals: Sequence[Mapping[int, int]]) -> None:
    """What needs something hot is only chosen beside what leaves it."""
    leaving: dict[HotSpell, dict[int, list[int]]] = defaultdict(lambda: defaultdict(list))
    for i, own in enumerate(literals):
        for k, literal in own.items():
            left = problem.wishes[i].alternatives[k].leaves
            if left is not None:
                leaving[left][i].append(literal)
    heated: dict[tuple[int, tuple[HotSpell, ...]], int] = {}
    for i, own in enumerate(literals):
        for k, literal in own.items():
            each = problem.wishes[i].alternatives[k]
            if each.needs and (i, each.needs) not in heated:
                heated[i, each.needs] = any_left = model.literal()
                found = [
                    one
                    for left, by_wish in leaving.items()
                    if left_for(each, left)
                    for j, those in by_wish.items()
                    if j != i
                    for one in those
                ]
                model.implies(any_left, found, every=False)
            if each.needs:
                model.implies(literal, [heated[i, each.needs]])


def rows(
    problem: Packing, near: Sequence[Sequence[int]]
) -> Iterator[tuple[list[tuple[int, int, CapacityUse]], int]]:
    """What may be used at one time of one capacity, and how much of it there is then.

    Of uses that overlap, each largest set of which all do, where it may be too much.
    """
    every: dict[str, list[tuple[int, int, CapacityUse]]] = defaultdict(list)
    for use in problem.fixed:
        every[use.capacity].append((-1, -1, use))
    for i, kept in enumerate(near):
        for k in kept:
            for use in problem.wishes[i].alternatives[k].uses:
                every[use.capacity].append((i, k, use))
    for capacity, uses in every.items():
        whole = problem.capacities[capacity]
        largest: dict[int, int] = defaultdict(int)
        for i, _, use in uses:
            largest[i] = max(largest[i], use.amount)
        fixed = sum(use.amount for i, _, use in uses if i < 0)
        if fixed + sum(amount for i, amount in largest.items() if i >= 0) <= whole:
            continue  # there is room for all at any time
        for row in _overlapping(uses):
            fixed = sum(use.amount for i, _, use in row if i < 0)
            most: dict[int, int] = defaultdict(int)
            for i, _, use in row:
                most[i] = max(most[i], use.amount)
            most.pop(-1, None)
            if len(most) > 1 and fixed + sum(most.values()) > whole:
                yield [each for each in row if each[0] >= 0], whole - fixed


def _overlapping(
    uses: Sequence[tuple[int, int, CapacityUse]],
) -> Iterator[list[tuple[int, int, CapacityUse]]]:
    """The largest sets of spells that share an instant."""
    events = sorted(
        event
        for n, (_, _, use) in enumerate(uses)
        for event in ((use.start, 1, n), (use.end, 0, n))
    )
    active: dict[int, None] = {}
    grown = False
    for _, begins, n in events:
        if begins:
            active[n] = None
            grown = True
            continue
        if grown:
            yield [uses[m] for m in active]
            grown = False
        active.pop(n, None)
