"""Labels that would collide, laid out in lanes."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Wanted:
    """A label: where it would like to begin, and how wide it is."""

    x: float
    width: float


@dataclass(frozen=True, slots=True)
class Placed:
    """Where a label begins and in which lane, counted from the one nearest to its bead."""

    x: float
    lane: int


def lay_out(labels: Sequence[Wanted], right: float, gap: float) -> list[Placed]:
    """A place for each label, none overlapping another and none past `right`.

    Labels come in order of x. Each takes the nearest lane whose last label ends before it begins.
    """
    ends: list[float] = []
    placed = []
    for label in labels:
        x = min(label.x, right - label.width)
        lane = next((n for n, end in enumerate(ends) if end + gap <= x), len(ends))
        if lane == len(ends):
            ends.append(0)
        ends[lane] = x + label.width
        placed.append(Placed(x, lane))
    return placed
