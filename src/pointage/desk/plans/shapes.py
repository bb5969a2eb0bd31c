"""The shape of a plan in its document, version 2: each class of the core with its own fields.

What stands at its default is left out. A course is kept by columns, a third of the same by rows.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime, timedelta
from typing import Any, Self

from pydantic import Field, FiniteFloat, model_validator

from pointage.bounds import PIECE_G, PIECES
from pointage.desk.plans.edges import (
    About,
    CoreShape,
    Grams,
    Instant,
    Name,
    Zone,
    core,
)
from pointage.formula.ladder import (
    Bowl,
    Ladder,
    Pour,
    PourKind,
    PourState,
)
from pointage.kitchen.capacity import CapacityKind
from pointage.language import say
from pointage.timetable.plan import (
    CourseRow,
    Feed,
    Keeping,
    Manner,
    Plan,
    PlannedLook,
    Quantiles,
    Shortage,
    Status,
    Step,
    StepCourse,
    StepKind,
    Thread,
)
from pointage.timetable.remark import (
    Conflict,
    ConflictName,
    Remark,
    RemarkCode,
)

MINUTE = timedelta(minutes=1)
COLUMNS = ("temperature_c", "rise", "rise_p10", "rise_p90", "ph")


class RemarkShape(CoreShape):
    _of = Remark

    code: RemarkCode
    about: About = Field(default_factory=dict)
    text: str = ""

    def made(self) -> Remark:
        return Remark(self.code, _about(self.about), self.text)


class ConflictShape(CoreShape):
    _of = Conflict

    name: ConflictName
    about: About = Field(default_factory=dict)

    def made(self) -> Conflict:
        return Conflict(self.name, _about(self.about))


def _about(about: About) -> dict[str, Any]:
    return {k: v.made() if isinstance(v, CoreShape) else v for k, v in about.items()}


class PourShape(CoreShape):
    _of = Pour

    kind: PourKind
    name: Name
    grams: Grams
    display_g: Grams
    temperature_c: FiniteFloat | None = None
    state: PourState = PourState.PLAIN


class BowlShape(CoreShape):
    _of = Bowl

    vessel: str
    tare_g: Grams


class LadderShape(CoreShape):
    _of = Ladder

    vessel: str
    tare_g: Grams
    step_g: FiniteFloat = Field(gt=0)
    pours: tuple[PourShape, ...] = Field(min_length=1)
    more: tuple[BowlShape, ...] = ()

    @model_validator(mode="after")
    def _has_equal_parts(self) -> LadderShape:
        if len(self.pours) % (1 + len(self.more)):
            raise ValueError(say("as many pours for each bowl are expected"))
        return self


class QuantilesShape(CoreShape):
    _of = Quantiles

    p10: Instant
    p50: Instant
    p90: Instant


class CourseShape(CoreShape):
    """The rows of a course by columns. minutes: since `start`, as those of the other columns."""

    start: Instant | None = None
    minutes: tuple[int | FiniteFloat, ...] = ()
    temperature_c: tuple[FiniteFloat, ...] = ()
    rise: tuple[FiniteFloat, ...] = ()
    rise_p10: tuple[FiniteFloat, ...] = ()
    rise_p90: tuple[FiniteFloat, ...] = ()
    ph: tuple[FiniteFloat, ...] = ()

    @model_validator(mode="after")
    def _is_a_table(self) -> Self:
        lengths = {len(self.minutes), *(len(getattr(self, name)) for name in COLUMNS)}
        if len(lengths) > 1 or (self.start is None and self.minutes):
            raise ValueError(say("a course with a start and columns of one length is expected"))
        return self

    def made(self) -> tuple[CourseRow, ...]:
        start = self.start
        if start is None:
            return ()
        columns = zip(*(getattr(self, name) for name in COLUMNS), strict=True)
        return tuple(
            CourseRow(start + timedelta(minutes=after), *row)
            for after, row in zip(self.minutes, columns, strict=True)
        )


def _by_columns(rows: Sequence[CourseRow]) -> dict[str, Any]:
    if not rows:
        return {}
    table = {name: tuple(getattr(row, name) for row in rows) for name in COLUMNS}
    return {
        "start": rows[0].at,
        "minutes": tuple(_since(rows[0].at, row.at) for row in rows),
    } | table


def _since(start: datetime, at: datetime) -> float:
    minutes = (at - start) / MINUTE
    return int(minutes) if minutes == int(minutes) else minutes


class LookShape(CoreShape):
    _of = PlannedLook

    at: Instant
    left_h: FiniteFloat


class StepCourseShape(CoreShape):
    _of = StepCourse

    course: CourseShape = CourseShape()
    ripe_from: QuantilesShape | None = None
    ripe_until: QuantilesShape | None = None
    peak: QuantilesShape | None = None
    rise_at_end: FiniteFloat
    ph_at_end: FiniteFloat
    vessel: str = ""
    full: FiniteFloat = 0.0
    core_lag_h: FiniteFloat = 0.0
    caution: RemarkShape | None = None
    looks: tuple[LookShape, ...] = ()
    half_h: FiniteFloat = 0.0

    @model_validator(mode="before")
    @classmethod
    def _of_rows(cls, value: Any) -> Any:
        if not isinstance(value, StepCourse):
            return value
        rest = {name: getattr(value, name) for name in cls.model_fields if name != "course"}
        return {"course": _by_columns(value.rows)} | rest

    def made(self) -> StepCourse:
        rest = {name: core(value) for name, value in self.__dict__.items() if name != "course"}
        return StepCourse(rows=self.course.made(), **rest)


class KeepingShape(CoreShape):
    _of = Keeping

    ladder: LadderShape
    discard_g: Grams
    place: str
    mixture_temperature_c: FiniteFloat | None = None
    then: str = ""
    moved: Instant | None = None


class StepShape(CoreShape):
    _of = Step

    key: Name
    kind: StepKind
    start: Instant
    end: Instant
    hands: bool
    place: str
    mixture: str = ""
    grams: Grams = 0.0
    pieces: int = Field(0, ge=0)
    ladder: LadderShape | None = None
    water_temperature_c: FiniteFloat | None = None
    mixture_temperature_c: FiniteFloat | None = None
    oven_temperature_c: FiniteFloat | None = None
    ripe_odds: FiniteFloat | None = None
    standing: StepCourseShape | None = None
    number: int = Field(0, ge=0)
    of: int = Field(0, ge=0)
    manner: Manner = Manner.PLAIN
    added: tuple[str, ...] = ()
    remarks: tuple[RemarkShape, ...] = ()
    capacity: str = ""
    keeping: KeepingShape | None = None
    left: bool = False


class ShortageShape(CoreShape):
    _of = Shortage

    capacity: Name
    kind: CapacityKind
    needed: FiniteFloat
    free: FiniteFloat
    unit: str
    start: Instant
    end: Instant
    free_from: Instant | None = None
    most_pieces: int = Field(0, ge=0)


class FeedShape(CoreShape):
    _of = Feed

    at: Instant
    seed_share: FiniteFloat
    chilled: Instant | None = None
    warmed: Instant | None = None


class ThreadShape(CoreShape):
    _of = Thread

    feeds: tuple[FeedShape, ...] = Field(min_length=1)
    soaks: tuple[Instant, ...] = ()
    mix: Instant
    divide: Instant
    shaped: Instant
    retarded: bool
    preheat: Instant
    loads: tuple[Instant, ...] = Field(min_length=1)
    oven: str = ""


class PlanShape(CoreShape):
    _of = Plan

    formula: str
    culture: str
    ready: Instant
    zone: Zone
    pieces: int = Field(ge=0, le=PIECES.high)
    piece_g: Grams = Field(le=PIECE_G.high)
    steps: tuple[StepShape, ...]
    status: Status
    penalty: FiniteFloat | None = None
    bound: FiniteFloat | None = None
    conflicts: tuple[ConflictShape, ...] = ()
    cautions: tuple[RemarkShape, ...] = ()
    thread: ThreadShape | None = None
    shortages: tuple[ShortageShape, ...] = ()
