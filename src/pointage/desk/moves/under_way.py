"""The bakes in hand as the question of a week: what was done is frozen, the rest may move."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime, timedelta

from pointage.desk.answers import Bake, Wished
from pointage.desk.now.bakes.bake import done_at
from pointage.desk.now.present import Present
from pointage.desk.now.texts import formula_of
from pointage.timetable.occupied import Occupied
from pointage.timetable.plan import Feed, Plan, Step, StepKind, Thread
from pointage.timetable.problem import Problem
from pointage.timetable.timetable import planned
from pointage.timetable.week.question import WantedStage
from pointage.timetable.week.replan import UnderWay

FEEDS = (StepKind.FEED, StepKind.BUILD)
_REACHED = (
    (StepKind.BAKE, WantedStage.BAKED),
    (StepKind.DIVIDE, WantedStage.SHAPED),
    (StepKind.BULK, WantedStage.BULK),
    (StepKind.MIX, WantedStage.MIXED),
)


def stage_of(plan: Plan) -> WantedStage:
    """How far a plan goes."""
    kinds = {step.kind for step in plan.steps}
    return next((stage for kind, stage in _REACHED if kind in kinds), WantedStage.RIPE)


def under_way(bake: Bake, now: datetime) -> UnderWay:
    """How far a bake is: what was done at the time at which it was, the rest as planned."""
    thread = bake.plan.thread
    assert thread is not None
    steps = [step for step in bake.plan.steps if step.kind in FEEDS]
    feeds = list(thread.feeds)
    shared = len(feeds) - len(steps)  # woken with another bake, whose steps those feeds are
    done = 0
    for number, feed in enumerate(thread.feeds):
        step = steps[number - shared] if number >= shared else None
        if (feed.at > now) if step is None else (done_at(bake, step) is None):
            break
        if step is not None:
            before = feeds[number - 1].at if number else datetime.min.replace(tzinfo=feed.at.tzinfo)
            at = _began(bake, step)
            feeds[number] = _fed(feed, at) if at > before else feed
        done += 1
    mixed, mix = _when(bake, StepKind.MIX, thread.mix)
    divided, divide = _when(bake, StepKind.DIVIDE, thread.divide)
    mix = max(mix, feeds[-1].at) if mixed else mix
    moved = divide - thread.divide if divided else timedelta()
    return UnderWay(
        replace(
            thread, feeds=tuple(feeds), mix=mix, divide=divide, shaped=thread.shaped + moved
        ),
        len(feeds) if mixed else done,
        mixed,
        divided and mixed,
    )  # fmt: skip


def _fed(feed: Feed, at: datetime) -> Feed:
    """A feed as it was done; one that is to wait in the fridge goes there as long after it."""
    chilled = None if feed.chilled is None else feed.chilled + (at - feed.at)
    return replace(feed, at=at, chilled=chilled)


def _began(bake: Bake, step: Step) -> datetime:
    """When a step that was done began: as recorded, else as planned."""
    done = bake.step_news(step.key).done
    return step.start if done is None else done - (step.end - step.start)


def _when(bake: Bake, kind: StepKind, planned: datetime) -> tuple[bool, datetime]:
    step = next((each for each in bake.plan.steps if each.kind is kind), None)
    if step is None or done_at(bake, step) is None:
        return False, planned
    return True, _began(bake, step)


def problem_now(
    present: Present,
    bake: Bake,
    now: datetime,
    occupied: tuple[Occupied, ...] = (),
    *,
    begun: bool,
) -> Problem:
    """A bake in hand as a problem from now on, in the kitchen as it stands.

    Its formula, culture and flours are those it was planned with; the culture of one that is not
    begun is as it stands now. Raises InputError where the kitchen no longer has what it needs.
    """
    wished = bake.wished
    assert wished is not None
    believed = present.learning.beliefs_now(bake.plan.culture)
    first = min(step.start for step in bake.plan.steps)
    here = present.kitchen
    kitchen = replace(present.kitchen_through(min(first, now)), ovens=here.ovens)
    kitchen = replace(kitchen, cultures=here.cultures, flours={**kitchen.flours, **wished.flours})
    if wished.friction_k is not None:
        kitchen = kitchen.that_gains(wished.friction_k)
    at_hand = next((each for each in here.cultures if each.called(bake.plan.culture)), None)
    culture = wished.culture if begun or at_hand is None else at_hand
    traits = None if believed is None else believed.traits
    if believed is not None and begun and any(news.readings for news in bake.news.values()):
        traits = believed.latest
        kitchen = kitchen.that_strays(believed.strays)
    return Problem(
        formula=formula_of(wished.formula),
        kitchen=kitchen,
        culture=culture or kitchen.culture(bake.plan.culture),
        now=now,
        ready=bake.plan.ready,
        pieces=bake.plan.pieces,
        piece_g=wished.piece_g,
        occupied=occupied,
        believed=traits,
        warming={} if believed is None else believed.warming,
    )


def plan_from(bake: Bake, problem: Problem, thread: Thread, ready: datetime) -> Plan:
    """The plan of a bake whose thread is another now; its steps reach as far as they did."""
    plan = planned(replace(problem, ready=ready), thread)
    before = [step for step in bake.plan.steps if step.kind in FEEDS]
    old = (bake.plan.thread or thread).feeds
    shared = max(0, len(old) - len(before))  # done with another bake's
    kept = any(step.keeping is not None for step in before)
    kinds = stage_of(bake.plan).steps
    steps = [step for step in plan.steps if step.kind in kinds]
    if shared and thread.feeds[:shared] == old[:shared]:
        others = [step for step in steps if step.kind in FEEDS][:shared]
        steps = [step for step in steps if step not in others]
    if not kept:
        steps = [replace(step, keeping=None) for step in steps]
    return replace(plan, steps=tuple(steps), penalty=None, bound=None)


def wished_now(bake: Bake, problem: Problem, kitchen_text: str, since: datetime) -> Wished:
    """What a plan that was moved is made from: the kitchen's text of now."""
    assert bake.wished is not None
    return replace(bake.wished, kitchen=kitchen_text, since=since, culture=problem.culture)
