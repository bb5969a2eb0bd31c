"""The offer: the plan with the least change from now on, and what else could be done."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from enum import StrEnum
from hashlib import blake2b

from pointage.desk.answers import Bake
from pointage.desk.moves.causes import MoveCause, MoveCauseKind, can_move, causes
from pointage.desk.moves.step import AnotherTime, InTheWay, in_the_way, movable_step, pin_of
from pointage.desk.moves.under_way import plan_from, problem_now, stage_of, under_way
from pointage.desk.now.present import Present
from pointage.desk.week.lean import lean_of
from pointage.errors import InputError
from pointage.timetable.calendar import ceil_to_grid
from pointage.timetable.choice.memo import Memo
from pointage.timetable.occupied import Occupied, occupied_by
from pointage.timetable.pin import Pin
from pointage.timetable.plan import Plan, Thread
from pointage.timetable.problem import Problem
from pointage.timetable.ways.lean import AS_USUAL
from pointage.timetable.ways.pinned import begins
from pointage.timetable.week.fit import WeekWay
from pointage.timetable.week.question import (
    EARLY,
    WantedStage,
    WantedWhen,
    WeekQuestion,
    WeekWish,
)
from pointage.timetable.week.replan import NOTICED, Replanned, UnderWay, replan

LATER_BREAD = timedelta(hours=12)
"""So much later bread is looked for, where the wanted time cannot be kept."""
COLD_UNTIL = timedelta(hours=24)
"""So much later it may come out of the fridge."""
SPLIT = timedelta(minutes=30)
"""Later bread is offered beside the plan that keeps its time where it is this much later."""

Reached = Callable[[float], None]


class MoveKind(StrEnum):
    """What may be done."""

    LEAST = "least"  # as little as will do
    WARM = "warm"  # what comes next stands in the warmest place
    COLD = "cold"  # the shaped pieces go into the fridge
    LATER = "later"  # the bread is later
    AWAKE = "awake"  # somebody is up in the sleeping hours


@dataclass(frozen=True, slots=True)
class MovedStep:
    """A step of a bake, by its key, that moves. what: as `tasks` names it."""

    bake: str
    what: str
    before: datetime
    after: datetime


@dataclass(frozen=True, eq=False)
class BakeMoved:
    """A bake under another plan. wanted: when it is wanted now; out: when it is there."""

    bake: Bake
    problem: Problem
    thread: Thread
    wanted: datetime
    out: datetime
    out_before: datetime

    @property
    def on_time(self) -> bool:
        """Whether it is there when it was to be, but for what nobody would notice."""
        return abs(self.out - self.out_before) < NOTICED

    def plan(self) -> Plan:
        return plan_from(self.bake, self.problem, self.thread, self.wanted)


@dataclass(frozen=True, eq=False)
class Move:
    """One thing that may be done. place: of a warmer or colder one, its name."""

    kind: MoveKind
    bakes: tuple[BakeMoved, ...]
    moved: tuple[MovedStep, ...]
    place: str = ""

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

    lost: the bakes for which no time was found. unusable: why nothing can be planned any more.
    step: of a step that is wanted at another time, when it would be.
    """

    causes: tuple[MoveCause, ...]
    bakes: Mapping[str, Bake]
    least: Move | None = None
    others: tuple[Move, ...] = ()
    lost: tuple[str, ...] = ()
    unusable: InputError | None = None
    step: NearestStep | None = None

    @property
    def moves(self) -> tuple[Move, ...]:
        return (*(() if self.least is None else (self.least,)), *self.others)

    def move(self, token: str) -> Move | None:
        return next((each for each in self.moves if each.token == token), None)


@dataclass(frozen=True, eq=False)
class MovesAsked:
    """The bakes in hand of which something can still move. causes: what has moved, of all of them.

    wanted: a time that was typed anew.
    """

    present: Present
    bakes: tuple[Bake, ...]
    now: datetime
    causes: tuple[MoveCause, ...]
    wanted: AnotherTime | None = None

    @property
    def first(self) -> MoveCause:
        """What the offer is about."""
        moving = (each for each in self.causes if each.kind is not MoveCauseKind.FOLD)
        return next(moving, self.causes[0])


def asked_now(
    present: Present, now: datetime, wanted: AnotherTime | None = None
) -> MovesAsked | None:
    """The question that is to be asked now; None while nothing has moved.

    Raises InputError, field "step", for a step that is not to be moved.
    """
    bakes = present.in_hand(now)
    found = [
        _wanted(each, wanted)
        for each in bakes
        if wanted is not None and each.key == wanted.bake and can_move(each)
    ]
    found += [cause for each in bakes for cause in causes(each, present.kitchen, now)]
    return MovesAsked(present, tuple(bakes), now, tuple(found), wanted) if found else None


def _wanted(bake: Bake, wanted: AnotherTime) -> MoveCause:
    at = movable_step(bake, wanted.step).start if wanted.step else bake.plan.ready
    return MoveCause(MoveCauseKind.WANTED, bake.key, wanted.step, wanted.at - at)


