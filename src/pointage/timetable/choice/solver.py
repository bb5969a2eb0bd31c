"""Alternatives as CP-SAT takes them: a literal each."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence

from pointage.timetable.choice.alternatives import Packed, Packing, cost
from pointage.timetable.choice.columns import UseColumns, needing
from pointage.timetable.choice.sat import Literals


def solved(
    problem: Packing,
    near: Sequence[Sequence[int]],
    in_hand: Packed,
    work: float,
    *,
    columns: UseColumns | None = None,
    all_kept: bool = False,
) -> Packed:
    """By CP-SAT, from the choice in hand on. columns: of the problem. all_kept: at any price, if it
    can be."""
    model, literals = _model(problem, near, in_hand, columns=columns, all_kept=all_kept)
    found = model.solved(work, priced=not all_kept)
    if found is None:
        return in_hand
    numbers = tuple(
        next((k for k, literal in own.items() if found.values[literal]), None) for own in literals
    )
    penalty = cost(problem, numbers)
    # The solver counts in whole numbers: its bound may lie above what it bounds by some.
    return Packed(numbers, penalty, min(found.bound, penalty), False)


def _model(
    problem: Packing,
    near: Sequence[Sequence[int]],
    in_hand: Packed,
    *,
    columns: UseColumns | None = None,
    all_kept: bool = False,
) -> tuple[Literals, list[dict[int, int]]]:
    model = Literals()
    literals: list[dict[int, int]] = []
    tasks: dict[str, int] = {}
    for wish, kept, before in zip(problem.wishes, near, in_hand.chosen, strict=True):
        own = {k: model.literal(wish.alternatives[k].penalty, hint=before == k) for k in kept}
        none = model.literal(wish.given_up, hint=before is None)
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
    columns = UseColumns.of(problem) if columns is None else columns
    for uses in columns.used_in_turn(literals, tasks):
        for _, held_by, amounts, room in uses.too_much():
            if room == 1 and (amounts == 1).all():
                model.at_most_one(held_by.tolist())
            else:
                model.at_most(held_by.tolist(), amounts.tolist(), room)
    return model, literals
