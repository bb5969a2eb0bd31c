"""The question of a week, as plain frozen data: several wishes in one kitchen, from now on."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta
from enum import StrEnum

from pointage.kitchen.kitchen import CultureAtHand, Kitchen
from pointage.mixture.traits import Traits
from pointage.timetable.occupied import Occupied
from pointage.timetable.pin import Pin
from pointage.timetable.plan import StepKind, Thread
from pointage.timetable.problem import Problem
from pointage.timetable.upkeep.task import CultureTask, KeptCulture
from pointage.timetable.ways.lean import AS_USUAL, Lean

LONGEST = timedelta(days=14)
"""How far ahead a week is planned."""
EARLY = timedelta(hours=3)
"""So long before an exact time bread may be out."""
LATE = timedelta(hours=2)
"""So long after its time a wish that is not firm may be kept."""
ON_TIME = timedelta(minutes=20)
"""Later by no more than that is still kept (ours)."""
SOON = timedelta(hours=96)
"""Within which a wish for as early as can be is looked for."""


class WantedStage(StrEnum):
    """How far a wish goes: ripe levain to hand out, dough mixed, bulk over, shaped, or bread."""

    RIPE = "ripe"
    MIXED = "mixed"
    BULK = "bulk"
    SHAPED = "shaped"
    BAKED = "baked"

    @property
    def steps(self) -> frozenset[StepKind]:
        """What is done for it."""
        return frozenset(kind for kind, stage in _LAST.items() if _ORDER[stage] <= _ORDER[self])


_ORDER = {stage: n for n, stage in enumerate(WantedStage)}
_LAST = {
    StepKind.FEED: WantedStage.RIPE,
    StepKind.BUILD: WantedStage.RIPE,
    StepKind.SOAK: WantedStage.MIXED,
    StepKind.MIX: WantedStage.MIXED,
    StepKind.BULK: WantedStage.BULK,
    StepKind.FOLD: WantedStage.BULK,
    StepKind.DIVIDE: WantedStage.SHAPED,
    StepKind.REST: WantedStage.SHAPED,
    StepKind.SHAPE: WantedStage.SHAPED,
    StepKind.PROOF: WantedStage.BAKED,
    StepKind.RETARD: WantedStage.BAKED,
    StepKind.PREHEAT: WantedStage.BAKED,
    StepKind.BAKE: WantedStage.BAKED,
    StepKind.COOL: WantedStage.BAKED,
}


class WantedWhen(StrEnum):
    """By a time, at any time between two, or as early as can be."""

    READY = "ready"
    BETWEEN = "between"
    EARLIEST = "earliest"


@dataclass(frozen=True, eq=False)
class WeekWish:
    """One wish. problem: its bake, with `ready` the last instant at which it is wanted.

    since: of a span or of as early as can be, the first. firm: whether it must be kept; else it may
    be late by LATE, or given up, at a price. lean: what is leaned to where there is a choice. pin:
    a step that is wanted at a time of its own.
    """

    problem: Problem
    when: WantedWhen = WantedWhen.READY
    since: datetime | None = None
    stage: WantedStage = WantedStage.BAKED
    firm: bool = True
    lean: Lean = AS_USUAL
    pin: Pin | None = None

    @property
    def last(self) -> datetime:
        return self.problem.ready

    @property
    def first(self) -> datetime:
        """The earliest instant that keeps it."""
        if self.when is WantedWhen.READY or self.since is None:
            return max(self.problem.now, self.last - EARLY)
        return max(self.problem.now, self.since)

    def keeps(self, ready: datetime) -> bool:
        """Whether it is kept by what is ready then."""
        return self.first <= ready <= self.last + ON_TIME


@dataclass(frozen=True, eq=False)
class WeekQuestion:
    """Several wishes in one kitchen. What is under way is occupied in each wish's problem.

    cultures: those that are kept through the week beside the bakes; tasks: of others (a young one's
    days), as they are. occupied: what bakes under way take, for these.
    """

    kitchen: Kitchen
    now: datetime
    wishes: tuple[WeekWish, ...]
    cultures: tuple[KeptCulture, ...] = ()
    tasks: tuple[CultureTask, ...] = ()
    occupied: tuple[Occupied, ...] = ()


@dataclass(frozen=True, eq=False)
class Jar:
    """A culture as it stands, from which a levain may be built anew.

    believed: as of a problem, by what was seen of the bake it is for.
    """

    culture: CultureAtHand
    believed: Traits | None = None


@dataclass(frozen=True, slots=True)
class UnderWay:
    """A wish as it was planned and as far as it was done.

    thread: the instants of what was done as they were, of the rest as planned. feeds: so many of
    them were done. mixed, divided: whether the dough was. jar: what its levain may be built from
    anew, where that can be.
    """

    thread: Thread
    feeds: int = 0
    mixed: bool = False
    divided: bool = False
    jar: Jar | None = None

    @property
    def begun(self) -> bool:
        return self.feeds > 0

    @property
    def may_begin_anew(self) -> bool:
        """Whether another levain may be built in the place of the one that stands."""
        return self.begun and not self.mixed and self.jar is not None
