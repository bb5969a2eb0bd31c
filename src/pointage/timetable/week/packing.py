"""Choose one alternative for each wish so that together they use no more than there is.

Plain data, which knows nothing of bread: an alternative uses capacities for spells of whole
minutes and has a penalty; a wish may be given up for a price. It is solved by CP-SAT over a
literal an alternative: at every instant at which a use begins, those that cover it must fit.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from itertools import islice
from math import inf

from pointage.timetable.sat import EXACT, Literals

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


@dataclass(frozen=True, slots=True)
class CapacityUse:
    """So much of a capacity from one minute to another.

    task: of several alternatives that name the same task it is one use, done once for all of them.
    """

    capacity: str
    start: int
    end: int
    amount: int = 1
    task: str = ""


@dataclass(frozen=True, slots=True)
class HotSpell:
    """Something left hot at a minute; what needs it, needs it left from `start` to `end`."""

    name: str
    start: int
    end: int


@dataclass(frozen=True, slots=True)
class Alternative:
    """One way of keeping a wish.

    tasks: what each of its shared tasks costs, once for all that share it. leaves: what it leaves
    hot behind it. needs: it can only be chosen beside another wish's that leaves one of these.
    """

    penalty: float
    uses: tuple[CapacityUse, ...]
    tasks: tuple[tuple[str, float], ...] = ()
    leaves: HotSpell | None = None
    needs: tuple[HotSpell, ...] = ()

    @property
    def whole(self) -> float:
        """The penalty with nothing shared."""
        return self.penalty + sum(cost for _, cost in self.tasks)


@dataclass(frozen=True, slots=True)
class Options:
    """The alternatives of one wish, and what it costs to give it up.

    left_out: what any that are not among them would cost at the least.
    """

    alternatives: tuple[Alternative, ...]
    given_up: float
    left_out: float = inf


@dataclass(frozen=True)
class Packing:
    """Wishes, how much there is of each capacity, and what of it is used whatever is chosen."""

    capacities: Mapping[str, int]
    wishes: tuple[Options, ...]
    fixed: tuple[CapacityUse, ...] = ()


@dataclass(frozen=True, slots=True)
class Packed:
    """The number of the chosen alternative of each wish, None for one given up.

    penalty: what it costs; bound: what none can undercut; optimal: that they are the same.
    least_kept: what no choice that keeps the same wishes can undercut, those given up not counted.
    """

    chosen: tuple[int | None, ...]
    penalty: float
    bound: float
    optimal: bool
    least_kept: float = -inf


@dataclass
class InUse:
    """What is used so far, to try one alternative after another against it."""

    capacities: Mapping[str, int]
    uses: dict[str, list[CapacityUse]] = field(default_factory=lambda: defaultdict(list))
    hot: list[HotSpell] = field(default_factory=list)

    def fits(self, alternative: Alternative) -> bool:
        return (
            not alternative.needs or any(_left_for(alternative, each) for each in self.hot)
        ) and all(self._room(use) for use in alternative.uses)

    def _room(self, use: CapacityUse) -> bool:
        if not self.uses[use.capacity]:
            return use.amount <= self.capacities[use.capacity]
        during = [
            each
            for each in self.uses[use.capacity]
            if each.start < use.end and each.end > use.start
        ]
        if not during:
            return use.amount <= self.capacities[use.capacity]
        if use.task and use in during:
            return True
        instants = [use.start, *(each.start for each in during if each.start > use.start)]
        most = max(
            sum(each.amount for each in during if each.start <= at < each.end) for at in instants
        )
        return most + use.amount <= self.capacities[use.capacity]

    def add(self, uses: Iterable[CapacityUse], leaves: HotSpell | None = None) -> None:
        for use in uses:
            if not (use.task and use in self.uses[use.capacity]):
                self.uses[use.capacity].append(use)
        if leaves is not None:
            self.hot.append(leaves)


def _left_for(alternative: Alternative, left: HotSpell) -> bool:
    return any(
        need.name == left.name and need.start <= left.start <= need.end
        for need in alternative.needs
    )


def cost(problem: Packing, chosen: Sequence[int | None]) -> float:
    """What a choice costs, shared tasks once."""
    total, tasks = 0.0, dict[str, float]()
    for wish, number in zip(problem.wishes, chosen, strict=True):
        if number is None:
            total += wish.given_up
        else:
            total += wish.alternatives[number].penalty
            tasks |= dict(wish.alternatives[number].tasks)
    return total + sum(tasks.values())


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
    found = in_hand = _mended(problem, usable, in_hand, work)
    # Beside what is lost and dear, nothing is too dear to be in a better choice: if that is too
    # much to weigh, the others are chosen between alone.
    if None not in in_hand.chosen or sum(map(len, usable)) <= MOST_OF_ALL:
        found = _cheapest(problem, usable, in_hand, work)
    if None not in found.chosen:
        return replace(found, least_kept=found.bound)
    kept = [i for i, k in enumerate(found.chosen) if k is not None]
    if not kept:
        return replace(found, least_kept=0.0)
    rest = replace(problem, wishes=tuple(problem.wishes[i] for i in kept))
    numbers = tuple(found.chosen[i] for i in kept)
    best = Packed(numbers, cost(rest, numbers), -inf, False)
    best = _cheapest(rest, [usable[i] for i in kept], best, work)
    every = dict(zip(kept, best.chosen, strict=True))
    chosen = tuple(every.get(i) for i in range(len(problem.wishes)))
    penalty = cost(problem, chosen)
    optimal = penalty - found.bound <= 2 / EXACT
    least_kept = best.bound if None not in best.chosen else -inf
    return Packed(chosen, penalty, found.bound, optimal, least_kept)


def _cheapest(
    problem: Packing, usable: Sequence[Sequence[int]], in_hand: Packed, work: float
) -> Packed:
    """The cheapest choice, from the one in hand on; it may weigh only the cheaper ways of each."""
    near, least, parts, floors = _near(problem, usable, in_hand.penalty)
    dearer = [each.left_out for each in problem.wishes]
    unseen = [each - floor for each, floor in zip(dearer, floors, strict=True)]
    if in_hand.penalty - least <= HAIR:
        bound = min(in_hand.penalty, least + min(unseen, default=inf))
        return replace(in_hand, bound=bound, optimal=in_hand.penalty - bound <= HAIR)
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
    solved = _solved(problem, near, in_hand, work)
    bound = min(solved.bound, least + left_out)
    found = min(in_hand, solved, key=lambda each: each.penalty)
    if None not in found.chosen and bound < found.penalty - CLOSE * abs(found.penalty):
        besides = _solved(problem, near, found, work, unseen=dearer)
        bound = max(bound, min(solved.bound, besides.bound))
    return replace(found, bound=bound, optimal=found.penalty - bound <= 2 / EXACT)


def _mended(
    problem: Packing, usable: Sequence[Sequence[int]], found: Packed, work: float
) -> Packed:
    """What was lost tried again, with all of its ways, beside the few that stand most in its way.

    The others stay as they are, so that few ways are left to choose between.
    """
    in_vain: dict[int, tuple[int | None, ...]] = {}
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
                fit = (n for n in usable[i] if all(map(fixed._room, wish.alternatives[n].uses)))
                some = fit if i == number else islice(fit, MEND_WAYS)
                own = [*own, *(n for n in some if n != k)]
            near.append(own)
        mended = _solved(problem, near, found, MEND_WORK * work) if near[number] else found
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
    share: dict[int, float] = defaultdict(float)
    for way in ways:
        stand = {
            i
            for use in problem.wishes[wish].alternatives[way].uses
            for i, other in taken[use.capacity]
            if other.start < use.end and other.end > use.start
            and use.amount + other.amount > problem.capacities[use.capacity]
            and not (use.task and use == other)
        }  # fmt: skip
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
        and all(map(alone._room, each.uses))
    ]


def all_fit(problem: Packing, *, work: float = MOST_WORK) -> bool:
    """Whether every wish can be kept, at whatever price; False where it is not found out."""
    usable = [_usable(problem, wish) for wish in problem.wishes]
    if not all(usable):
        return False
    tried = [one_after_another(problem, order) for order in _orders(problem, usable)]
    if any(None not in each.chosen for each in tried):
        return True
    return None not in _solved(problem, usable, tried[0], work, all_kept=True).chosen


def _solved(
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
    for row, room in rows(problem, near):
        held = {
            tasks[use.task] if use.task in tasks else literals[i][k]: use.amount
            for i, k, use in row
        }
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
    return Packed(numbers, cost(problem, numbers), found.bound, False)


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
                    if _left_for(each, left)
                    for j, those in by_wish.items()
                    if j != i
                    for one in those
                ]
                model.implies(any_left, found, every=False)
            if each.needs:
                model.implies(literal, [heated[i, each.needs]])


def rows(
    problem: Packing, near: Sequence[Sequence[int]]
) -> Iterator[tuple[list[tuple[int, int, CapacityUse]], int]]:
    """What may be used at one time of one capacity, and how much of it there is then.

    Of uses that overlap, each largest set of which all do, where it may be too much.
    """
    every: dict[str, list[tuple[int, int, CapacityUse]]] = defaultdict(list)
    for use in problem.fixed:
        every[use.capacity].append((-1, -1, use))
    for i, kept in enumerate(near):
        for k in kept:
            for use in problem.wishes[i].alternatives[k].uses:
                every[use.capacity].append((i, k, use))
    for capacity, uses in every.items():
        whole = problem.capacities[capacity]
        largest: dict[int, int] = defaultdict(int)
        for i, _, use in uses:
            largest[i] = max(largest[i], use.amount)
        fixed = sum(use.amount for i, _, use in uses if i < 0)
        if fixed + sum(amount for i, amount in largest.items() if i >= 0) <= whole:
            continue  # there is room for all at any time
        for row in _overlapping(uses):
            fixed = sum(use.amount for i, _, use in row if i < 0)
            most: dict[int, int] = defaultdict(int)
            for i, _, use in row:
                most[i] = max(most[i], use.amount)
            most.pop(-1, None)
            if len(most) > 1 and fixed + sum(most.values()) > whole:
                yield [each for each in row if each[0] >= 0], whole - fixed


def _overlapping(
    uses: Sequence[tuple[int, int, CapacityUse]],
) -> Iterator[list[tuple[int, int, CapacityUse]]]:
    """The largest sets of spells that share an instant."""
    events = sorted(
        event
        for n, (_, _, use) in enumerate(uses)
        for event in ((use.start, 1, n), (use.end, 0, n))
    )
    active: dict[int, None] = {}
    grown = False
    for _, begins, n in events:
        if begins:
            active[n] = None
            grown = True
            continue
        if grown:
            yield [uses[m] for m in active]
            grown = False
        active.pop(n, None)
