"""The answer to a week, as plain frozen data."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum

from pointage.timetable.joint import JointBuild
from pointage.timetable.plan import Conflict, Plan
from pointage.timetable.upkeep.task import PlacedTask
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
    """Chances that a wish is kept: if its baker follows the signs, and by the clock alone.

    watched: if she follows them and looks at each mixture as often as it takes.
    """

    by_signs: float
    by_clock: float
    watched: float = 0.0


@dataclass(frozen=True, slots=True)
class LookRule:
    """When to look at what stands after a step, and what to do by what is seen.

    at: the look; has it come, what is next is done. again: else the look is repeated then. until:
    so long can that wait, and the wish is still kept. then: the key of what is next, or CHILL.
    """

    at: datetime
    again: datetime
    until: datetime
    then: str


CHILL = "chill"
"""What is next of a levain that goes into the fridge, for a LookRule."""


@dataclass(frozen=True, slots=True)
class StepWindow:
    """From when and until when a step, by its key, is done where the wish is kept (5 to 95 %)."""

    key: str
    earliest: datetime
    latest: datetime
    look: LookRule | None = None


@dataclass(frozen=True, eq=False)
class WishAnswer:
    """What becomes of a wish. plan: None where it is given up; then ready and odds are too.

    shared_by: other wishes, by number, whose culture is woken with this one's; their plans lack
    those feeds. windows: of the steps that wait for signs.
    """

    wish: WeekWish
    ready: datetime | None = None
    plan: Plan | None = None
    odds: KeptOdds | None = None
    shared_by: tuple[int, ...] = ()
    windows: tuple[StepWindow, ...] = ()

    @property
    def kept(self) -> bool:
        return self.ready is not None and self.wish.keeps(self.ready)


@dataclass(frozen=True, eq=False)
class WeekAnswer:
    """A whole week. penalty and bound are in penalty hours, what was given up not counted.

    upkeep: what the cultures need beside the bakes, in order. joint: builds that several wishes
    share, by the numbers of the wishes. gap: the share of the penalty, 0 to 1, that another choice
    which keeps the same wishes might save at the most. The bound is of all choices, those that give
    up others too.
    """

    status: WeekStatus
    penalty: float
    bound: float
    wishes: tuple[WishAnswer, ...]
    clashes: tuple[Clash, ...] = ()
    upkeep: tuple[PlacedTask, ...] = ()
    joint: tuple[JointBuild, ...] = ()
    gap: float = 0.0
