"""Why a plan may no longer be as it was: found without the engine, from what was done and seen."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime, timedelta
from enum import StrEnum

from pointage.desk.answers import Bake
from pointage.desk.now.bakes.bake import oven_of, steps_left
from pointage.desk.now.texts import kitchen_of
from pointage.errors import PointageError
from pointage.kitchen.kitchen import Kitchen
from pointage.timetable.calendar import sleep_spans
from pointage.timetable.plan import Step, StepKind
from pointage.timetable.week.replan import NOTICED

NOTICED_SHARE = 0.1
"""Of the time that a mixture stands, by less than that a reading moves nothing (ours)."""
KEPT_TO = frozenset(
    {
        StepKind.FEED,
        StepKind.BUILD,
        StepKind.MIX,
        StepKind.DIVIDE,
        StepKind.SHAPE,
        StepKind.PREHEAT,
        StepKind.BAKE,
    }
)
"""The steps that others hang on; a fold that was forgotten moves nothing."""


class MoveCauseKind(StrEnum):
    """What has moved."""

    DONE = "done"  # a step was done late, or early
    OVERDUE = "overdue"
    FOLD = "fold"  # one is overdue
    READING = "reading"  # it is behind, or ahead
    ASLEEP = "asleep"  # a step falls into hours that are now for sleep, or away
    OVEN = "oven"  # there is none of that name any more
    WANTED = "wanted"  # the ready time, or that of a step, was typed anew


@dataclass(frozen=True, slots=True)
class MoveCause:
    """Why a bake, by its key, is not as planned. step: by its key. late: below zero when early."""

    kind: MoveCauseKind
    bake: str
    step: str = ""
    late: timedelta = timedelta()


def causes(bake: Bake, kitchen: Kitchen, now: datetime) -> tuple[MoveCause, ...]:
    """What has moved of a bake that can still be changed, the gravest first."""
    if not can_move(bake):
        return ()
    left = steps_left(bake)
    found = [*_oven(bake, kitchen), *_asleep(bake, left, kitchen, now), *_overdue(bake, left, now)]
    return (*found, *_reading(bake, now), *_done(bake))


def can_move(bake: Bake) -> bool:
    """Whether anything of it is still to be planned: the oven is not lit, nothing is in it."""
    if bake.plan.thread is None or bake.wished is None or bake.given_up:
        return False
    fired = (StepKind.PREHEAT, StepKind.BAKE, StepKind.COOL)
    lit = any(bake.step_news(s.key).done for s in bake.plan.steps if s.kind in fired)
    return not lit and any(each.hands and each.kind in KEPT_TO for each in steps_left(bake))


def _oven(bake: Bake, kitchen: Kitchen) -> Iterator[MoveCause]:
    name = oven_of(bake)
    if name and kitchen.oven_called(name) is None:
        step = next(each for each in bake.plan.steps if each.kind is StepKind.BAKE)
        yield MoveCause(MoveCauseKind.OVEN, bake.key, step.key)


def _asleep(bake: Bake, left: list[Step], kitchen: Kitchen, now: datetime) -> Iterator[MoveCause]:
    """The first step that falls into hours that were free when it was planned."""
    hands = [each for each in left if each.hands and each.start >= now]
    if not hands or bake.wished is None:
        return
    try:
        before = kitchen_of(bake.wished.kitchen, bake.wished.since)
    except PointageError:
        return
    if before.hours == kitchen.hours:
        return
    first, last = hands[0].start - timedelta(days=1), max(each.end for each in hands)
    now_quiet, then_quiet = (
        [*sleep_spans(each, first, last), *each.hours.away] for each in (kitchen, before)
    )
    for step in hands:
        end = min(step.end, step.start + timedelta(minutes=5)) if step.kind in _BRIEF else step.end
        if any(step.start < b and end > a for a, b in now_quiet) and not any(
            step.start < b and end > a for a, b in then_quiet
        ):
            yield MoveCause(MoveCauseKind.ASLEEP, bake.key, step.key)
            return


_BRIEF = frozenset({StepKind.PREHEAT})


def _overdue(bake: Bake, left: list[Step], now: datetime) -> Iterator[MoveCause]:
    late = [each for each in left if each.hands and now - each.end > NOTICED]
    for kinds, kind in ((KEPT_TO, MoveCauseKind.OVERDUE), ({StepKind.FOLD}, MoveCauseKind.FOLD)):
        step = next((each for each in late if each.kind in kinds), None)
        if step is not None:
            yield MoveCause(kind, bake.key, step.key, now - step.end)
            return


def _reading(bake: Bake, now: datetime) -> Iterator[MoveCause]:
    """What stands now and is ahead or behind, by what was read of it."""
    left = steps_left(bake)
    for step in bake.plan.steps:
        news, standing = bake.step_news(step.key), step.standing
        if news.ahead is None or standing is None or not standing.rows or not news.readings:
            continue
        over = any(s.start > step.start and s.hands and s not in left and s.kind in KEPT_TO
                   for s in bake.plan.steps)  # fmt: skip
        span = standing.rows[-1].at - standing.rows[0].at
        if over or standing.rows[0].at > now:
            continue
        if abs(news.ahead) > max(NOTICED, NOTICED_SHARE * span):
            yield MoveCause(MoveCauseKind.READING, bake.key, step.key, -news.ahead)
            return


def _done(bake: Bake) -> Iterator[MoveCause]:
    """The last step that was ticked off, where it was not when it was planned."""
    done = [
        (step, at)
        for step in bake.plan.steps
        if step.hands
        and step.kind in KEPT_TO
        and not step.left
        and (at := bake.step_news(step.key).done)
    ]
    if not done:
        return
    step, at = max(done, key=lambda each: (each[0].start, each[0].end))
    if abs(at - step.end) > NOTICED:
        yield MoveCause(MoveCauseKind.DONE, bake.key, step.key, at - step.end)
