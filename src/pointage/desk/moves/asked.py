"""What is asked when reality has moved: of a kitchen as it stands, and the same as plain data."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import datetime, timedelta

from pointage.desk.answers import Bake
from pointage.desk.moves.causes import MoveCause, MoveCauseKind, can_move, causes
from pointage.desk.moves.step import AnotherTime, held_step, movable_step, pin_of
from pointage.desk.moves.under_way import jar_now, problem_now, stage_of, under_way
from pointage.desk.now.present import Present
from pointage.desk.week.lean import lean_of
from pointage.kitchen.kitchen import Kitchen
from pointage.timetable.calendar import ceil_to_grid
from pointage.timetable.occupied import Occupied, occupied_by
from pointage.timetable.ways.lean import AS_USUAL
from pointage.timetable.week.question import EARLY, WantedWhen, WeekWish
from pointage.timetable.week.replan import UnderWay

LATER_BREAD = timedelta(hours=12)
"""So much later bread is looked for, where the wanted time cannot be kept."""


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


@dataclass(frozen=True, eq=False)
class MovesPosed:
    """The same with all that the engine needs to answer it, and nothing else.

    now: the next quarter of an hour. movable: the bakes that may move, each with its wish and how
    far it is. occupied: what the others leave no room for.
    """

    kitchen: Kitchen
    bakes: tuple[Bake, ...]
    now: datetime
    causes: tuple[MoveCause, ...]
    wanted: AnotherTime | None
    movable: tuple[Bake, ...]
    wishes: tuple[WeekWish, ...]
    before: tuple[UnderWay, ...]
    occupied: tuple[Occupied, ...]

    @property
    def first(self) -> MoveCause:
        """What the offer is about."""
        moving = (each for each in self.causes if each.kind is not MoveCauseKind.FOLD)
        return next(moving, self.causes[0])

    @property
    def pinned(self) -> str:
        """The bake of which a step is wanted at another time, by its key; empty for none."""
        return self.wanted.bake if self.wanted is not None and self.wanted.step else ""


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


def posed(asked: MovesAsked) -> MovesPosed:
    """What was asked, ready to be answered. Raises InputError where the kitchen no longer has what
    a bake needs."""
    movable = tuple(each for each in asked.bakes if can_move(each))
    kitchen = asked.present.kitchen
    occupied = tuple(
        taken
        for each in asked.bakes
        if each not in movable
        for taken in occupied_by(each.plan, kitchen)
        if taken.end > asked.now
    )
    before = tuple(
        replace(under_way(each, asked.now), jar=jar_now(asked.present, each)) for each in movable
    )
    return MovesPosed(
        kitchen,
        asked.bakes,
        ceil_to_grid(asked.now),
        asked.causes,
        asked.wanted,
        movable,
        tuple(_wish(asked, each, was, occupied) for each, was in zip(movable, before, strict=True)),
        before,
        occupied,
    )


def _wanted(bake: Bake, wanted: AnotherTime) -> MoveCause:
    at = movable_step(bake, wanted.step).start if wanted.step else bake.plan.ready
    return MoveCause(MoveCauseKind.WANTED, bake.key, wanted.step, wanted.at - at)


def _wish(
    asked: MovesAsked, bake: Bake, before: UnderWay, occupied: tuple[Occupied, ...]
) -> WeekWish:
    now, wanted, ready = ceil_to_grid(asked.now), asked.wanted, bake.plan.ready
    problem = problem_now(asked.present, bake, now, occupied, begun=before.begun)
    lean = AS_USUAL if bake.wished is None else lean_of(bake.wished.lean)
    step = held_step(bake)
    pin = None if step is None or step.start < now else pin_of(bake, step, step.start)
    problem = replace(problem, ready=ready)
    wish = WeekWish(problem, stage=stage_of(bake.plan), lean=lean, pin=pin)
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
