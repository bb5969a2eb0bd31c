"""The timetable: from a wish to a plan, or to the reasons why there is none."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace

from pointage.errors import InputError
from pointage.language import say
from pointage.timetable.explain import conflicts
from pointage.timetable.plan import (
    Conflict,
    Feed,
    Plan,
    Status,
    Step,
    Thread,
)
from pointage.timetable.problem import Problem
from pointage.timetable.remark import Remark, RemarkCode
from pointage.timetable.shortage import shortages
from pointage.timetable.solve import SEARCHED, ChosenWay, search
from pointage.timetable.steps import steps_of
from pointage.timetable.ways.amounts import amounts
from pointage.timetable.ways.bands import Run, run_thread
from pointage.timetable.ways.lean import AS_USUAL, Lean

CAUTIONS = (Remark(RemarkCode.MOULD), Remark(RemarkCode.GLUTEN))


def plan(
    problem: Problem,
    reached: Callable[[float], None] = lambda share: None,
    *,
    lean: Lean = AS_USUAL,
) -> Plan:
    """The plan for one bake: least penalty, or IMPOSSIBLE with the conflicting wishes.

    lean: what is leaned to where there is a choice; its prices are in the penalty. reached: hears
    how much is done, from 0 to 1, and may raise to stop it. Raises InputError for a ready time that
    is past, a kitchen too cold, a place or culture that is not there.
    """
    if problem.ready <= problem.now:
        local = problem.ready.astimezone(problem.kitchen.zone)
        now = problem.now.astimezone(problem.kitchen.zone)
        raise InputError(
            "ready",
            f"{local:%Y-%m-%dT%H:%M}",
            say("a time after now, {now:%Y-%m-%dT%H:%M}", now=now),
        )
    if problem.pieces < 1 or problem.piece_g <= 0:
        raise InputError("pieces", problem.pieces, say("at least one piece with a mass"))
    problem.check_warmth()
    problem.check_oven()
    problem.check_pieces()
    found = search(problem, reached, lean=lean)
    if found.choice is None:
        clash = conflicts(problem, found)
        return _plan(problem, Status.IMPOSSIBLE, bound=found.bound, conflicts=clash)
    reached(SEARCHED)
    done = planned(problem, _thread(found.choice))
    return replace(done, penalty=found.choice.penalty, bound=found.bound)


def planned(problem: Problem, thread: Thread, besides_g: float = 0.0) -> Plan:
    """The plan of a thread that was chosen, whoever chose it: its steps, courses and odds.

    besides_g: seed that other bakes take of the culture once it is woken.
    """
    return planned_with_courses(problem, thread, besides_g)[0]


def planned_with_courses(
    problem: Problem, thread: Thread, besides_g: float = 0.0, tub_g: Sequence[float] = ()
) -> tuple[Plan, Run]:
    """The same, and the courses of its ensemble.

    tub_g: grams in the tub of each build, where other doughs have a part of it.
    """
    problem = problem.baked_in(thread.oven)
    grams = amounts(problem, thread.feeds, besides_g)
    masses = grams.masses
    if tub_g:
        masses = [*masses[: -len(tub_g)], *tub_g]
    run = run_thread(problem, thread, problem.traits, masses)
    steps = steps_of(problem, thread, grams, run)
    waiting = (thread.shaped, thread.loads[-1])
    lacks = shortages(problem, *waiting, retarded=thread.retarded)
    done = _plan(problem, Status.BEST, steps=steps, thread=thread)
    return replace(done, shortages=lacks), run


def _thread(choice: ChosenWay) -> Thread:
    way = choice.way
    return Thread(
        feeds=tuple(Feed(each.at, each.seed_share) for each in way.levain.feedings()),
        soaks=way.soaks,
        mix=way.mix,
        divide=way.divide,
        shaped=way.shaped,
        retarded=way.retarded,
        preheat=choice.preheat,
        loads=choice.loads,
        oven=choice.oven.name,
    )


def _plan(
    problem: Problem,
    status: Status,
    *,
    steps: tuple[Step, ...] = (),
    bound: float | None = None,
    conflicts: tuple[Conflict, ...] = (),
    thread: Thread | None = None,
) -> Plan:
    return Plan(
        formula=problem.formula.name,
        culture=problem.culture.name,
        ready=problem.ready,
        zone=problem.kitchen.zone.key,
        pieces=problem.pieces,
        piece_g=float(problem.piece_g),
        steps=steps,
        status=status,
        penalty=None,
        bound=bound,
        conflicts=conflicts,
        cautions=(
            *CAUTIONS,
            *(Remark(RemarkCode.AUTHOR, text=text) for text in problem.formula.cautions),
        ),
        thread=thread,
    )
