"""What no choice undercuts: how near to the best a choice is, be it of what was weighed or not."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from math import inf

import numpy as np
from numpy.typing import NDArray

from pointage.timetable.choice.alternatives import Alternative, LeftOut, Packed, Packing, cost
from pointage.timetable.choice.columns import UseColumns
from pointage.timetable.choice.relaxed import Relaxation, Relaxed
from pointage.timetable.choice.sat import EXACT
from pointage.timetable.choice.solver import solved

MOST_WORK = 1.0
"""Of the solver, in its own deterministic seconds: the same on every machine."""
HAIR = 1e-6
MET = 2 / EXACT
"""A bound no further below a penalty is the same: the solver counts in whole numbers."""
PROVED, CLOSE, FAR = 0.005, 0.02, 0.04
"""Of the penalty: a bound that is no further below it is proof enough; no other ways are looked
for; and from there on more work is done for it (ours)."""
BOUND_ROUNDS, MOST_UNSEEN, MOST_CLOSELY = 6, 100, 4000
"""How often ways that were not weighed are looked at for the bound, how many of each wish, and how
many ways of all for that work."""


@dataclass(frozen=True, eq=False)
class Chosen:
    """A choice, and what its proof begins with.

    usable: the numbers of the alternatives of each wish that may be in a choice; packed: with the
    bound as it is against those; best: whether it is known to be the best of what was weighed.
    """

    problem: Packing
    usable: Sequence[Sequence[int]]
    packed: Packed
    best: bool
    relaxed: Relaxed | None = None

    @property
    def is_far(self) -> bool:
        """Whether another may be cheaper by so much that it is worth to look further."""
        return self.packed.penalty - self.packed.bound > CLOSE * abs(self.packed.penalty)


def proved(known: Chosen, *, work: float = MOST_WORK) -> Packed:
    """The same choice with what none undercuts, be it among those that were weighed or not.

    Where some are given up, the others are looked at once more, for a bound of theirs. It changes
    nothing of what is chosen.
    """
    problem, found = known.problem, known.packed
    kept = [i for i, k in enumerate(found.chosen) if k is not None]
    all_kept = len(kept) == len(found.chosen)
    bound = min(_bound(known, work) if all_kept else _beyond(known, work, 1)[0], found.penalty)
    least_kept = bound
    if not kept:
        least_kept = 0.0
    elif not all_kept:
        rest, in_hand = of_these(problem, found, kept)
        usable = [known.usable[i] for i in kept]
        least_kept = min(_least(rest, usable, in_hand, work, best=is_met(found)), in_hand.penalty)
    return replace(found, bound=bound, optimal=found.penalty - bound <= MET, least_kept=least_kept)


def _least(
    problem: Packing, usable: Sequence[Sequence[int]], in_hand: Packed, work: float, *, best: bool
) -> float:
    """What no choice between some wishes undercuts. best: the one in hand is the best of what was
    weighed."""
    near, least, _, _ = nearest_of(problem, usable, in_hand.penalty)
    found = replace(in_hand, bound=in_hand.penalty if best else least)
    relaxed = Relaxation(UseColumns.of(problem), near).solved(work)
    return _bound(Chosen(problem, near, found, best, relaxed), work)


def _bound(known: Chosen, work: float) -> float:
    """What no choice undercuts, with some work where it is far from what was chosen."""
    found = known.packed
    quickly, _ = _beyond(known, work, 1)
    if found.penalty - quickly <= PROVED * abs(found.penalty):
        return quickly
    return max(quickly, _beyond(known, work, BOUND_ROUNDS, closely=True)[0])


def worth_weighing(known: Chosen, *, work: float = MOST_WORK) -> list[list[int]]:
    """Of what was left out of each wish, by number, what might be in a cheaper choice: the nearest
    to a choice in parts that has all to choose from. Nothing where the choice is close to it."""
    return _beyond(known, work, BOUND_ROUNDS)[1]


def _beyond(
    known: Chosen, work: float, rounds: int, *, closely: bool = False
) -> tuple[float, list[list[int]]]:
    """What no choice undercuts, be it of what was weighed or not, as far as is found in so many
    rounds; and where that is far below what was chosen, as of `worth_weighing`.

    Of what was not weighed, what could be cheaper at the prices found so far is looked at. closely:
    only the bound is wanted, by whole choices where that by parts of them is far off.
    """
    found, problem, usable = known.packed, known.problem, known.usable
    each_left = [each.left_out for each in problem.wishes]
    if closely:
        each_left = [left.coarser() if left else None for left in each_left]
    lefts = [_Left(left) for left in each_left]
    if not any(each.left_out for each in problem.wishes):
        return found.bound, [[] for _ in lefts]
    bound = weighed = -inf
    relaxed = known.relaxed or Relaxation(UseColumns.of(problem), usable).solved(work)
    for n in range(rounds):
        unseen = relaxed.unseen([each.left_out for each in lefts])
        lower = [float(min(0.0, over.min(initial=0.0))) for over in unseen]
        least = relaxed.bound + sum(lower)
        if n == 0:
            weighed = max(found.bound, relaxed.bound)
        # A choice is of what was weighed, or has one at the least that was not at first.
        dearer = min(float(over.min(initial=inf)) for over in unseen)
        each = zip(lefts, relaxed.over, strict=True)
        besides = min([dearer, *(left.least(own) for left, own in each)])
        bound = max(bound, least, min(weighed, least + max(0.0, besides)))
        if found.penalty - bound <= (PROVED if closely else CLOSE) * abs(found.penalty):
            return bound, [[] for _ in lefts]
        if dearer > -HAIR or n + 1 == rounds:
            break
        gap = found.penalty - bound + HAIR
        near = [
            [k for k in own if own[k] - low <= gap]
            for own, low in zip(relaxed.over, lower, strict=True)
        ]
        cheaper = [np.flatnonzero(over < 0.0) for over in unseen]
        some = [
            those[np.argsort(over[those], kind="stable")][:MOST_UNSEEN]
            for over, those in zip(unseen, cheaper, strict=True)
        ]
        problem, usable = _with_these(problem, near, lefts, some)
        relaxed = Relaxation(UseColumns.of(problem), usable).solved(work)
    if closely and found.penalty - bound > FAR * abs(found.penalty):
        above = [
            {k: own - low for k, own in each.items()}
            for each, low in zip(relaxed.over, lower, strict=True)
        ]
        beyond = [over - low for over, low in zip(unseen, lower, strict=True)]
        every = np.sort(np.concatenate([*beyond, *([*own.values()] for own in above)]))
        limit = float(every[MOST_CLOSELY]) if len(every) > MOST_CLOSELY else inf
        near = [[k for k, own in each.items() if own < limit] for each in above]
        some = [np.flatnonzero(over < limit) for over in beyond]
        problem, near = _with_these(problem, near, lefts, some)
        it = solved(problem, near, replace(found, bound=-inf), work)
        return max(bound, min(it.bound, least + limit)), []
    over_all = zip(lefts, relaxed.over, unseen, strict=True)
    return bound, [left.nearest(own, over) for left, own, over in over_all]


def _with_these(
    problem: Packing,
    near: Sequence[Sequence[int]],
    lefts: Sequence[_Left],
    numbers: Sequence[NDArray[np.intp]],
) -> tuple[Packing, list[list[int]]]:
    """With some that were left out of each wish weighed as well."""
    wishes, usable = [], []
    for wish, own, left, some in zip(problem.wishes, near, lefts, numbers, strict=True):
        first = len(wish.alternatives)
        more = left.weigh(some, first)
        usable.append([*own, *range(first, first + len(more))])
        wishes.append(replace(wish, alternatives=(*wish.alternatives, *more)))
    return replace(problem, wishes=tuple(wishes)), usable


class _Left:
    """What was left out of a wish, of which more and more is weighed after all."""

    def __init__(self, left_out: LeftOut | None) -> None:
        self.left_out = left_out
        self._numbers = np.arange(len(left_out.penalty) if left_out else 0)
        self._weighed: dict[int, int] = {}

    def weigh(self, taken: NDArray[np.intp], first: int) -> tuple[Alternative, ...]:
        """Some of them, to be weighed under numbers from the first on."""
        if self.left_out is None:
            return ()
        found = tuple(map(self.left_out.one, taken.tolist()))
        self._weighed |= {first + n: int(k) for n, k in enumerate(self._numbers[taken])}
        self._numbers = np.delete(self._numbers, taken)
        self.left_out = self.left_out.but(taken.tolist())
        return found

    def least(self, weighed: Mapping[int, float]) -> float:
        """The least of those that are weighed after all."""
        return min((own for k, own in weighed.items() if k in self._weighed), default=inf)

    def nearest(self, weighed: Mapping[int, float], over: NDArray[np.float64]) -> list[int]:
        """The nearest of all, by their first numbers."""
        every = [(own, self._weighed[k]) for k, own in weighed.items() if k in self._weighed]
        every += zip(over.tolist(), self._numbers.tolist(), strict=True)
        return [number for _, number in sorted(every)[:MOST_UNSEEN]]


def of_these(problem: Packing, found: Packed, kept: Sequence[int]) -> tuple[Packing, Packed]:
    """Some of the wishes alone, and what is chosen of them."""
    rest = replace(problem, wishes=tuple(problem.wishes[i] for i in kept))
    numbers = tuple(found.chosen[i] for i in kept)
    return rest, Packed(numbers, cost(rest, numbers), -inf, False)


def nearest_of(
    problem: Packing, kept: Sequence[Sequence[int]], known: float
) -> tuple[list[list[int]], float, list[dict[int, float]], list[float]]:
    """What may be in a choice as cheap as the known one, the cheapest first; what none undercuts.

    Leaving out what is too dear leaves fewer to share a task with, which makes more too dear. With
    them the parts and the floor of each wish.
    """
    while True:
        parts = _parts(problem, kept)
        floors = [
            min([wish.given_up, *own.values()])
            for wish, own in zip(problem.wishes, parts, strict=True)
        ]
        gap = known - sum(floors)
        near = [
            sorted((k for k in own if own[k] - floor <= gap + HAIR), key=own.__getitem__)
            for own, floor in zip(parts, floors, strict=True)
        ]
        if sum(map(len, near)) == sum(map(len, kept)):
            return near, sum(floors), parts, floors
        kept = near


def _parts(problem: Packing, kept: Sequence[Sequence[int]]) -> list[dict[int, float]]:
    """What each alternative costs at the least: of a shared task its part, were it shared by all.

    No choice costs less than the sum of its parts.
    """
    sharers: dict[str, set[int]] = defaultdict(set)
    for i, numbers in enumerate(kept):
        for k in numbers:
            for task, _ in problem.wishes[i].alternatives[k].tasks:
                sharers[task].add(i)
    return [
        {
            k: each.penalty + sum(price / len(sharers[task]) for task, price in each.tasks)
            for k in numbers
            for each in [problem.wishes[i].alternatives[k]]
        }
        for i, numbers in enumerate(kept)
    ]


def is_met(found: Packed) -> bool:
    """Whether nothing can be better."""
    return found.penalty - found.bound <= MET
