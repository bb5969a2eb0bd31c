"""What the alternatives of all wishes use, as columns; of uses that overlap, what fits together."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import accumulate
from math import inf

import numpy as np
from numpy.typing import NDArray

from pointage.timetable.choice.alternatives import CapacityUse, HotSpell, Packing, left_for

Numbers = NDArray[np.intp]


@dataclass(frozen=True, eq=False)
class _Every:
    """What all alternatives use of one capacity. flat: the number of each use's alternative among
    those of all wishes; task: that of its task, -1 without one."""

    wish: Numbers
    flat: Numbers
    start: Numbers
    end: Numbers
    amount: Numbers
    task: Numbers


@dataclass(frozen=True, eq=False)
class UseColumns:
    """A problem as columns. firsts: the flat number of the first alternative of each wish, and how
    many there are. tasks: numbers of theirs by name."""

    problem: Packing
    firsts: Sequence[int]
    tasks: Mapping[str, int]
    every: Mapping[str, _Every]

    @staticmethod
    def of(problem: Packing) -> UseColumns:
        firsts = [0, *accumulate(len(wish.alternatives) for wish in problem.wishes)]
        tasks: dict[str, int] = {"": -1}
        found: dict[str, list[tuple[int, int, int, int, int, int]]] = defaultdict(list)
        for i, wish in enumerate(problem.wishes):
            for flat, alternative in enumerate(wish.alternatives, firsts[i]):
                for use in alternative.uses:
                    task = tasks.setdefault(use.task, len(tasks) - 1)
                    found[use.capacity].append((i, flat, use.start, use.end, use.amount, task))
        every = {
            capacity: _Every(*np.array(uses, dtype=np.intp).T) for capacity, uses in found.items()
        }
        return UseColumns(problem, firsts, tasks, every)

    def used_in_turn(
        self, literals: Sequence[Mapping[int, int]], tasks: Mapping[str, int]
    ) -> Iterator[UsedInTurn]:
        """What some alternatives, those with a literal, may use of each capacity of which there may
        be too little. tasks: the literals of some tasks."""
        fixed: dict[str, list[CapacityUse]] = defaultdict(list)
        for use in self.problem.fixed:
            fixed[use.capacity].append(use)
        of_way = np.full(self.firsts[-1], -1, dtype=np.intp)
        for first, those in zip(self.firsts, literals, strict=False):
            of_way[[first + k for k in those]] = list(those.values())
        of_task = np.full(len(self.tasks), -1, dtype=np.intp)  # the last is of none
        for name, number in self.tasks.items():
            of_task[number] = tasks.get(name, -1)
        for capacity, every in self.every.items():
            whole = self.problem.capacities[capacity]
            some = np.flatnonzero(of_way[every.flat] >= 0)
            if not len(some):
                continue
            wish, amount = every.wish[some], every.amount[some]
            largest = np.maximum.reduceat(amount, np.unique(wish, return_index=True)[1]).sum()
            taken = sum(use.amount for use in fixed[capacity])
            if taken + largest > whole:  # else there is room for all at any time
                own, shared = of_way[every.flat[some]], of_task[every.task[some]]
                held_by = np.where(shared >= 0, shared, own)
                times = every.start[some], every.end[some]
                yield UsedInTurn(capacity, whole, wish, held_by, *times, amount, fixed[capacity])


@dataclass(frozen=True, eq=False)
class UsedInTurn:
    """What may be used of one capacity, as columns.

    wish: of each use, by number; held_by: the literal that it hangs on, of its task, or else of
    its alternative. fixed: what of it is used whatever is chosen.
    """

    capacity: str
    whole: int
    wish: Numbers
    held_by: Numbers
    start: Numbers
    end: Numbers
    amount: Numbers
    fixed: Sequence[CapacityUse]

    def too_much(self) -> Iterator[tuple[int, Numbers, Numbers, int]]:
        """An instant, literals that may use it then, what each does, and the room for them.

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
            held_by, first = np.unique(self.held_by[numbers], return_index=True)
            amounts, room = self.amount[numbers[first]], self.whole - int(taken[row])
            yield int(instants[row]), held_by, amounts, room


def _during(instants: Numbers, start: Numbers, end: Numbers) -> NDArray[np.bool_]:
    """Whether each use is under way as each instant is over."""
    return np.asarray((start < instants[:, None]) & (instants[:, None] <= end))


def needing(
    problem: Packing, near: Sequence[Sequence[int]]
) -> Iterator[tuple[int, list[int], list[tuple[int, int]]]]:
    """Ways of a wish that need the same left hot: the wish, their numbers, and the ways of others,
    by wish and number, one of which leaves it."""
    leaving: dict[HotSpell, dict[int, list[int]]] = defaultdict(lambda: defaultdict(list))
    for i, kept in enumerate(near):
        for k in kept:
            left = problem.wishes[i].alternatives[k].leaves
            if left is not None:
                leaving[left][i].append(k)
    for i, kept in enumerate(near):
        alike: dict[object, list[int]] = defaultdict(list)
        for k in kept:
            if problem.wishes[i].alternatives[k].needs:
                alike[problem.wishes[i].alternatives[k].needs].append(k)
        for numbers in alike.values():
            one = problem.wishes[i].alternatives[numbers[0]]
            enough = [by_wish for left, by_wish in leaving.items() if left_for(one, left)]
            others = (pair for by_wish in enough for pair in by_wish.items() if pair[0] != i)
            yield i, numbers, [(j, k) for j, those in others for k in those]
