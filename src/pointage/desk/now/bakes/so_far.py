"""How far a bake is: what stands, since when, and what was seen of it."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime, timedelta

from pointage.daybook.readings import Reading, ReadingKind
from pointage.desk.answers import Bake
from pointage.desk.now.bakes.bake import done_at
from pointage.desk.now.bakes.watch import as_done, problem_of
from pointage.mixture.learning.update import Posterior
from pointage.timetable.plan import Step, StepKind, Thread
from pointage.timetable.rescue.too_far import PAST_H, BakeSoFar

SETTLED = timedelta(hours=1)
"""Before that, pieces in the cold are still on their way to it."""


def so_far(bake: Bake, believed: Posterior | None, now: datetime) -> BakeSoFar | None:
    """A bake as it stands for `timetable.rescue`; None where nothing stands that is followed."""
    stands, done = standing(bake), _thread(bake)
    if stands is None or done is None or bake.plan.thread is None or bake.wished is None:
        return None
    bulk, here = readings_in(bake, StepKind.BULK), readings_in(bake, stands.kind)
    rises = [each for each in here if each.kind is ReadingKind.RISE and not each.questioned]
    fallen = [each for each in here if each.kind is ReadingKind.FALLEN]
    warm = [each.value for each in bulk if each.kind is ReadingKind.TEMPERATURE]
    rooms = [
        each.value for each in bulk if each.kind is ReadingKind.ROOM and each.value is not None
    ]
    return BakeSoFar(
        problem_of(bake, believed),
        bake.plan.thread,
        done,
        stands.kind,
        now,
        rise=rises[-1].value if rises else None,
        fallen=fallen[0].at if fallen else None,
        dough_c=warm[0] if warm else None,
        room_c=sum(rooms) / len(rooms) if rooms else None,
        warmer_k=_warmer(stands, here),
    )


def may_be_too_far(bake: Bake, now: datetime) -> bool:
    """Whether it is worth asking the engine: its time is past, or something was read."""
    step = standing(bake)
    if step is None:
        return False
    here = readings_in(bake, step.kind)
    if any(each.kind is not ReadingKind.RIPE for each in here):
        return True
    ripe = None if step.standing is None else step.standing.ripe_until
    if step.kind is StepKind.BUILD:
        return ripe is not None and now > ripe.p50 + timedelta(hours=PAST_H)
    return now > step.end


def standing(bake: Bake) -> Step | None:
    """The step during which the levain, the dough or its pieces stand now; None between them."""
    if began(bake, StepKind.BAKE) is not None:
        return None
    if began(bake, StepKind.MIX) is None:
        last = [each for each in bake.plan.steps if each.kind is StepKind.BUILD]
        return last[-1] if last and done_at(bake, last[-1]) is not None else None
    if began(bake, StepKind.DIVIDE) is None:
        return _first(bake, StepKind.BULK)
    if ended(bake, StepKind.SHAPE) is None:
        return None
    return _first(bake, StepKind.RETARD) or _first(bake, StepKind.PROOF)


def _thread(bake: Bake) -> Thread | None:
    """The thread with what was done when it was done; None where that makes no sense."""
    thread = as_done(bake)
    if thread is None:
        return None
    mix = began(bake, StepKind.MIX)
    late = timedelta() if mix is None else mix - thread.mix
    divide = began(bake, StepKind.DIVIDE) or thread.divide + late
    shaped = ended(bake, StepKind.SHAPE) or max(thread.shaped + late, divide)
    done = replace(thread, mix=mix or thread.mix, divide=divide, shaped=shaped)
    in_turn = done.feeds[-1].at < done.mix < done.divide <= done.shaped
    return done if in_turn else None


def _warmer(step: Step, here: list[Reading]) -> float:
    """By how much the pieces, or the air round them, were read warmer than they were to be, K."""
    course = step.standing
    if step.kind is not StepKind.RETARD or course is None or not course.rows:
        return 0.0
    coldest = min(row.temperature_c for row in course.rows)
    found = [
        each.value - (coldest if each.kind is ReadingKind.ROOM else course.mean_c_at(each.at))
        for each in here
        if each.kind in (ReadingKind.TEMPERATURE, ReadingKind.ROOM)
        and each.value is not None
        and each.at >= course.rows[0].at + SETTLED
    ]
    return max(found[-1], 0.0) if found else 0.0


def began(bake: Bake, kind: StepKind) -> datetime | None:
    """When the first step of a kind began, by when it was said to be done."""
    step = _first(bake, kind)
    done = None if step is None else bake.step_news(step.key).done
    return None if step is None or done is None else done - (step.end - step.start)


def ended(bake: Bake, kind: StepKind) -> datetime | None:
    """When the last step of a kind was said to be done."""
    last = [each for each in bake.plan.steps if each.kind is kind]
    return bake.step_news(last[-1].key).done if last else None


def _first(bake: Bake, kind: StepKind) -> Step | None:
    return next((each for each in bake.plan.steps if each.kind is kind), None)


def readings_in(bake: Bake, kind: StepKind) -> list[Reading]:
    """What was read of the last step of a kind, in time."""
    steps = [each for each in bake.plan.steps if each.kind is kind]
    found = bake.step_news(steps[-1].key).readings if steps else ()
    return sorted(found, key=lambda each: each.at)
