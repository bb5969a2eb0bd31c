"""A figure from outside, and what the engine makes of it. The tests and docs/validation share them.

`published` is one number, held within `tolerance` (of it, when `relative`), or a range from low to
high, held as it stands with `tolerance` beyond either end.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass

HELD_BACK = ""
"""`sets` of a figure that nothing was set by, so that it checks the engine."""


@dataclass(frozen=True, slots=True)
class Departure:
    """Ours is known to lie outside the tolerance, `within` this of the figure, and why."""

    within: float
    why: str


@dataclass(frozen=True, slots=True)
class Case:
    """One figure from outside; `ours` runs the engine for the same.

    sets: the constants that were set by it, by their names in the source, which makes it *fitted*
    and no check; HELD_BACK where there are none; None: as its topic says.
    """

    what: str
    published: float | tuple[float, float]
    ours: Callable[[], float]
    tolerance: float = 0.0
    relative: bool = False
    sets: str | None = None
    departure: Departure | None = None

    def residual(self, ours: float) -> float:
        """Ours less the published figure; from the nearer end of a range, 0 inside it."""
        if isinstance(self.published, tuple):
            low, high = self.published
            return min(ours - low, 0.0) + max(ours - high, 0.0)
        return ours - self.published

    def holds(self, ours: float) -> bool:
        """Whether the residual is within the tolerance; NaN never is.

        A case that departs holds outside of it and within its departure, so that one that is mended
        or grows worse is noticed.
        """
        size = 1.0
        if self.relative and not isinstance(self.published, tuple):
            size = abs(self.published)
        away = abs(self.residual(ours)) / size
        if self.departure is None:
            return away <= self.tolerance + 1e-12
        return self.tolerance < away <= self.departure.within


@dataclass(frozen=True, slots=True)
class Topic:
    """Cases from one source, and why the tolerance is what it is.

    sets: that of its cases which say nothing of their own. practice: a rule of the trade without
    any source, which never stands under "published".
    """

    title: str
    source: str
    why: str
    cases: tuple[Case, ...]
    sets: str | None = None
    practice: bool = False

    def set_by(self, case: Case) -> str:
        """The constants set by a case, HELD_BACK for none. ValueError where nothing is said."""
        sets = self.sets if case.sets is None else case.sets
        if sets is None:
            raise ValueError(f"{self.title}, {case.what}: is it fitted or held back?")
        return sets


def each(topics: tuple[Topic, ...]) -> list[tuple[str, Case]]:
    """Every case with a name for the test report."""
    return [(f"{topic.title}: {case.what}", case) for topic in topics for case in topic.cases]


def held_back(topics: tuple[Topic, ...]) -> Iterator[tuple[Topic, list[Case]]]:
    """The cases of each topic that nothing was set by."""
    for topic in topics:
        found = [case for case in topic.cases if topic.set_by(case) == HELD_BACK]
        if found:
            yield topic, found
