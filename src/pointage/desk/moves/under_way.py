"""The bakes in hand as the question of a week: what was done is frozen, the rest may move."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime, timedelta

from pointage.desk.answers import Bake, Wished
from pointage.desk.now.bakes.bake import done_at
from pointage.desk.now.present import Present
from pointage.desk.now.texts import formula_of
from pointage.mixture.learning.update import Posterior
from pointage.mixture.traits import Traits
from pointage.timetable.occupied import Occupied
from pointage.timetable.plan import Feed, Plan, Step, StepKind, Thread
from pointage.timetable.problem import Problem
from pointage.timetable.timetable import planned
from pointage.timetable.week.question import Jar, WantedStage
from pointage.timetable.week.replan import UnderWay

FEEDS = (StepKind.FEED, StepKind.BUILD)
MADE = (*FEEDS, StepKind.SOAK)
"""The steps before the mix."""
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
    steps = bake.plan.fed
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
    chilled, warmed = (
        None if each is None else each + (at - feed.at) for each in (feed.chilled, feed.warmed)
    )
    return replace(feed, at=at, chilled=chilled, warmed=warmed)


def jar_now(present: Present, bake: Bake) -> Jar | None:
    """The culture of a bake as it stands, from which its levain may be built anew."""
    cultures = present.kitchen.cultures
    at_hand = next((each for each in cultures if each.called(bake.plan.culture)), None)
    if at_hand is None:
        return None
    believed = present.learning.beliefs_now(bake.plan.culture)
    return Jar(at_hand, None if believed is None else _traits(bake, believed))


def _traits(bake: Bake, believed: Posterior) -> Traits:
    """Of a bake under way: as it was seen to be, so that what is slow in it stays slow."""
    read = any(news.readings for news in bake.news.values())
    return believed.latest if read else believed.traits


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
        traits = _traits(bake, believed)
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


def plan_from(
    bake: Bake, problem: Problem, thread: Thread, ready: datetime, *, anew: bool = False
) -> Plan:
    """The plan of a bake whose thread is another now; its steps reach as far as they did.

    anew: its levain is built anew; what was done for the one before stays in the plan, as left.
    """
    plan = planned(replace(problem, ready=ready), thread)
    before = bake.plan.fed
    old = (bake.plan.thread or thread).feeds
    shared = 0 if anew else max(0, len(old) - len(before))  # done with another bake's
    kept = any(step.keeping is not None for step in before)
    kinds = stage_of(bake.plan).steps
    steps = [step for step in plan.steps if step.kind in kinds]
    if shared and thread.feeds[:shared] == old[:shared]:
        others = [step for step in steps if step.kind in FEEDS][:shared]
        steps = [step for step in steps if step not in others]
    if not kept:
        steps = [replace(step, keeping=None) for step in steps]
    left = [step for step in bake.plan.steps if step.left]
    if anew:
        done = (step for step in bake.plan.steps if step.kind in MADE and not step.left)
        left += [
            replace(step, left=True, standing=None)
            for step in done
            if done_at(bake, step) is not None
        ]
    steps = sorted((*left, *_named_anew(steps, left)), key=lambda step: (step.start, step.end))
    return replace(plan, steps=tuple(steps), penalty=None, bound=None)


def _named_anew(steps: Sequence[Step], left: Sequence[Step]) -> list[Step]:
    """Steps with keys of their own beside those of what is left: a step's key is done once."""
    fed = sum(step.kind in FEEDS for step in left)
    soaked = sum(step.kind is StepKind.SOAK for step in left)
    found = []
    for step in steps:
        more = fed if step.kind in FEEDS else soaked if step.kind is StepKind.SOAK else 0
        kind, _, number = step.key.rpartition("-")
        found.append(replace(step, key=f"{kind}-{int(number) + more}") if more else step)
    return found


def wished_now(bake: Bake, problem: Problem, kitchen_text: str, since: datetime) -> Wished:
    """What a plan that was moved is made from: the kitchen's text of now."""
    assert bake.wished is not None
    return replace(bake.wished, kitchen=kitchen_text, since=since, culture=problem.culture)
