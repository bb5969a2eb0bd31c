"""The answer to a week, as plain frozen data."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum

from pointage.timetable.plan import Conflict, Plan
from pointage.timetable.week.question import WeekWish


class WeekStatus(StrEnum):
    """How it ended: none is better; kept but perhaps not the best; a firm wish cannot be kept."""

    OPTIMAL = "optimal"
    FEASIBLE = "feasible"
    IMPOSSIBLE = "impossible"


class ReliefKind(StrEnum):
    """What would resolve a clash."""

    LATER = "later"  # a wish at another time
    SLEEP = "sleep"  # work in the sleeping hours
    WITHOUT = "without"  # a wish given up


@dataclass(frozen=True, slots=True)
class Relief:
    """A way out of a clash. wish: whose, by its number; ready: when it then is.

    price: penalty hours more than if nothing clashed; None where nothing can be compared.
    """

    kind: ReliefKind
    wish: int | None = None
    ready: datetime | None = None
    price: float | None = None


@dataclass(frozen=True, slots=True)
class Clash:
    """A smallest set of wishes, by number, that cannot all be kept, and the ways out.

    conflicts: of one that cannot be kept even alone, what stands in its way.
    """

    wishes: tuple[int, ...]
    ways_out: tuple[Relief, ...] = ()
    conflicts: tuple[Conflict, ...] = ()


@dataclass(frozen=True, slots=True)
class KeptOdds:
    """Chances that a wish is kept: if its baker follows the signs, and by the clock alone."""

    by_signs: float
    by_clock: float


@dataclass(frozen=True, eq=False)
class WishAnswer:
    """What becomes of a wish. plan: None where it is given up; then ready and odds are too.

    shared_by: other wishes, by number, whose culture is woken with this one's; their plans lack
    those feeds.
    """

    wish: WeekWish
    ready: datetime | None = None
    plan: Plan | None = None
    odds: KeptOdds | None = None
    shared_by: tuple[int, ...] = ()

    @property
    def kept(self) -> bool:
        return self.ready is not None and self.wish.keeps(self.ready)


@dataclass(frozen=True, eq=False)
class WeekAnswer:
    """A whole week. penalty and bound are in penalty hours, what was given up not counted."""

    status: WeekStatus
    penalty: float
    bound: float
    wishes: tuple[WishAnswer, ...]
    clashes: tuple[Clash, ...] = ()
