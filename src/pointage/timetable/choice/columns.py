"""What the alternatives of all wishes use, as columns; of uses that overlap, what fits together."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from math import inf

import numpy as np
from numpy.typing import NDArray

from pointage.timetable.choice.alternatives import CapacityUse, Packing, left_for

Numbers = NDArray[np.intp]


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


def needing(
    problem: Packing, near: Sequence[Sequence[int]]
) -> Iterator[tuple[int, list[int], list[tuple[int, int]]]]:
    """Ways of a wish that need the same left hot: the wish, their numbers, and the ways of others,
    by wish and number, one of which leaves it."""
    leaving = [
        (i, k, left)
        for i, kept in enumerate(near)
        for k in kept
        if (left := problem.wishes[i].alternatives[k].leaves) is not None
    ]
    for i, kept in enumerate(near):
        alike: dict[object, list[int]] = defaultdict(list)
        for k in kept:
            if problem.wishes[i].alternatives[k].needs:
                alike[problem.wishes[i].alternatives[k].needs].append(k)
        left_by = {left for j, _, left in leaving if j != i}
        for numbers in alike.values():
            one = problem.wishes[i].alternatives[numbers[0]]
            enough = {left for left in left_by if left_for(one, left)}
            yield i, numbers, [(j, k) for j, k, left in leaving if j != i and left in enough]
