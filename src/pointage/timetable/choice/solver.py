"""Alternatives as CP-SAT takes them: a literal each."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from math import inf

from pointage.timetable.choice.alternatives import Packed, Packing, cost
from pointage.timetable.choice.columns import Columns, needing
from pointage.timetable.choice.sat import Literals


Parts = Sequence[Sequence[Sequence[int]]]
"""Of each wish alternatives, by number, of which one of every part is chosen, or none at all."""


def solved(
    problem: Packing,
    near: Sequence[Sequence[int]],
    in_hand: Packed,
    work: float,
    *,
    columns: Columns | None = None,
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


def undercut(
    columns: Columns, near: Sequence[Sequence[int]], in_hand: Packed, work: float, parts: Parts
) -> float:
    """What no choice costs less than, be it of the near ones or of those in parts."""
    model, _ = _model(columns.problem, near, in_hand, parts, columns=columns)
    found = model.solved(work)
    return -inf if found is None else found.bound


def _model(
    problem: Packing,
    near: Sequence[Sequence[int]],
    in_hand: Packed,
    parts: Parts = (),
    *,
    columns: Columns | None = None,
    all_kept: bool = False,
) -> tuple[Literals, list[dict[int, int]]]:
    model = Literals()
    literals: list[dict[int, int]] = []
    tasks: dict[str, int] = {}
    for i, (wish, kept, before) in enumerate(
        zip(problem.wishes, near, in_hand.chosen, strict=True)
    ):
        whole = {k: model.literal(wish.alternatives[k].penalty, hint=before == k) for k in kept}
        one_of = [*whole.values()]
        if not all_kept:
            one_of.append(model.literal(wish.given_up, hint=before is None))
        own = dict(whole)
        for part in parts[i] if parts else ():
            some = {k: model.literal(wish.alternatives[k].penalty, hint=False) for k in part}
            model.exactly_one([*one_of, *some.values()])
            own |= some
        if len(own) == len(whole):
            model.exactly_one(one_of)
        literals.append(own)
        with_task: dict[str, list[int]] = defaultdict(list)
        for k, literal in own.items():
            for task, price in wish.alternatives[k].tasks:
                if task not in tasks:
                    tasks[task] = model.literal(price)
                with_task[task].append(literal)
        for task, those in with_task.items():
            model.at_most_one([model.negated(tasks[task]), *those])
    every = [list(own) for own in literals]
    for i, numbers, leaving in needing(problem, every):
        model.one_needs([literals[i][k] for k in numbers], [literals[j][k] for j, k in leaving])
    columns = Columns.of(problem) if columns is None else columns
    for uses in columns.used_in_turn(literals, tasks):
        for held_by, amounts, room in uses.too_much():
            if room == 1 and (amounts == 1).all():
                model.at_most_one(held_by.tolist())
            else:
                model.at_most(held_by.tolist(), amounts.tolist(), room)
    return model, literals