def offer(asked: MovesAsked, reached: Reached = lambda share: None) -> OfferedMoves:
    """What is offered, worked out by the engine."""
    bakes = {each.key: each for each in asked.bakes}
    if all(cause.kind is MoveCauseKind.FOLD for cause in asked.causes):
        return OfferedMoves(asked.causes, bakes)
    try:
        return _offer(asked, bakes, reached)
    except InputError as error:
        return OfferedMoves(asked.causes, bakes, unusable=error)


def _offer(asked: MovesAsked, bakes: Mapping[str, Bake], reached: Reached) -> OfferedMoves:
    turns = _Turns(asked)
    found = turns.replanned(turns.wishes())
    reached(0.4)
    lost = tuple(turns.keys[i] for i in found.given_up)
    if lost:
        later = {key: _later(turns.wish(key)) for key in lost if key != turns.pinned}
        found = turns.replanned(turns.wishes(later))
        reached(0.6)
        lost = tuple(turns.keys[i] for i in found.given_up)
    least = turns.move(MoveKind.LEAST, found)
    if turns.pin is not None:
        step = turns.nearest(found)
        nowhere = step.at is None or (step.why is not None and turns.is_planned(step.at))
        least = None if nowhere else least
        return OfferedMoves(asked.causes, bakes, least, lost=lost, step=step)
    first = asked.first
    others: list[Move] = []
    if least is not None or lost:
        choices = turns.alternatives(first.bake, found)
        for number, (kind, wish, place, only) in enumerate(choices):
            again = turns.replanned(turns.wishes({first.bake: wish}), first.bake, only)
            reached(0.6 + 0.4 * (number + 1) / len(choices))
            other = turns.move(kind, again, place)
            known = {each.hours for each in (*others, *([least] if least else []))}
            if other is not None and other.hours not in known:
                others.append(other)
    return OfferedMoves(asked.causes, bakes, least, tuple(others), lost)


def _later(wish: WeekWish) -> WeekWish:
    """As early as can be from the time on that cannot be kept."""
    since = max(wish.last, wish.problem.now)
    problem = replace(wish.problem, ready=since + LATER_BREAD)
    return replace(wish, problem=problem, when=WantedWhen.EARLIEST, since=since)


