"""Watch a bake: what was done and seen moves the courses of its thread.

The bake is run again from what it was wished with: feeds that were done sooner or later than
planned start when they were done, and the culture's traits are learned from what was seen. The
plan's times stay; its courses, windows and odds follow.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from datetime import datetime, timedelta

from pointage.daybook.readings import observation
from pointage.desk.answers import Bake, StepNews
from pointage.desk.now.cultures.between_feeds import observed
from pointage.desk.now.texts import formula_of, kitchen_of
from pointage.kitchen.stand import VesselStand
from pointage.mixture.course import Course
from pointage.mixture.learning.update import Posterior, Watched, learn
from pointage.mixture.mixture import Mixture
from pointage.mixture.traits import Traits
from pointage.timetable.plan import (
    Feed,
    Step,
    StepCourse,
    StepKind,
    Thread,
)
from pointage.timetable.problem import Problem
from pointage.timetable.ways.amounts import amounts
from pointage.timetable.ways.bands import (
    Run,
    bulk_course,
    course_in,
    proof_standing,
    run_thread,
)

SEED = 1
NOTICED = timedelta(minutes=5)
_FEEDS = (StepKind.FEED, StepKind.BUILD)


@dataclass(frozen=True, eq=False)
class _Watched:
    """A step during which a mixture stands: what it began as, where, and its course."""

    step: Step
    mixture: Mixture
    course: Course
    until: datetime
    stand: VesselStand


def moved(bake: Bake) -> Thread | None:
    """The thread as it was done, where something was done or seen that moves its courses."""
    thread = as_done(bake)
    seen = any(news.readings for news in bake.news.values())
    if bake.wished is None or (thread == bake.plan.thread and not seen):
        return None
    return thread


def taught(
    bake: Bake,
    believed: Posterior | None = None,
    reached: Callable[[float], None] | None = None,
) -> Posterior:
    """What is believed of the culture in this bake, after what was seen of it.

    believed: what other bakes of the culture have taught. reached: as for `learn`.
    """
    return learn(believed, histories(bake), SEED, reached)


def watched(bake: Bake, posterior: Posterior) -> Bake:
    """The bake with its courses run again by what it has `taught`; as it is where nothing moved."""
    thread = moved(bake)
    if thread is None:
        return bake
    problem = problem_of(bake, posterior)
    run = run_thread(problem, thread, posterior.latest, masses_of(problem, bake))
    held = {each.step.key: each for each in _held(problem, bake, run)}
    steps = tuple(_step_now(problem, step, held, run, posterior.latest) for step in bake.plan.steps)
    news = _questioned(bake.news, posterior)
    for before, now in zip(bake.plan.steps, steps, strict=True):
        ahead = _ahead(before.standing, now.standing)
        if ahead is not None:
            news[now.key] = replace(news.get(now.key, StepNews()), ahead=ahead)
    return replace(bake, plan=replace(bake.plan, steps=steps), news=news)


def histories(bake: Bake, but: frozenset[str] = frozenset()) -> list[Watched]:
    """Every mixture of the bake of which something was seen, as it was mixed and held.

    Of a levain that was given up, too: it has taught as much. but: entries whose readings are left
    out, for they count elsewhere.
    """
    if bake.before is not None:
        left = {step.key for step in bake.plan.steps if step.left}
        news = {key: each for key, each in bake.news.items() if key in left}
        own = {key: each for key, each in bake.news.items() if key not in left}
        given_up = histories(replace(bake.before, news=news), but)
        return [*given_up, *histories(replace(bake, before=None, news=own), but)]
    thread = as_done(bake)
    every = {
        key: tuple(each for each in news.readings if each.entry not in but)
        for key, news in bake.news.items()
    }
    seen = {key: readings for key, readings in every.items() if readings}
    if thread is None or bake.wished is None or not seen:
        return []
    problem = problem_of(bake, None)
    run = run_thread(problem, thread, problem.traits, masses_of(problem, bake))
    return [
        Watched(
            mixture=each.mixture.typical(),
            surroundings=problem.kitchen.place(each.step.place).surroundings,
            start=each.course.start,
            **observed(r for r in seen[each.step.key] if each.course.start <= r.at),
            place=each.step.place,
            vessel=each.stand.vessel.name,
            follow_h=each.stand.follow.hours,
        )
        for each in _held(problem, bake, run)
        if each.step.key in seen
    ]


def problem_of(bake: Bake, believed: Posterior | None) -> Problem:
    """The problem the bake was planned for."""
    wished = bake.wished
    assert wished is not None
    kitchen = replace(kitchen_of(wished.kitchen, wished.since), flours=wished.flours)
    if wished.friction_k is not None:
        kitchen = kitchen.that_gains(wished.friction_k)
    if believed is not None:
        kitchen = kitchen.that_strays(believed.strays)
    return Problem(
        formula=formula_of(wished.formula),
        kitchen=kitchen,
        culture=wished.culture or kitchen.culture(bake.plan.culture),
        now=wished.since,
        ready=bake.plan.ready,
        pieces=bake.plan.pieces,
        piece_g=wished.piece_g,
        believed=None if believed is None else believed.traits,
        warming={} if believed is None else believed.warming,
    )


def masses_of(problem: Problem, bake: Bake) -> list[float]:
    assert bake.plan.thread is not None
    return amounts(problem, bake.plan.thread.feeds).masses


def as_done(bake: Bake) -> Thread | None:
    """The thread with feeds at the instants at which they were done, as far as that makes sense."""
    thread = bake.plan.thread
    if thread is None:
        return None
    steps = bake.plan.fed
    feeds = list(thread.feeds)
    shared = len(feeds) - len(steps)  # the first, where the culture is woken with another bake's
    for i, step in enumerate(steps, start=shared):
        done = bake.step_news(step.key).done
        if done is None:
            continue
        at = done - (step.end - step.start)
        before = feeds[i - 1].at if i else at
        after = feeds[i + 1].at if i + 1 < len(feeds) else thread.mix
        if before <= at < after and abs(at - feeds[i].at) >= NOTICED:
            chilled, warmed = (
                None if each is None else min(each + (at - feeds[i].at), after)
                for each in (feeds[i].chilled, feeds[i].warmed)
            )
            feeds[i] = Feed(at, feeds[i].seed_share, chilled, warmed)
    return replace(thread, feeds=tuple(feeds))


def _held(problem: Problem, bake: Bake, run: Run) -> list[_Watched]:
    """The steps of the plan during which a mixture stands, each with its course."""
    found = []
    own = len(bake.plan.fed)
    feeds = iter(run.feeds[len(run.feeds) - own :])
    for step in bake.plan.steps:
        if step.left:
            continue
        if step.kind in _FEEDS:
            fed = next(feeds)
            found.append(_Watched(step, fed.mixed.mixture, fed.course, fed.taken, fed.stand))
        elif step.kind is StepKind.BULK:
            dough = run.dough.mixture
            found.append(_Watched(step, dough, run.bulk, step.end, run.bulk_stand))
        elif step.kind in (StepKind.PROOF, StepKind.RETARD):
            shaped = run.proof.after(0.0)
            found.append(_Watched(step, shaped, run.proof, step.end, run.proof_stand))
    return found


def _step_now(
    problem: Problem, step: Step, held: Mapping[str, _Watched], run: Run, traits: Traits
) -> Step:
    if step.key in held:
        now = held[step.key]
        if step.kind in _FEEDS:
            standing = course_in(problem.stands, now.stand, now.course, now.until, ripe=True)
        elif step.kind is StepKind.BULK:
            standing = bulk_course(problem, run, now.until, traits)
        else:
            retarded = step.kind is StepKind.RETARD
            standing = proof_standing(problem, run, now.until, traits, retarded=retarded)
        step = replace(step, standing=standing)
    if step.kind in _FEEDS and not step.left:
        fed = next(each for each in run.feeds if each.course is held[step.key].course)
        return replace(step, ripe_odds=fed.odds)
    if step.kind is StepKind.MIX:
        return replace(step, ripe_odds=run.feeds[-1].odds)
    return step


def _ahead(planned: StepCourse | None, now: StepCourse | None) -> timedelta | None:
    """By how much the mixture is sooner where the plan wants it: ripe, or at its planned rise."""
    if planned is None or now is None:
        return None
    if planned.ripe_from is not None and now.ripe_from is not None:
        return planned.ripe_from.p50 - now.ripe_from.p50
    wanted = planned.rise_at_end
    there = [_first_at(standing, wanted) for standing in (planned, now)]
    if there[0] is None or there[1] is None:
        return None
    return there[0] - there[1]


def _first_at(standing: StepCourse, rise: float) -> datetime | None:
    return next((row.at for row in standing.rows if row.rise >= rise - 1e-9), None)


def _questioned(news: Mapping[str, StepNews], posterior: Posterior) -> dict[str, StepNews]:
    """The news with readings that do not fit marked so."""
    odd = {(judged.observation.at, type(judged.observation)) for judged in posterior.questioned}
    return {
        key: replace(
            each,
            readings=tuple(
                replace(reading, questioned=(reading.at, type(observation(reading))) in odd)
                for reading in each.readings
            ),
        )
        for key, each in news.items()
    }
