"""A plan: what hands, oven and mixtures do, and when. The answer of the timetable, frozen."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta
from enum import StrEnum
from itertools import pairwise

from pointage.formula.ladder import Ladder as Ladder  # noqa: PLC0414
from pointage.formula.ladder import Pour as Pour  # noqa: PLC0414
from pointage.kitchen.capacity import CapacityKind
from pointage.timetable.remark import Argument, RemarkCode, grams
from pointage.timetable.remark import Conflict as Conflict  # noqa: PLC0414
from pointage.timetable.remark import Remark as Remark  # noqa: PLC0414

KEEP = "keep"
"""At the end of a step's key: the keeping feed that is done with it."""


class StepKind(StrEnum):
    """What a step is, in the trade's words."""

    FEED = "feed"
    BUILD = "build"
    SOAK = "soak"
    MIX = "mix"
    BULK = "bulk"
    FOLD = "fold"
    DIVIDE = "divide"
    REST = "rest"
    SHAPE = "shape"
    PROOF = "proof"
    RETARD = "retard"
    PREHEAT = "preheat"
    BAKE = "bake"
    COOL = "cool"


class Manner(StrEnum):
    """How a step is done, where there are two ways: a feed, a soak, dividing, shaping."""

    PLAIN = ""
    SCALD = "scald"
    PRESHAPE = "preshape"
    TIN = "tin"
    KEEP = "keep"


@dataclass(frozen=True, slots=True)
class Quantiles:
    """10, 50 and 90 % of a forecast instant."""

    p10: datetime
    p50: datetime
    p90: datetime


@dataclass(frozen=True, slots=True)
class PlannedLook:
    """What a reading of the rise at an instant would leave of a band: its half, in hours."""

    at: datetime
    left_h: float


@dataclass(frozen=True, slots=True)
class CourseRow:
    """One instant of a course: the temperature in °C, the rise with its 10/50/90 %, and the pH."""

    at: datetime
    temperature_c: float
    rise: float
    rise_p10: float
    rise_p90: float
    ph: float


@dataclass(frozen=True, slots=True)
class StepCourse:
    """What a mixture does while it stands: its course and when it is ripe.

    vessel: what it stands in, "" where that is not named. full: the share of it that is filled at a
    rise of 1; 0 where there is no level. core_lag_h: how far its core is behind its mean.
    caution: that it may pass the brim. looks: readings worth taking before it is ripe, or has risen
    as wanted, in order; half_h: half the 80 % band of when that is, in hours, with none of them.
    """

    rows: tuple[CourseRow, ...]
    ripe_from: Quantiles | None
    ripe_until: Quantiles | None
    peak: Quantiles | None
    rise_at_end: float
    ph_at_end: float
    vessel: str = ""
    full: float = 0.0
    core_lag_h: float = 0.0
    caution: Remark | None = None
    looks: tuple[PlannedLook, ...] = ()
    half_h: float = 0.0

    def rise_at(self, at: datetime) -> float | None:
        """The median rise at an instant, straight lines between rows; None outside them."""
        for before, after in pairwise(self.rows):
            if before.at <= at <= after.at:
                share = (at - before.at) / (after.at - before.at)
                return before.rise + share * (after.rise - before.rise)
        return None

    def mean_c_at(self, at: datetime) -> float:
        """The mean °C by the row nearest to an instant, the first where it lies before all."""
        return min(self.rows, key=lambda row: abs(row.at - at)).temperature_c

    def core_c_at(self, at: datetime) -> float:
        """The °C of its core: once it warms or cools steadily, what the mean was so long ago."""
        return self.mean_c_at(at - timedelta(hours=self.core_lag_h))


@dataclass(frozen=True, slots=True)
class Keeping:
    """The feed of what a build leaves of its culture, done within the build's own time.

    discard_g: what is discarded before it. It stands at `place`, and from `moved` on at `then`; ""
    and None where it stays.
    """

    ladder: Ladder
    discard_g: float
    place: str
    mixture_temperature_c: float | None = None
    then: str = ""
    moved: datetime | None = None


