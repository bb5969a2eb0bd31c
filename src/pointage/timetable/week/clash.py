"""Which wishes clash: a smallest set that cannot all be kept, found by plain data alone."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from itertools import combinations

from pointage.timetable.choice.alternatives import Packing
from pointage.timetable.week.packing import all_fit

LARGEST = 4
"""Wishes in a clash that are looked for one set after another; a larger one is thinned out."""


def within(problem: Packing, wishes: Sequence[int]) -> Packing:
    """The problem of these wishes alone."""
    return replace(problem, wishes=tuple(problem.wishes[i] for i in wishes))


def can_all(problem: Packing, wishes: Sequence[int]) -> bool:
    """Whether these wishes can be kept together, as far as it was found."""
    return all_fit(within(problem, wishes))


def clash_with(problem: Packing, wish: int, kept: Sequence[int]) -> tuple[int, ...]:
    """A smallest set of wishes with `wish` in it, the others among `kept`, that cannot all be.

    Small sets are tried in order of size. Where none of them is one, wishes are left out of all of
    them one after another as long as the rest still clashes: then none of it can be spared.
    """
    others = sorted(kept)
    for size in range(LARGEST if len(others) <= LARGEST else 2):
        for some in combinations(others, size):
            if not can_all(problem, (*some, wish)):
                return tuple(sorted((*some, wish)))
    left = list(others)
    for each in others:
        fewer = [one for one in left if one != each]
        if not can_all(problem, (*fewer, wish)):
            left = fewer
    return tuple(sorted((*left, wish)))
