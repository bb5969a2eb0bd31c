"""Choose one alternative for each wish so that together they use no more than there is.

Plain data, which knows nothing of bread: an alternative uses capacities for spells of whole
minutes and has a penalty; a wish may be given up for a price. It is solved by CP-SAT over a
literal an alternative: at every instant at which a use begins, those that cover it must fit.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import replace
from itertools import islice
from math import inf

from pointage.timetable.choice.alternatives import (
    CapacityUse,
    InUse,
    Options,
    Packed,
    Packing,
    cost,
)
from pointage.timetable.choice.sat import EXACT
from pointage.timetable.choice.solver import solved

MOST_ALTERNATIVES, MOST_OF_ALL = 400, 2000
"""Of one wish, and of all together, that the solver is given; what is left out is in the bound."""
MOST_WORK = 1.0
"""Of the solver, in its own deterministic seconds: the same on every machine."""
HAIR = 1e-6
CLOSE = 0.01
"""Of the penalty: a bound that is no further below it is close enough (ours)."""
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
    """The choice that costs least, as far as it is found within so much work.

    What is lost by taking one after another is tried again beside the few that stand in its way.
    What one wish alone could not do is left out; then what is dearer than the whole gap between a
    choice in hand and the sum of the cheapest can be in no better choice. Giving every wish up is
    always a choice; where some are, the others are chosen between once more, for a bound of theirs.
    """
    usable = [_usable(problem, wish) for wish in problem.wishes]
    in_hand = min(
        (one_after_another(problem, order) for order in _orders(problem, usable)),
        key=lambda each: each.penalty,
    )
    in_hand = _mended(problem, usable, in_hand, work)
    found, best = _cheapest(problem, usable, in_hand, work)
    return _chosen_again(problem, usable, found, work, best=best)


def _chosen_again(
    problem: Packing, usable: Sequence[Sequence[int]], found: Packed, work: float, *, best: bool
) -> Packed:
    """The same where all is kept; else those kept are chosen between alone, for their bound.

    best: whether it is known to be the best of what was weighed.
    """
    kept = [i for i, k in enumerate(found.chosen) if k is not None]
    if len(kept) == len(found.chosen) or not kept:
        return replace(found, least_kept=found.bound if kept else 0.0)
    rest = replace(problem, wishes=tuple(problem.wishes[i] for i in kept))
    numbers = tuple(found.chosen[i] for i in kept)
    in_hand = Packed(numbers, cost(rest, numbers), -inf, False)
    usable = [usable[i] for i in kept]
    again, best = _cheapest(rest, usable, in_hand, work, best=best)
    again = _chosen_again(rest, usable, again, work, best=best)
    every = dict(zip(kept, again.chosen, strict=True))
    chosen = tuple(every.get(i) for i in range(len(problem.wishes)))
    penalty = cost(problem, chosen)
    optimal = penalty - found.bound <= 2 / EXACT
    return Packed(chosen, penalty, found.bound, optimal, again.least_kept)


def _cheapest(
    problem: Packing,
    usable: Sequence[Sequence[int]],
    in_hand: Packed,
    work: float,
    *,
    best: bool = False,
) -> tuple[Packed, bool]:
    """The cheapest choice, from the one in hand on; it may weigh only the cheaper ways of each.

    And whether it is the best of those. best: it is known to be in hand, and wants but its bound.
    """
    near, least, parts, floors = _near(problem, usable, in_hand.penalty)
    dearer = [each.left_out for each in problem.wishes]
    unseen = [each - floor for each, floor in zip(dearer, floors, strict=True)]
    if in_hand.penalty - least <= HAIR:
        bound = min(in_hand.penalty, least + min(unseen, default=inf))
        return replace(in_hand, bound=bound, optimal=in_hand.penalty - bound <= HAIR), True
    left_out = min(unseen, default=inf)
    most = min(MOST_ALTERNATIVES, MOST_OF_ALL // len(problem.wishes))
    for i, (own, floor) in enumerate(zip(parts, floors, strict=True)):
        if len(near[i]) > most:
            dearer[i] = min(dearer[i], own[near[i][most]])
            left_out = min(left_out, dearer[i] - floor)
            near[i] = near[i][:most]
    # What is in hand stays a choice, or its price could not be met.
    for within, k in zip(near, in_hand.chosen, strict=True):
        if k is not None and k not in within:
            within.append(k)
    found = replace(in_hand, bound=least)
    if not best:
        it = solved(problem, near, in_hand, work)
        found = replace(min(in_hand, it, key=lambda each: each.penalty), bound=it.bound)
        best = found.penalty - found.bound <= 2 / EXACT
    bound = min(found.bound, least + left_out)
    if None not in found.chosen and bound < found.penalty - CLOSE * abs(found.penalty):
        besides = solved(problem, near, found, work, unseen=dearer)
        bound = max(bound, besides.bound)
    bound = min(bound, found.penalty)  # the solver rounds
    return replace(found, bound=bound, optimal=found.penalty - bound <= 2 / EXACT), best


def _mended(
    problem: Packing, usable: Sequence[Sequence[int]], found: Packed, work: float
) -> Packed:
    """What was lost tried again, with all of its ways, beside the few that stand most in its way.

    The others stay as they are, so that few ways are left to choose between.
    """
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
            mended = solved(problem, near, found, MEND_WORK * work)
            if mended.penalty - mended.bound <= 2 / EXACT:
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
