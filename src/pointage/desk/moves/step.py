"""A step of a bake at another time: which steps can be, and why one cannot be at a time."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum

from pointage.desk.answers import Bake
from pointage.desk.moves.causes import can_move
from pointage.desk.moves.under_way import FEEDS
from pointage.desk.now.bakes.bake import steps_left
from pointage.errors import InputError
from pointage.kitchen.capacity import HANDS
from pointage.kitchen.kitchen import Kitchen
from pointage.language import say
from pointage.timetable.calendar import sleep_spans
from pointage.timetable.occupied import Occupied
from pointage.timetable.pin import PINNED, Pin
from pointage.timetable.plan import Step, StepKind


@dataclass(frozen=True, slots=True)
class AnotherTime:
    """One bake at another time: when it is out of the oven, or when the step called `step` begins.

    step: by its key; "" for the bread.
    """

    bake: str
    at: datetime
    step: str = ""


class InTheWay(StrEnum):
    """Why a step is not at the time that is wanted."""

    ASLEEP = "asleep"
    AWAY = "away"
    HANDS = "hands"  # they are at another bake
    OVEN = "oven"  # another bake is in it
    BREAD = "bread"  # what goes into it is not fit then, or what follows would be at night


def movable_steps(bake: Bake) -> tuple[Step, ...]:
    """The steps of a bake that can be wanted at another time, in order."""
    if not can_move(bake):
        return ()
    left = {step.key for step in steps_left(bake)}
    found = []
    for step in bake.plan.steps:
        into_the_cold = step.kind is StepKind.RETARD and "shape" in left
        if step.kind in PINNED and (into_the_cold or (step.hands and step.key in left)):
            found.append(step)
    return tuple(found)


def movable_step(bake: Bake, key: str) -> Step:
    """The one called so. Raises InputError, field "step"."""
    found = next((each for each in movable_steps(bake) if each.key == key), None)
    if found is None:
        raise InputError("step", repr(key), say("a step that is still to be done"))
    return found


def pin_of(bake: Bake, step: Step, at: datetime) -> Pin:
    """A step of a bake as it is wanted."""
    if step.kind not in FEEDS:
        alike = [each.key for each in bake.plan.steps if each.kind is step.kind]
        return Pin(step.kind, at, 1 + alike.index(step.key))
    number = step.number  # of all its feeds, those that wake first
    builds = [each.key for each in bake.plan.fed if each.kind is StepKind.BUILD]
    if step.kind is StepKind.BUILD:
        number = 1 + builds.index(step.key)
    return Pin(step.kind, at, number)


def held_step(bake: Bake) -> Step | None:
    """The step that was put at a time by hand and stays wanted then; None once it is done."""
    held = None if bake.wished is None else bake.wished.held
    if held is None or bake.plan.thread is None:
        return None
    steps = (step for step in movable_steps(bake) if step.kind is held.kind)
    return next((step for step in steps if pin_of(bake, step, held.at) == held), None)


_WITH = (
    frozenset({StepKind.MIX, StepKind.FOLD}),
    frozenset({StepKind.DIVIDE, StepKind.SHAPE}),
    frozenset({StepKind.PREHEAT, StepKind.BAKE}),
)
"""Steps that follow each other at set times: none is moved without the others."""


def in_the_way(
    kitchen: Kitchen, bake: Bake, step: Step, at: datetime, others: tuple[Occupied, ...]
) -> InTheWay:
    """Why a step of a bake cannot begin at an instant. others: what other bakes take then."""
    kinds = next((kinds for kinds in _WITH if step.kind in kinds), frozenset({step.kind}))
    by = at - step.start
    together = [each for each in bake.plan.steps if each.kind in kinds]
    spans = [(each.start + by, each.end + by) for each in together if each.hands]
    first, last = min([at, *(a for a, _ in spans)]), max([at, *(b for _, b in spans)])

    def meets(start: datetime, end: datetime) -> bool:
        return any(a < end and b > start for a, b in spans)

    if any(meets(*night) for night in sleep_spans(kitchen, first, last)):
        return InTheWay.ASLEEP
    if any(meets(*away) for away in kitchen.hours.away):
        return InTheWay.AWAY
    if any(each.capacity == HANDS and meets(each.start, each.end) for each in others):
        return InTheWay.HANDS
    if step.capacity and any(
        each.capacity == step.capacity and meets(each.start, each.end) for each in others
    ):
        return InTheWay.OVEN
    return InTheWay.BREAD
