"""What changed between two bakes, and what each change by itself did to the bulk.

The later bake is run again with one thing as it was in the earlier one. By how much it then comes
sooner or later to its wanted rise is the effect of that one thing. What the engine cannot calculate
comes without an effect, after the rest.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from enum import StrEnum
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from pointage.formula.formula import Formula
from pointage.kitchen.kitchen import Place
from pointage.mixture.hold import hold
from pointage.mixture.mixture import Mixture
from pointage.mixture.state import S
from pointage.mixture.temperature.surroundings import Surroundings
from pointage.timetable.plan import Feed, Thread
from pointage.timetable.problem import Problem
from pointage.timetable.ways.amounts import amounts
from pointage.timetable.ways.bands import Run, run_thread

LONGEST_H = 24.0
HOUR = timedelta(hours=1)
NOTICED = timedelta(minutes=5)  # less is no difference that a baker would see (ours)
NOTICED_K = 0.3
NOTICED_RISE = 0.05
FIRST_HOURS = np.linspace(0.0, 5.0, 11)


@dataclass(frozen=True, eq=False)
class Worked:
    """A bake as it was worked. dough_c: as measured after the mix, else None; divided_rise: read.

    oven_c, minutes: as recorded. author: who recorded it. thread: with the times when it was done.
    """

    problem: Problem
    thread: Thread
    dough_c: float | None = None
    divided: datetime | None = None
    divided_rise: float | None = None
    oven_c: float | None = None
    minutes: float | None = None
    author: str = ""

    @cached_property
    def run(self) -> Run:
        """Its courses by the likeliest traits."""
        return _run(self.problem, self.thread)

    @cached_property
    def warm(self) -> float:
        """The dough's temperature after the mix: as measured, else as planned, °C."""
        planned = float(np.median(self.run.dough.mixture.states[:, S.TEMPERATURE]))
        return planned if self.dough_c is None else self.dough_c

    @property
    def bulk_h(self) -> float:
        """From the mix to the dividing."""
        return ((self.divided or self.thread.divide) - self.thread.mix) / HOUR

    @property
    def levain(self) -> Mixture:
        """The levain as it went into the dough."""
        last = self.run.feeds[-1]
        return last.course.after((last.taken - last.at) / HOUR)


class DifferenceKind(StrEnum):
    """What was otherwise. After each, what of a difference it has."""

    FORMULA = "formula"  # shares
    SEED = "seed"  # numbers: percent of the levain's flour
    AGE = "age"  # spans: of the levain when it was mixed
    DOUGH = "dough"  # numbers: °C after the mix
    PLACE = "place"  # names of the places; numbers: their °C
    BULK = "bulk"  # spans
    RISE = "rise"  # numbers: times its volume
    PROOF = "proof"  # spans; retarded
    OVEN = "oven"  # numbers: °C
    MINUTES = "minutes"  # numbers: min in the oven
    HANDS = "hands"  # names


@dataclass(frozen=True, slots=True)
class ShareChange:
    """One percentage of the formula: of an ingredient, or of the flour in a stage."""

    name: str
    now: float
    then: float
    is_stage: bool = False


@dataclass(frozen=True, slots=True)
class Difference:
    """One thing that changed: each pair as it is in the later bake, then in the earlier.

    sooner: by how much it brought the bulk on; None: not calculated.
    """

    kind: DifferenceKind
    numbers: tuple[float, float] = (0.0, 0.0)
    spans: tuple[timedelta, timedelta] = (timedelta(), timedelta())
    names: tuple[str, str] = ("", "")
    retarded: tuple[bool, bool] = (False, False)
    shares: tuple[ShareChange, ...] = ()
    sooner: timedelta | None = None


def compare(before: Worked, after: Worked) -> tuple[Difference, ...]:
    """What was otherwise in `after` than in `before`: the strongest effect on its bulk first."""
    found = [
        *_formula(before, after),
        *_seed(before, after),
        *_age(before, after),
        *_dough(before, after),
        *_place(before, after),
    ]
    found.sort(key=lambda each: -abs(each.sooner or timedelta()))
    return (*found, *_named(before, after))


def hours_to_rise(
    problem: Problem, levain: Mixture, mix: datetime, dough_c: float, surroundings: Surroundings
) -> float | None:
    """Hours of bulk to the rise that the formula wants; None when a day is not enough."""
    dough = problem.dough(levain, problem.room_c(mix)).mixture
    dough = replace(dough, states=dough.states.copy())
    dough.states[:, S.TEMPERATURE] = dough_c
    here = problem.stands.bulk(dough, problem.bulk_place)
    course = hold(
        dough, surroundings, mix, LONGEST_H, here.traits(problem.likeliest),
        follow_h=here.follow.hours,
    )  # fmt: skip
    reached = float(course.reaches(problem.process.bulk_rise[1])[0])
    return None if np.isnan(reached) else reached


def _run(problem: Problem, thread: Thread) -> Run:
    return run_thread(problem, thread, problem.likeliest, amounts(problem, thread.feeds).masses)


def _hours(
    worked: Worked,
    *,
    problem: Problem | None = None,
    thread: Thread | None = None,
    dough_c: float | None = None,
    surroundings: Surroundings | None = None,
) -> float | None:
    """Hours of a bake's bulk with something in it replaced."""
    levain = worked.levain
    if thread is not None:
        last = _run(worked.problem, thread).feeds[-1]
        levain = last.course.after((last.taken - last.at) / HOUR)
    return hours_to_rise(
        problem or worked.problem,
        levain,
        worked.thread.mix,
        worked.warm if dough_c is None else dough_c,
        surroundings or worked.problem.bulk_place.surroundings,
    )


