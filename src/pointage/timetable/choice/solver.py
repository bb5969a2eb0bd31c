"""Alternatives as CP-SAT takes them: a literal each."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from math import inf

from pointage.timetable.choice.alternatives import Packed, Packing, cost
from pointage.timetable.choice.columns import needing, used_in_turn
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
        with_task: dict[str, list[int]] = defaultdict(list)
        for k, literal in own.items():
            for task, price in wish.alternatives[k].tasks:
                if task not in tasks:
                    tasks[task] = model.literal(price)
                with_task[task].append(literal)
        for task, those in with_task.items():
            model.at_most_one([model.negated(tasks[task]), *those])
    for i, numbers, leaving in needing(problem, near):
        model.one_needs([literals[i][k] for k in numbers], [literals[j][k] for j, k in leaving])
    for uses in used_in_turn(problem, near):
        held_by = uses.held_by(literals, tasks)
        for row, room in uses.too_much():
            held = dict(zip(held_by[row].tolist(), uses.amount[row].tolist(), strict=True))
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
    # The solver counts in whole numbers: its bound may lie above what it bounds by some.
    return Packed(numbers, penalty, min(found.bound, penalty), False)
