"""A figure from outside, and what the engine makes of it. The tests and docs/validation share them.

`published` is one number, held within `tolerance` (of it, when `relative`), or a range from low to
high, held as it stands with `tolerance` beyond either end.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Case:
    """One published figure; `ours` runs the engine for the same."""

    what: str
    published: float | tuple[float, float]
    ours: Callable[[], float]
    tolerance: float = 0.0
    relative: bool = False

    def residual(self, ours: float) -> float:
        """Ours less the published figure; from the nearer end of a range, 0 inside it."""
        if isinstance(self.published, tuple):
            low, high = self.published
            return min(ours - low, 0.0) + max(ours - high, 0.0)
        return ours - self.published

    def holds(self, ours: float) -> bool:
        """Whether the residual is within the tolerance; NaN never is."""
        slack = self.tolerance
        if self.relative and not isinstance(self.published, tuple):
            slack *= abs(self.published)
        return abs(self.residual(ours)) <= slack + 1e-12


@dataclass(frozen=True, slots=True)
class Topic:
    """Cases from one source, and why the tolerance is what it is."""

    title: str
    source: str
    why: str
    cases: tuple[Case, ...]


def each(topics: tuple[Topic, ...]) -> list[tuple[str, Case]]:
    """Every case with a name for the test report."""
    return [(f"{topic.title}: {case.what}", case) for topic in topics for case in topic.cases]