class _Turns:
    """The same question asked in several ways."""

    def __init__(self, asked: MovesAsked) -> None:
        self._asked = asked
        movable = [each for each in asked.bakes if can_move(each)]
        self._now, self._memo = ceil_to_grid(asked.now), Memo()
        kitchen = asked.present.kitchen
        occupied: tuple[Occupied, ...] = tuple(
            taken
            for each in asked.bakes
            if each not in movable
            for taken in occupied_by(each.plan, kitchen)
            if taken.end > asked.now
        )
        self._occupied = occupied
        self._bakes = {each.key: each for each in movable}
        wanted = asked.wanted
        self.pinned = wanted.bake if wanted is not None and wanted.step else ""
        self.keys = list(self._bakes)
        self._before = [under_way(each, asked.now) for each in movable]
        self._wishes = {
            each.key: self._wish(each, before, occupied)
            for each, before in zip(movable, self._before, strict=True)
        }

    def _wish(self, bake: Bake, before: UnderWay, occupied: tuple[Occupied, ...]) -> WeekWish:
        asked = self._asked
        problem = problem_now(asked.present, bake, self._now, occupied, begun=before.begun)
        wanted, ready = asked.wanted, bake.plan.ready
        lean = AS_USUAL if bake.wished is None else lean_of(bake.wished.lean)
        wish = WeekWish(replace(problem, ready=ready), stage=stage_of(bake.plan), lean=lean)
        if wanted is None or wanted.bake != bake.key:
            return wish
        if not wanted.step:
            return replace(wish, problem=replace(problem, ready=wanted.at))
        step = movable_step(bake, wanted.step)
        by, none = wanted.at - step.start, timedelta()
        since = max(problem.now, ready + min(by, none) - EARLY)
        problem = replace(problem, ready=ready + max(by, none) + LATER_BREAD)
        pin = pin_of(bake, step, wanted.at)
        return replace(wish, problem=problem, when=WantedWhen.BETWEEN, since=since, pin=pin)

    @property
    def pin(self) -> Pin | None:
        """The step that is wanted at another time."""
        return self._wishes[self.pinned].pin if self.pinned in self._wishes else None

    def nearest(self, found: Replanned) -> NearestStep:
        """When that step would be, and why not when it is wanted."""
        number, pin, wanted = self.keys.index(self.pinned), self.pin, self._asked.wanted
        assert pin is not None
        assert wanted is not None
        thread, problem = found.threads[number], self._wishes[self.pinned].problem
        at = None
        if thread is not None:
            at = begins(pin, thread, len(problem.builds), problem.process)
        if at is not None and abs(at - pin.at) < NOTICED:
            return NearestStep(at, None)
        bake = self._bakes[self.pinned]
        step = movable_step(bake, wanted.step)
        others = tuple(
            each
            for key, other in self._bakes.items()
            if key != self.pinned
            for each in occupied_by(other.plan, problem.kitchen)
        )
        why = in_the_way(problem.kitchen, bake, step, pin.at, (*self._occupied, *others))
        return NearestStep(at, why)

    def is_planned(self, at: datetime) -> bool:
        """Whether that step would be no nearer to the time that is wanted than it is planned."""
        wanted = self._asked.wanted
        assert wanted is not None
        planned = movable_step(self._bakes[self.pinned], wanted.step).start
        return abs(planned - wanted.at) <= abs(at - wanted.at) + NOTICED

    def wish(self, key: str) -> WeekWish:
        return self._wishes[key]

    def wishes(self, instead: Mapping[str, WeekWish] | None = None) -> list[WeekWish]:
        return [(instead or {}).get(key, self._wishes[key]) for key in self.keys]

    def replanned(
        self,
        wishes: Sequence[WeekWish],
        first: str = "",
        only: Callable[[WeekWay], bool] | None = None,
    ) -> Replanned:
        question = WeekQuestion(self._asked.present.kitchen, self._now, tuple(wishes))
        number = self.keys.index(first) if first else -1
        allowed = None if only is None else lambda wish, way: wish != number or only(way)
        return replan(question, self._before, allowed=allowed, memo=self._memo)

    def move(self, kind: MoveKind, found: Replanned, place: str = "") -> Move | None:
        """What changes, as a move; None where nothing does, or where a bake is lost by it."""
        if found.given_up and kind is not MoveKind.LEAST:
            return None
        bakes = []
        for key, before, way, thread in zip(
            self.keys, self._before, found.choice.ways, found.threads, strict=True
        ):
            if way is None or thread is None:
                continue
            bake, wanted = self._bakes[key], self._wishes[key].last
            if key == self.pinned:
                wanted = bake.plan.ready
                if abs(way.ready - wanted) >= NOTICED:
                    wanted = way.ready
            moved = thread != before.thread or bool(place and key == self._asked.first.bake)
            if not moved and wanted == bake.plan.ready:
                continue
            if way.ready > wanted + NOTICED:
                wanted = way.ready
            out = max((step.end for step in bake.plan.steps if step.hands), default=wanted)
            bakes.append(BakeMoved(bake, way.problem, thread, wanted, way.ready, out))
        if not bakes:
            return None
        steps = tuple(
            MovedStep(self.keys[each.wish], each.what, each.before, each.after)
            for each in found.moved
        )
        return Move(kind, tuple(bakes), steps, place)

    def alternatives(self, key: str, found: Replanned) -> list[_Choice]:
        """The other ways that may be worth it for a bake: each with its wish and its place."""
        way = found.choice.ways[self.keys.index(key)]
        wish, before = self._wishes[key], self._before[self.keys.index(key)]
        kept = way is not None and way.ready <= wish.last + NOTICED
        choices = [*_warmer(wish, before)]
        if not kept:
            choices += _awake(wish)
        if wish.stage is not WantedStage.BAKED:
            return choices
        problem, retard = wish.problem, wish.problem.retard_place
        if retard is not None and not before.thread.retarded:
            cold = replace(problem, ready=wish.last + COLD_UNTIL)
            asked = replace(wish, problem=cold, when=WantedWhen.BETWEEN, since=wish.first)
            choices.append((MoveKind.COLD, asked, retard.name, _retarded))
        if kept:
            late = max((e.late for e in self._asked.causes if e.bake == key), default=SPLIT)
            since = wish.last + min(max(SPLIT, late), LATER_BREAD)
            later = replace(problem, ready=since + SPLIT)
            asked = replace(wish, problem=later, when=WantedWhen.BETWEEN, since=since)
            choices.append((MoveKind.LATER, asked, "", None))
        return choices


_Choice = tuple[MoveKind, WeekWish, str, Callable[[WeekWay], bool] | None]


def _warmer(wish: WeekWish, before: UnderWay) -> Iterator[_Choice]:
    """What does not stand yet, in the warmest place."""
    problem = wish.problem
    process, warm = problem.process, problem.kitchen.warmest_place.name
    bulk = process.bulk_place if before.mixed else warm
    proof = process.proof_place if before.divided else warm
    if (bulk, proof) != (process.bulk_place, process.proof_place):
        process = replace(process, bulk_place=bulk, proof_place=proof)
        formula = replace(problem.formula, process=process)
        yield MoveKind.WARM, replace(wish, problem=replace(problem, formula=formula)), warm, None


def _awake(wish: WeekWish) -> Iterator[_Choice]:
    """With somebody up at night: at its time, or as soon after it as can be."""
    kitchen = wish.problem.kitchen
    if not kitchen.hours.sleep:
        return
    up = replace(kitchen, hours=replace(kitchen.hours, sleep=()))
    yield MoveKind.AWAKE, _later(replace(wish, problem=replace(wish.problem, kitchen=up))), "", None


def _retarded(way: WeekWay) -> bool:
    return way.way.retarded
