"""Alternatives as CP-SAT takes them: a literal each; of uses that overlap, what fits together."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
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

    wish, way: of each use, by number; named: the numbers of those that are of a task, with it.
    fixed: what of it is used whatever is chosen.
    """

    whole: int
    wish: Numbers
    way: Numbers
    start: Numbers
    end: Numbers
    amount: Numbers
    named: Sequence[tuple[int, str]]
    fixed: Sequence[CapacityUse]

    def held_by(self, literals: Sequence[Mapping[int, int]], tasks: Mapping[str, int]) -> Numbers:
        """The literal that each use hangs on: of its task, or else of its way."""
        each = zip(self.wish.tolist(), self.way.tolist(), strict=True)
        found = [literals[i][k] for i, k in each]
        for number, task in self.named:
            found[number] = tasks.get(task, found[number])
        return np.array(found, dtype=np.intp)

    def too_much(self) -> Iterator[tuple[Numbers, int]]:
        """The numbers of those that may be used at one time, and how much there is for them then.

        Of uses that overlap, each largest set of which all do, where it may be too much.
        """
        # A set is largest where one of it ends and one has begun since the last that ended.
        fixed = np.array([(use.start, use.end, use.amount) for use in self.fixed]).reshape(-1, 3)
        ends = np.unique(np.concatenate([self.end, fixed[:, 1]]))
        begun = np.sort(np.concatenate([self.start, fixed[:, 0]]))
        since = np.concatenate([[-inf], ends[:-1]])
        grown = np.searchsorted(begun, ends) > np.searchsorted(begun, since)
        instants = ends[grown]
        taken = _during(instants, fixed[:, 0], fixed[:, 1]) @ fixed[:, 2].astype(np.intp)
        # Many ways of a wish have the very same uses, which are counted once.
        alike = np.lexsort((self.amount, self.end, self.start, self.wish))
        columns = np.array([self.wish, self.start, self.end, self.amount])[:, alike]
        new = np.append(True, (columns[:, 1:] != columns[:, :-1]).any(axis=0))
        wish, start, end, amount = columns[:, new]
        own = np.where(_during(instants, start, end), amount, 0)
        most = np.maximum.reduceat(own, np.unique(wish, return_index=True)[1], axis=1)
        several = np.count_nonzero(most, axis=1) > 1
        order = np.argsort(self.start, kind="stable")
        begins, until = self.start[order], self.end[order]
        for row in np.flatnonzero(several & (taken + most.sum(axis=1) > self.whole)):
            so_far = np.searchsorted(begins, instants[row])
            numbers = order[:so_far][until[:so_far] >= instants[row]]
            yield numbers, self.whole - int(taken[row])


def _during(instants: Numbers, start: Numbers, end: Numbers) -> NDArray[np.bool_]:
    """Whether each use is under way as each instant is over."""
    return np.asarray((start < instants[:, None]) & (instants[:, None] <= end))


def used_in_turn(problem: Packing, near: Sequence[Sequence[int]]) -> Iterator[UsedInTurn]:
    """What may be used of each capacity of which there may be too little."""
    fixed: dict[str, list[CapacityUse]] = defaultdict(list)
    for use in problem.fixed:
        fixed[use.capacity].append(use)
    every: dict[str, list[tuple[int, int, CapacityUse]]] = defaultdict(list)
    for i, kept in enumerate(near):
        alternatives = problem.wishes[i].alternatives
        for k in kept:
            for use in alternatives[k].uses:
                every[use.capacity].append((i, k, use))
    for capacity, uses in every.items():
        whole = problem.capacities[capacity]
        wish, way, start, end, amount = np.array(
            [(i, k, use.start, use.end, use.amount) for i, k, use in uses], dtype=np.intp
        ).T
        largest = np.maximum.reduceat(amount, np.unique(wish, return_index=True)[1]).sum()
        taken = sum(use.amount for use in fixed[capacity])
        if taken + largest > whole:  # else there is room for all at any time
            named = [(n, use.task) for n, (_, _, use) in enumerate(uses) if use.task]
            yield UsedInTurn(whole, wish, way, start, end, amount, named, fixed[capacity])