@dataclass(frozen=True, slots=True)
class Step:
    """One step. `hands` says whether it asks for a person from `start` to `end`.

    capacity: the name of the oven it is at; "" for all other steps.
    number, of: which it is of several feeds, folds or loads. added: the stages that go in with it.
    keeping: of a build, the feed of what it leaves of the culture. left: of a feed or build that
    was done, that its levain was given up and another is built.
    """

    key: str
    kind: StepKind
    start: datetime
    end: datetime
    hands: bool
    place: str
    mixture: str = ""
    grams: float = 0.0
    pieces: int = 0
    ladder: Ladder | None = None
    water_temperature_c: float | None = None
    mixture_temperature_c: float | None = None
    oven_temperature_c: float | None = None
    ripe_odds: float | None = None
    standing: StepCourse | None = None
    number: int = 0
    of: int = 0
    manner: Manner = Manner.PLAIN
    added: tuple[str, ...] = ()
    remarks: tuple[Remark, ...] = ()
    capacity: str = ""
    keeping: Keeping | None = None
    left: bool = False

    @property
    def keep(self) -> Step | None:
        """The keeping feed as a step of its own, with a key of its own, done with this one."""
        kept = self.keeping
        if kept is None:
            return None
        about: dict[str, Argument] = {"discard": grams(kept.discard_g), "place": kept.place}
        if kept.moved is not None:
            about |= {"then": kept.then, "moved": kept.moved}
        return Step(
            f"{self.key}/{KEEP}", StepKind.FEED, self.start, self.end, True, kept.place,
            mixture=kept.ladder.pours[0].name, ladder=kept.ladder, manner=Manner.KEEP,
            mixture_temperature_c=kept.mixture_temperature_c,
            remarks=(Remark(RemarkCode.KEEPING, about),),
        )  # fmt: skip


@dataclass(frozen=True, slots=True)
class Shortage:
    """From `start` to `end` a plan needs more of a capacity than other bakes leave of it.

    needed, free: in `unit`. free_from: when there is enough, were all of it later; None where there
    never is. most_pieces: so many of the pieces do have room.
    """

    capacity: str
    kind: CapacityKind
    needed: float
    free: float
    unit: str
    start: datetime
    end: datetime
    free_from: datetime | None
    most_pieces: int

    @property
    def name(self) -> str:
        """As a conflict is named: "fridge", "baskets" or "tins"."""
        return "fridge" if self.kind is CapacityKind.FRIDGE else f"{self.kind}s"

    @property
    def missing(self) -> float:
        return self.needed - self.free


class Status(StrEnum):
    """How the search ended."""

    BEST = "best"  # nothing among the alternatives weighed is better
    IMPOSSIBLE = "impossible"  # no alternative keeps every wish; see the conflicts


@dataclass(frozen=True, slots=True)
class Feed:
    """One feed of a thread: when, and seed over the flour of the feed.

    chilled: when it goes into the fridge, shortly before its peak, to wait there for what takes
    from it; None where it is taken as it stands. warmed: when it comes out again, to stand in the
    warm until it is taken; None where it is taken from the fridge.
    """

    at: datetime
    seed_share: float
    chilled: datetime | None = None
    warmed: datetime | None = None


@dataclass(frozen=True, slots=True)
class Thread:
    """What was chosen for one dough, from which its courses can be run again.

    feeds: the waking feeds and last the levain's builds. soaks: one for each soaker. shaped: when
    shaping ends; then the pieces proof, or are retarded, until their load goes into the oven. oven:
    its name, "" for the formula's first.
    """

    feeds: tuple[Feed, ...]
    soaks: tuple[datetime, ...]
    mix: datetime
    divide: datetime
    shaped: datetime
    retarded: bool
    preheat: datetime
    loads: tuple[datetime, ...]
    oven: str = ""


@dataclass(frozen=True, slots=True)
class Plan:
    """A whole plan for one bake. `penalty` and `bound` are in penalty hours (docs/decisions).

    shortages: what it needs more of than there is, where a cook can make do (baskets and tins).
    """

    formula: str
    culture: str
    ready: datetime
    zone: str
    pieces: int
    piece_g: float
    steps: tuple[Step, ...]
    status: Status
    penalty: float | None
    bound: float | None
    conflicts: tuple[Conflict, ...] = ()
    cautions: tuple[Remark, ...] = ()
    thread: Thread | None = None
    shortages: tuple[Shortage, ...] = ()

    @property
    def fed(self) -> tuple[Step, ...]:
        """The feeds and builds of its levain, without those of one that was given up."""
        kinds = (StepKind.FEED, StepKind.BUILD)
        return tuple(step for step in self.steps if step.kind in kinds and not step.left)
