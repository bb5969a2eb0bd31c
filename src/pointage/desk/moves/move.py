"""What may be done when things have moved: one move with its bakes, and all that is offered."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta
from enum import StrEnum
from hashlib import blake2b

from pointage.desk.answers import Bake
from pointage.desk.moves.causes import MoveCause
from pointage.desk.moves.step import InTheWay
from pointage.desk.moves.under_way import plan_from
from pointage.errors import InputError
from pointage.timetable.pin import Pin
from pointage.timetable.plan import Plan, Step, Thread
from pointage.timetable.problem import Problem
from pointage.timetable.rescue.kept_to import NOTICED


class MoveKind(StrEnum):
    """What may be done."""

    LEAST = "least"  # as little as will do
    WARM = "warm"  # what comes next stands in the warmest place
    COLD = "cold"  # the shaped pieces go into the fridge
    LATER = "later"  # the bread is later
    AWAKE = "awake"  # somebody is up in the sleeping hours
    AGAIN = "again"  # another levain is built from the jar


@dataclass(frozen=True, slots=True)
class MovedStep:
    """A step of a bake, by its key, that moves. what: as of `MovedTask`, "anew" of a levain that is
    built anew."""

    bake: str
    what: str
    before: datetime
    after: datetime


@dataclass(frozen=True, slots=True)
class LetGo:
    """A step that was held at its time and is so no longer; why: where it cannot be then."""

    step: Step
    why: InTheWay | None = None


@dataclass(frozen=True, eq=False)
class BakeMoved:
    """A bake under another plan. wanted: when it is wanted now; out: when it is there.

    anew: its levain is built anew. held: the step that is held at its time from then on. let_go:
    the one that was, where it is no longer. edge: how long after its window a levain that stands is
    taken, below zero before it.
    """

    bake: Bake
    problem: Problem
    thread: Thread
    wanted: datetime
    out: datetime
    out_before: datetime
    anew: bool = False
    held: Pin | None = None
    let_go: LetGo | None = None
    edge: timedelta = timedelta()

    @property
    def on_time(self) -> bool:
        """Whether it is there when it was to be, but for what nobody would notice."""
        return abs(self.out - self.out_before) < NOTICED

    def plan(self) -> Plan:
        return plan_from(self.bake, self.problem, self.thread, self.wanted, anew=self.anew)


@dataclass(frozen=True, eq=False)
class Move:
    """One thing that may be done. place: of a warmer or colder one, its name.

    odds: that the bake it is about is then kept by who follows the signs; None where not asked.
    """

    kind: MoveKind
    bakes: tuple[BakeMoved, ...]
    moved: tuple[MovedStep, ...]
    place: str = ""
    odds: float | None = None

    @property
    def token(self) -> str:
        """What names this very move: the bakes with all their hours."""
        said = repr((self.kind, self.place, self.hours, [each.wanted for each in self.bakes]))
        return blake2b(said.encode(), digest_size=12).hexdigest()

    @property
    def hours(self) -> tuple[object, ...]:
        """The bakes with all their instants."""
        return tuple((each.bake.key, each.thread, self.place) for each in self.bakes)


@dataclass(frozen=True, slots=True)
class NearestStep:
    """When a step would begin that is wanted at another time; why not then, where it is not.

    at: None where it cannot be moved at all.
    """

    at: datetime | None
    why: InTheWay | None


@dataclass(frozen=True, eq=False)
class OfferedMoves:
    """What has moved, and what may be done. least: None where nothing else need move.

    lost: the bakes for which no time was found. going_on: how likely the bake that it is about is
    kept as it is planned now, by who goes on by the signs; None where that was not asked. stay:
    whether that is likelier than by `least`, which is then among the others. unusable: why nothing
    can be planned any more.
    step: of a step that is wanted at another time, when it would be.
    """

    causes: tuple[MoveCause, ...]
    bakes: Mapping[str, Bake]
    least: Move | None = None
    others: tuple[Move, ...] = ()
    lost: tuple[str, ...] = ()
    going_on: float | None = None
    stay: bool = False
    unusable: InputError | None = None
    step: NearestStep | None = None

    @property
    def moves(self) -> tuple[Move, ...]:
        return (*(() if self.least is None else (self.least,)), *self.others)

    def move(self, token: str) -> Move | None:
        return next((each for each in self.moves if each.token == token), None)
