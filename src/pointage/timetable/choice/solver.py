"""Alternatives as CP-SAT takes them: a literal each; of uses that overlap, what fits together."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from math import inf

import numpy as np
from numpy.typing import NDArray

from pointage.timetable.choice.alternatives import (
    CapacityUse,
    HotSpell,
    Packed,
    Packing,
    cost,
    left_for,
)
from pointage.timetable.choice.sat import Literals

Numbers = NDArray[np.intp]


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
    for uses in used_in_turn(problem, near).values():
        held_by = np.array(
            [tasks[use.task] if use.task in tasks else literals[i][k] for i, k, use in uses.each],
            dtype=np.intp,
        )
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


@dataclass(frozen=True, eq=False)
class UsedInTurn:
    """What may be used of one capacity, as columns.

    each: the wish, its alternative and the use. fixed: what of them is used whatever is chosen.
    """

    whole: int
    each: Sequence[tuple[int, int, CapacityUse]]
    fixed: Sequence[CapacityUse]

    @cached_property
    def amount(self) -> Numbers:
        return np.array([use.amount for _, _, use in self.each], dtype=np.intp)

    def too_much(self) -> Iterator[tuple[Numbers, int]]:
        """The numbers of those that may be used at one time, and how much there is for them then.

        Of uses that overlap, each largest set of which all do, where it may be too much.
        """
        wish = np.array([i for i, _, _ in self.each], dtype=np.intp)
        every = [*(use for _, _, use in self.each), *self.fixed]
        start = np.array([use.start for use in every])
        end = np.array([use.end for use in every])
        # A set is largest where one of it ends and one has begun since the last that ended.
        ends, begun = np.unique(end), np.sort(start)
        since = np.concatenate([[-inf], ends[:-1]])
        grown = np.searchsorted(begun, ends) > np.searchsorted(begun, since)
        instants = ends[grown, None]
        during = (start < instants) & (instants <= end)
        own, fixed = during[:, : len(wish)], during[:, len(wish) :]
        taken = fixed @ np.array([use.amount for use in self.fixed], dtype=np.intp)
        most = [
            np.where(own[:, wish == i], self.amount[wish == i], 0).max(axis=1)
            for i in np.unique(wish)
        ]
        order = np.argsort(start[: len(wish)], kind="stable")
        several = np.count_nonzero(most, axis=0) > 1
        for row in np.flatnonzero(several & (taken + np.sum(most, axis=0) > self.whole)):
            yield order[own[row, order]], self.whole - int(taken[row])


def used_in_turn(problem: Packing, near: Sequence[Sequence[int]]) -> Mapping[str, UsedInTurn]:
    """What may be used of each capacity of which there may be too little."""
    every: dict[str, list[tuple[int, int, CapacityUse]]] = defaultdict(list)
    fixed: dict[str, list[CapacityUse]] = defaultdict(list)
    for use in problem.fixed:
        fixed[use.capacity].append(use)
    for i, kept in enumerate(near):
        for k in kept:
            for use in problem.wishes[i].alternatives[k].uses:
                every[use.capacity].append((i, k, use))
    found = {}
    for capacity, uses in every.items():
        whole = problem.capacities[capacity]
        largest: dict[int, int] = defaultdict(int)
        for i, _, use in uses:
            largest[i] = max(largest[i], use.amount)
        taken = sum(use.amount for use in fixed[capacity])
        if taken + sum(largest.values()) > whole:  # else there is room for all at any time
            found[capacity] = UsedInTurn(whole, uses, fixed[capacity])
    return found
