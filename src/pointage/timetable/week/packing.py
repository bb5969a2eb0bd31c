"""Choose one alternative for each wish so that together they use no more than there is.

Plain data, which knows nothing of bread: an alternative uses capacities for spells of whole
minutes and has a penalty; a wish may be given up for a price. It is solved by CP-SAT over a
literal an alternative: at every instant at which a use begins, those that cover it must fit.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Sequence
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
from pointage.timetable.choice.columns import UseColumns
from pointage.timetable.choice.proof import (
    HAIR,
    MET,
    MOST_WORK,
    Chosen,
    is_met,
    nearest_of,
    of_these,
    proved,
)
from pointage.timetable.choice.relaxed import Relaxation
from pointage.timetable.choice.solver import solved

FEW, MOST_OF_ALL = 40, 2000
"""Ways of each wish that are chosen between first, and of all together later on."""
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


def chosen(
    problem: Packing,
    *,
    work: float = MOST_WORK,
    known: Packed | None = None,
    so_far: Callable[[Packed], None] | None = None,
    quickly: bool = False,
) -> Chosen:
    """The choice that costs least, as far as it is found within so much work.

    The few ways of each wish that are nearest to a choice in parts are chosen between first. What
    is lost then is tried again beside the few that stand in its way. What one wish alone could not
    do is left out; what is dearer than the gap between the choice in hand and the bound can be in
    no better one. Giving every wish up is always a choice. known: a choice to begin with. so_far:
    hears of a choice as soon as one is in hand. quickly: one that is far from the bound will do.
    """
    usable = [_usable(problem, wish) for wish in problem.wishes]
    tried = [one_after_another(problem, order) for order in _orders(problem, usable)]
    if known is not None:
        tried.append(replace(known, penalty=cost(problem, known.chosen), bound=-inf))
    in_hand = min(tried, key=lambda each: each.penalty)
    return _cheapest(problem, usable, in_hand, work, so_far=so_far, quickly=quickly)


def _cheapest(
    problem: Packing,
    usable: Sequence[Sequence[int]],
    in_hand: Packed,
    work: float,
    *,
    so_far: Callable[[Packed], None] | None = None,
    quickly: bool = False,
) -> Chosen:
    """The cheapest choice, from the one in hand on."""
    near, least, _, _ = nearest_of(problem, usable, in_hand.penalty)
    found = replace(in_hand, bound=least)
    if is_met(found):
        return Chosen(problem, near, found, best=True)
    columns = UseColumns.of(problem)
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

    best = is_met(found)
    if not best:
        found, _ = weighed(FEW, work)
        best = is_met(found)
    if so_far is not None:
        so_far(found)
    if not best and None in found.chosen:
        found = _mended(columns, may_be(), found, work)
        best = is_met(found := replace(found, bound=least))
    again = Chosen(problem, near, found, best, relaxed)
    if quickly and again.is_far:
        return again
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
    rest, in_hand = of_these(problem, found, kept)
    again = _cheapest(rest, [known.usable[i] for i in kept], in_hand, work)
    numbers = _back(again.packed.chosen, kept, len(found.chosen))
    packed = replace(found, chosen=numbers, penalty=cost(problem, numbers))
    return replace(known, packed=packed)


def _back(numbers: Sequence[int | None], kept: Sequence[int], of: int) -> tuple[int | None, ...]:
    every = dict(zip(kept, numbers, strict=True))
    return tuple(every.get(i) for i in range(of))


def _mended(
    columns: UseColumns, usable: Sequence[Sequence[int]], found: Packed, work: float
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
            if is_met(mended):
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


def _orders(problem: Packing, kept: Sequence[Sequence[int]]) -> list[list[int]]:
    """Orders in which the wishes are worth trying one after another: hard to keep ones first."""
    every = list(range(len(problem.wishes)))
    few_first = sorted(every, key=lambda i: (-problem.wishes[i].given_up, len(kept[i])))
    return [every, few_first, every[::-1]]


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