def _effect(found: Difference, after: Worked, otherwise: float | None) -> list[Difference]:
    """The difference with its effect, for what it would have been otherwise, in hours."""
    now = _hours(after)
    if now is None or otherwise is None:
        return [found]
    return [replace(found, sooner=timedelta(hours=otherwise - now))]


def _formula(before: Worked, after: Worked) -> list[Difference]:
    old, new = before.problem.formula, after.problem.formula
    shares = _shares(old, new)
    if old.name != new.name or not shares:
        return []
    problem = replace(after.problem, formula=replace(old, process=new.process))
    fits = len(problem.build_stages) == len(after.problem.build_stages)
    otherwise = _hours(after, problem=problem) if fits else None
    return _effect(Difference(DifferenceKind.FORMULA, shares=shares), after, otherwise)


def _shares(old: Formula, new: Formula) -> tuple[ShareChange, ...]:
    found = []
    for name in dict.fromkeys([*new.total, *old.total]):
        now, then = (float(each.total.get(name, 0)) for each in (new, old))
        if abs(now - then) >= 0.05:
            found.append(ShareChange(name, now, then))
    for stage in new.stages:
        was = next((each for each in old.stages if each.name == stage.name), None)
        if was is not None and abs(float(stage.flour - was.flour)) >= 0.05:
            found.append(
                ShareChange(stage.name, float(stage.flour), float(was.flour), is_stage=True)
            )
    return tuple(found)


def _seed(before: Worked, after: Worked) -> list[Difference]:
    old, new = before.thread.feeds[-1], after.thread.feeds[-1]
    if abs(old.seed_share - new.seed_share) < 0.005:
        return []
    feeds = (*after.thread.feeds[:-1], Feed(new.at, old.seed_share))
    otherwise = _hours(after, thread=replace(after.thread, feeds=feeds))
    shares = (100 * new.seed_share, 100 * old.seed_share)
    return _effect(Difference(DifferenceKind.SEED, numbers=shares), after, otherwise)


def _age(before: Worked, after: Worked) -> list[Difference]:
    old, new = (each.thread.mix - each.thread.feeds[-1].at for each in (before, after))
    if abs(old - new) < NOTICED:
        return []
    last = after.thread.feeds[-1]
    at = after.thread.mix - old
    earlier = after.thread.feeds[-2].at if len(after.thread.feeds) > 1 else None
    found = Difference(DifferenceKind.AGE, spans=(new, old))
    if earlier is not None and at <= earlier:
        return [found]
    feeds = (*after.thread.feeds[:-1], Feed(at, last.seed_share))
    return _effect(found, after, _hours(after, thread=replace(after.thread, feeds=feeds)))


def _dough(before: Worked, after: Worked) -> list[Difference]:
    if abs(after.warm - before.warm) < NOTICED_K:
        return []
    found = Difference(DifferenceKind.DOUGH, numbers=(after.warm, before.warm))
    return _effect(found, after, _hours(after, dough_c=before.warm))


def _place(before: Worked, after: Worked) -> list[Difference]:
    """The place of the bulk, as warm as it was in the hours of each bake."""
    new, old = _warmth(after), _warmth(before)
    here, there = after.problem.bulk_place, before.problem.bulk_place
    if abs(new - old) < NOTICED_K and here.name == there.name:
        return []
    found = Difference(DifferenceKind.PLACE, numbers=(new, old), names=(here.name, there.name))
    moved = _Then(there, before.thread.mix - after.thread.mix)
    return _effect(found, after, _hours(after, surroundings=moved))


@dataclass(frozen=True)
class _Then:
    """A place as it was at another time: its history, moved."""

    place: Place
    moved: timedelta

    def temperatures(self, start: datetime, hours: NDArray[np.float64]) -> NDArray[np.float64]:
        return self.place.surroundings.temperatures(start + self.moved, hours)


def _warmth(worked: Worked) -> float:
    """The mean of the bulk's place in its first hours, °C."""
    around = worked.problem.bulk_place.surroundings
    return float(around.temperatures(worked.thread.mix, FIRST_HOURS).mean())


def _named(before: Worked, after: Worked) -> list[Difference]:
    """What followed from the rest or came after the bulk: no effect on it is calculated."""
    found = []
    if abs(timedelta(hours=after.bulk_h - before.bulk_h)) >= NOTICED:
        spans = (timedelta(hours=after.bulk_h), timedelta(hours=before.bulk_h))
        found.append(Difference(DifferenceKind.BULK, spans=spans))
    new, old = after.divided_rise or 0.0, before.divided_rise or 0.0
    if new and old and abs(new - old) >= NOTICED_RISE:
        found.append(Difference(DifferenceKind.RISE, numbers=(new, old)))
    found += _proof(before, after)
    for kind, now, then in (
        (DifferenceKind.OVEN, after.oven_c, before.oven_c),
        (DifferenceKind.MINUTES, after.minutes, before.minutes),
    ):
        if now and then and abs(now - then) >= 1:
            found.append(Difference(kind, numbers=(now, then)))
    if after.author != before.author:
        found.append(Difference(DifferenceKind.HANDS, names=(after.author, before.author)))
    return found


def _proof(before: Worked, after: Worked) -> list[Difference]:
    old, new = (each.thread.loads[0] - each.thread.shaped for each in (before, after))
    retarded = (bool(after.thread.retarded), bool(before.thread.retarded))
    if retarded[0] == retarded[1] and abs(new - old) < NOTICED:
        return []
    return [Difference(DifferenceKind.PROOF, spans=(new, old), retarded=retarded)]
