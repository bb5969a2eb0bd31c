"""Alternatives of wishes and what they use, as plain data which knows nothing of bread.

An alternative uses capacities for spells of whole minutes and has a penalty; a wish may be given up
for a price.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from math import inf

import numpy as np
from numpy.typing import NDArray


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


@dataclass(frozen=True, eq=False)
class LeftOut:
    """Alternatives of a wish that are not weighed, as columns.

    penalty: what each costs at the least; which: of every part the number of what it uses and
    shares, as do all that have the same there. What is not in a part is not known.
    """

    penalty: NDArray[np.float64]
    which: NDArray[np.intp]
    parts: tuple[tuple[Alternative, ...], ...]

    def one(self, number: int) -> Alternative:
        """One of them, as far as it is known."""
        own = [part[n] for part, n in zip(self.parts, self.which[number], strict=True)]
        return Alternative(
            float(self.penalty[number]),
            tuple(use for each in own for use in each.uses),
            tuple(task for each in own for task in each.tasks),
            next((each.leaves for each in own if each.leaves), None),
            tuple(need for each in own for need in each.needs),
        )

    def coarser(self) -> LeftOut:
        """With those as one that are alike in the first part and the last: fewer, of which less is
        known, and none dearer."""
        ends = self.which[:, [0, -1]]
        which, of = np.unique(ends, axis=0, return_inverse=True)
        least = np.full(len(which), inf)
        np.minimum.at(least, of.reshape(-1), self.penalty)
        if len(self.parts) == 1:
            return LeftOut(least, which[:, :1], self.parts)
        return LeftOut(least, which, (self.parts[0], self.parts[-1]))

    def but(self, numbers: Sequence[int]) -> LeftOut:
        """All but some of them."""
        penalty = np.delete(self.penalty, list(numbers))
        return LeftOut(penalty, np.delete(self.which, list(numbers), axis=0), self.parts)


@dataclass(frozen=True, slots=True)
class Options:
    """The alternatives of one wish, and what it costs to give it up.

    left_out: those that are not among them.
    """

    alternatives: tuple[Alternative, ...]
    given_up: float
    left_out: LeftOut | None = None


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
    _room: dict[str, dict[int, tuple[CapacityUse, bool]]] = field(
        default_factory=lambda: defaultdict(dict)
    )

    def fits(self, alternative: Alternative) -> bool:
        return (
            not alternative.needs or any(left_for(alternative, each) for each in self.hot)
        ) and all(self.has_room(use) for use in alternative.uses)

    def has_room(self, use: CapacityUse) -> bool:
        # Many alternatives have the very same use; it is kept, so that its number stays its own.
        asked = self._room[use.capacity]
        found = asked.get(id(use))
        if found is None:
            found = asked[id(use)] = use, self._has_room(use)
        return found[1]

    def _has_room(self, use: CapacityUse) -> bool:
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
                self._room.pop(use.capacity, None)
        if leaves is not None:
            self.hot.append(leaves)


def left_for(alternative: Alternative, left: HotSpell) -> bool:
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
