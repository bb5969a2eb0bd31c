"""Choose one alternative for each wish so that together they use no more than there is.

Plain data, which knows nothing of bread: an alternative uses capacities for spells of whole
minutes and has a penalty; a wish may be given up for a price. It is solved by CP-SAT over a
literal an alternative: at every instant at which a use begins, those that cover it must fit.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import islice
from math import inf

import numpy as np
from numpy.typing import NDArray

from pointage.timetable.choice.alternatives import (
    Alternative,
    CapacityUse,
    InUse,
    LeftOut,
    Options,
    Packed,
    Packing,
    cost,
)
from pointage.timetable.choice.columns import Columns
from pointage.timetable.choice.relaxed import Relaxation, Relaxed
from pointage.timetable.choice.sat import EXACT
from pointage.timetable.choice.solver import solved

FEW, MOST_OF_ALL = 40, 2000
"""Ways of each wish that are chosen between first, and of all together later on."""
MOST_WORK = 1.0
"""Of the solver, in its own deterministic seconds: the same on every machine."""
HAIR = 1e-6
MET = 2 / EXACT
"""A bound no further below a penalty is the same: the solver counts in whole numbers."""
CLOSE, FAR = 0.02, 0.04
"""Of the penalty: a bound that is no further below it is close enough; from the other on, more work
is done for it (ours)."""
BOUND_ROUNDS, MOST_UNSEEN, MOST_CLOSELY = 6, 100, 4000
"""How often ways that were not weighed are looked at for the bound, how many of each wish, and how
many ways of all for that work."""
MEND_ROUNDS, MOST_IN_THE_WAY, MEND_WAYS, MEND_WORK = 3, 4, 300, 0.3
"""How often what was lost is tried again, beside so many others, by so many ways of each, with so
much of the work."""


def one_after_another(problem: Packing, order: Sequence[int] | None = None) -> Packed:
    """Each wish in turn takes the best that the earlier ones leave. It proves nothing."""
    taken = InUse(problem.capacities)
    taken.add(problem.fixed)
    chosen: list[int | None] = [None] * len(problem.wishes)
    for number in range(len(problem.wishes)) if order is None else order:
        wish = problem.wishes[number]
        known = {use.task for uses in taken.uses.values() for use in uses if use.task}
        prices = [
            each.penalty + sum(price for task, price in each.tasks if task not in known)
            for each in wish.alternatives
        ]
        for k in sorted(range(len(prices)), key=prices.__getitem__):
            if prices[k] >= wish.given_up:
                break
            if taken.fits(wish.alternatives[k]):
                chosen[number] = k
                taken.add(wish.alternatives[k].uses, wish.alternatives[k].leaves)
                break
    return Packed(tuple(chosen), cost(problem, chosen), -inf, False)


def pack(problem: Packing, *, work: float = MOST_WORK) -> Packed:
    """The choice that costs least, as far as it is found within so much work, with its bounds."""
    return proved(chosen(problem, work=work), work=work)


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


def chosen(
    problem: Packing,
    *,
    work: float = MOST_WORK,
    known: Packed | None = None,
    so_far: Callable[[Packed], None] | None = None,
) -> Chosen:
    """The choice that costs least, as far as it is found within so much work.

    The few ways of each wish that are nearest to a choice in parts are chosen between first. What
    is lost then is tried again beside the few that stand in its way. What one wish alone could not
    do is left out; what is dearer than the gap between the choice in hand and the bound can be in
    no better one. Giving every wish up is always a choice. known: a choice to begin with. so_far:
    hears of a choice as soon as one is in hand.
    """
    usable = [_usable(problem, wish) for wish in problem.wishes]
    tried = [one_after_another(problem, order) for order in _orders(problem, usable)]
    if known is not None:
        tried.append(replace(known, penalty=cost(problem, known.chosen), bound=-inf))
    in_hand = min(tried, key=lambda each: each.penalty)
    return _cheapest(problem, usable, in_hand, work, so_far=so_far)


def _cheapest(
    problem: Packing,
    usable: Sequence[Sequence[int]],
    in_hand: Packed,
    work: float,
    *,
    so_far: Callable[[Packed], None] | None = None,
) -> Chosen:
    """The cheapest choice, from the one in hand on."""
    near, least, _, _ = _near(problem, usable, in_hand.penalty)
    found = replace(in_hand, bound=least)
    if _is_met(found):
        return Chosen(problem, near, found, best=True)
    columns = Columns.of(problem)
    relaxed = Relaxation(columns, near).solved(work)
    least = max(least, relaxed.bound)
    nearest = [sorted(own, key=own.__getitem__) for own in relaxed.over]
    found = replace(in_hand, bound=least)

    def may_be() -> list[list[int]]:
        """The nearest first, what may be in a cheaper choice."""
        gap = found.penalty - least + HAIR
        every = zip(nearest, relaxed.over, strict=True)
        return [[k for k in those if own[k] <= gap] for those, own in every]

    def weighed(most: int, work: float) -> tuple[Packed, bool]:
        """The cheapest of so many of each; whether it is known to be."""
        every = may_be()
        some = [those[:most] for those in every]
        # What is in hand stays a choice, or its price could not be met.
        for within, k in zip(some, found.chosen, strict=True):
            if k is not None and k not in within:
                within.append(k)
        all_of_them = all(len(those) <= most for those in every)
        it = solved(problem, some, found, work, columns=columns)
        better = replace(min(found, it, key=lambda each: each.penalty), bound=least)
        done = better.penalty - it.bound <= MET
        if all_of_them:
            better = replace(better, bound=max(least, min(it.bound, better.penalty)))
        return better, done

    best = _is_met(found)
    if not best:
        found, _ = weighed(FEW, work)
        best = _is_met(found)
    if so_far is not None:
        so_far(found)
    if not best and None in found.chosen:
        found = _mended(columns, may_be(), found, work)
        best = _is_met(found := replace(found, bound=least))
    if not best:
        found, best = weighed(max(FEW, MOST_OF_ALL // len(problem.wishes)), work)
    again = Chosen(problem, near, found, best, relaxed)
    return again if best else _rest_again(again, work)


def _rest_again(known: Chosen, work: float) -> Chosen:
    """Those that are kept chosen between alone, where some are lost."""
    problem, found = known.problem, known.packed
    kept = [i for i, k in enumerate(found.chosen) if k is not None]
    if len(kept) == len(found.chosen) or not kept:
        return known
    rest, in_hand = _of_these(problem, found, kept)
    again = _cheapest(rest, [known.usable[i] for i in kept], in_hand, work)
    numbers = _back(again.packed.chosen, kept, len(found.chosen))
    packed = replace(found, chosen=numbers, penalty=cost(problem, numbers))
    return replace(known, packed=packed)


def _of_these(problem: Packing, found: Packed, kept: Sequence[int]) -> tuple[Packing, Packed]:
    """Some of the wishes alone, and what is chosen of them."""
    rest = replace(problem, wishes=tuple(problem.wishes[i] for i in kept))
    numbers = tuple(found.chosen[i] for i in kept)
    return rest, Packed(numbers, cost(rest, numbers), -inf, False)


def _back(numbers: Sequence[int | None], kept: Sequence[int], of: int) -> tuple[int | None, ...]:
    every = dict(zip(kept, numbers, strict=True))
    return tuple(every.get(i) for i in range(of))


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
        rest, in_hand = _of_these(problem, found, kept)
        usable = [known.usable[i] for i in kept]
        least_kept = min(_least(rest, usable, in_hand, work, best=_is_met(found)), in_hand.penalty)
    return replace(found, bound=bound, optimal=found.penalty - bound <= MET, least_kept=least_kept)


def _least(
    problem: Packing, usable: Sequence[Sequence[int]], in_hand: Packed, work: float, *, best: bool
) -> float:
    """What no choice between some wishes undercuts. best: the one in hand is the best of what was
    weighed."""
    near, least, _, _ = _near(problem, usable, in_hand.penalty)
    found = replace(in_hand, bound=in_hand.penalty if best else least)
    relaxed = Relaxation(Columns.of(problem), near).solved(work)
    return _bound(Chosen(problem, near, found, best, relaxed), work)


def _bound(known: Chosen, work: float) -> float:
    """What no choice undercuts, with some work where it is far from what was chosen."""
    found = known.packed
    quickly, _ = _beyond(known, work, 1)
    if found.penalty - quickly <= CLOSE * abs(found.penalty):
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
    relaxed = known.relaxed or Relaxation(Columns.of(problem), usable).solved(work)
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
        if found.penalty - bound <= CLOSE * abs(found.penalty):
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
        relaxed = Relaxation(Columns.of(problem), usable).solved(work)
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


def _is_met(found: Packed) -> bool:
    """Whether nothing can be better."""
    return found.penalty - found.bound <= MET


def _mended(
    columns: Columns, usable: Sequence[Sequence[int]], found: Packed, work: float
) -> Packed:
    """What was lost tried again, with all of its ways, beside the few that stand most in its way.

    The others stay as they are, so that few ways are left to choose between.
    """
    problem = columns.problem
    in_vain: dict[int, tuple[int | None, ...]] = {}
    exhausted: set[tuple[frozenset[int], ...]] = set()
    for number in MEND_ROUNDS * list(range(len(problem.wishes))):
        if found.chosen[number] is not None or in_vain.get(number) == found.chosen:
            continue
        free = {number, *_in_the_way(problem, usable[number], found.chosen, wish=number)}
        fixed = InUse(problem.capacities)
        fixed.add(problem.fixed)
        for i, k in enumerate(found.chosen):
            if i not in free and k is not None:
                fixed.add(problem.wishes[i].alternatives[k].uses)
        near: list[list[int]] = []
        for i, (wish, k) in enumerate(zip(problem.wishes, found.chosen, strict=True)):
            own = [] if k is None else [k]
            if i in free:
                fit = (n for n in usable[i] if all(map(fixed.has_room, wish.alternatives[n].uses)))
                some = fit if i == number else islice(fit, MEND_WAYS)
                own = [*own, *(n for n in some if n != k)]
            near.append(own)
        weighed = tuple(map(frozenset, near))
        if near[number] and weighed not in exhausted:
            mended = solved(problem, near, found, MEND_WORK * work, columns=columns)
            if _is_met(mended):
                exhausted.add(weighed)  # the best of these is in hand
        else:
            mended = found
        if mended.penalty < found.penalty - HAIR:
            found = replace(mended, bound=-inf)
        else:
            in_vain[number] = found.chosen
    return found


def _in_the_way(
    problem: Packing, ways: Sequence[int], chosen: Sequence[int | None], *, wish: int
) -> list[int]:
    """The few wishes whose chosen ways leave no room for most ways of another."""
    taken: dict[str, list[tuple[int, CapacityUse]]] = defaultdict(list)
    for i, k in enumerate(chosen):
        for use in () if k is None else problem.wishes[i].alternatives[k].uses:
            taken[use.capacity].append((i, use))
    stands: dict[int, frozenset[int]] = {}

    def standing(use: CapacityUse) -> frozenset[int]:
        found = stands.get(id(use))
        if found is None:
            found = stands[id(use)] = frozenset(
                i
                for i, other in taken[use.capacity]
                if other.start < use.end and other.end > use.start
                and use.amount + other.amount > problem.capacities[use.capacity]
                and not (use.task and use == other)
            )  # fmt: skip
        return found

    share: dict[int, float] = defaultdict(float)
    for way in ways:
        uses = problem.wishes[wish].alternatives[way].uses
        stand = frozenset[int]().union(*map(standing, uses))
        for i in stand:
            share[i] += 1 / len(stand) ** 2
    return sorted(share, key=lambda i: (-share[i], i))[:MOST_IN_THE_WAY]


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


def _orders(problem: Packing, kept: Sequence[Sequence[int]]) -> list[list[int]]:
    """Orders in which the wishes are worth trying one after another: hard to keep ones first."""
    every = list(range(len(problem.wishes)))
    few_first = sorted(every, key=lambda i: (-problem.wishes[i].given_up, len(kept[i])))
    return [every, few_first, every[::-1]]


def _near(
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


def _usable(problem: Packing, wish: Options) -> list[int]:
    """The numbers of the alternatives that may be of use."""
    alone = InUse(problem.capacities)
    alone.add(problem.fixed)
    return [
        k
        for k, each in enumerate(wish.alternatives)
        if (each.penalty < wish.given_up or each.leaves is not None)
        and all(map(alone.has_room, each.uses))
    ]


def all_fit(problem: Packing, *, work: float = MOST_WORK) -> bool:
    """Whether every wish can be kept, at whatever price; False where it is not found out."""
    usable = [_usable(problem, wish) for wish in problem.wishes]
    if not all(usable):
        return False
    tried = [one_after_another(problem, order) for order in _orders(problem, usable)]
    if any(None not in each.chosen for each in tried):
        return True
    return None not in solved(problem, usable, tried[0], work, all_kept=True).chosen
