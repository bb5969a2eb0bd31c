"""A baker who follows the signs, lived through by every member of an ensemble at once.

Each member is one way that culture, places and doughs may be, with times of its own. A levain that
will be ripe before its time goes into the fridge shortly before its peak and waits there, or, put
away too young, stands in the warm again; one that is behind is waited for. What was done before
now is as it was done. What becomes of the dough is in `dough`.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from datetime import datetime, timedelta

import numpy as np
from numpy.typing import NDArray

from pointage.kitchen.culture_state import culture_at
from pointage.kitchen.stand import VesselStand
from pointage.mixture.course import Course, leavened, ripe_windows
from pointage.mixture.hold import hold
from pointage.mixture.mixture import Mixture, raw
from pointage.mixture.temperature.temper import temper
from pointage.mixture.traits import Traits
from pointage.timetable.baker.dough import DoughLived, WishMade, dough_lived
from pointage.timetable.baker.looking import LOOK_MIN, Believed, FoundAt, found_at
from pointage.timetable.baker.quarters import PER_H, OwnCourses, Quarters
from pointage.timetable.calendar import GRID, Calendar, floor_to_grid
from pointage.timetable.plan import Thread
from pointage.timetable.problem import Problem
from pointage.timetable.ways.chilled import LONGEST_CHILL_H, ahead_h, sourness
from pointage.timetable.ways.levains import FEED_MINUTES, LONGEST_HOLD_H
from pointage.timetable.week.question import UnderWay, WantedStage

Floats = NDArray[np.float64]
Flags = NDArray[np.bool_]
Steps = NDArray[np.intp]

AFTER_H = 30
"""So long after its time is a wish looked at."""
AHEAD = 6
"""A levain that is wanted in more steps than that goes into the fridge meanwhile (ours)."""
FINISH_H = 8
"""So long at the most does one that is too young stand in the warm again (ours)."""
LATE = 1
"""Steps after its time that are still within 20 minutes."""


@dataclass(frozen=True, eq=False)
class Lived:
    """What became of each member. ripe: of each build, whether it was used inside its window.

    begun: the steps at which each feed was mixed; taken: at which the levain was; planned: at which
    it was to be. dough: None for a wish that ends before. believed: of each mixture, what it did,
    for who is to know of it. learned: what her looks have told her (`looking.FoundAt`). found: of
    each mixture, when it was found to be as wanted; put: of each feed, the step at which it went
    into the fridge, -1 where it did not. ripe_h: after how many hours the middle one's levain is
    ripe.
    """

    ripe: tuple[Flags, ...]
    begun: tuple[Steps, ...]
    taken: Steps
    planned: int
    dough: DoughLived | None
    believed: tuple[Believed, ...]
    learned: Floats | None = None
    found: tuple[FoundAt, ...] = ()
    put: tuple[Steps, ...] = ()
    ripe_h: float = 0.0

    @property
    def on_time(self) -> Flags:
        if self.dough is None:
            return np.asarray(self.taken <= self.planned + LATE)
        return self.dough.on_time

    @property
    def kept(self) -> Flags:
        """Whether all levains were used inside their windows, and what is wanted was as wanted."""
        found = np.logical_and.reduce(self.ripe) & self.on_time
        return np.asarray(found if self.dough is None else found & self.dough.fit)


@dataclass(frozen=True, eq=False)
class Resting:
    """A culture as it rests from an instant on, one state a member of some traits."""

    course: Course

    @staticmethod
    def of(problem: Problem, traits: Traits, until: datetime) -> Resting:
        """The culture of a problem from its `now` on."""
        culture = culture_at(problem.culture, problem.kitchen, problem.now, traits)
        place = problem.kitchen.place(problem.culture.place)
        hours = max(1.0, (until - problem.now) / timedelta(hours=1))
        return Resting(hold(culture, place.surroundings, problem.now, hours, traits, every_min=60))

    def at(self, instant: datetime) -> Mixture:
        return self.course.after((instant - self.course.start) / timedelta(hours=1))


@dataclass(frozen=True, eq=False)
class Baker:
    """One wish as it is planned. known: what is believed of each mixture; () for one who sees all.

    masses: of the feeds, in grams. resting: the culture as it rests, where that is known already.
    usual: hours in which she believes its levain to ripen, and steps in which its dough rises in
    the room; None for one who knows them as they will be in the middle of those who live. so_far:
    what was done, up to the `now` of the problem; None where nothing was.
    """

    problem: Problem
    stage: WantedStage
    thread: Thread
    masses: Sequence[float]
    calendar: Calendar
    known: tuple[Believed, ...] = ()
    resting: Resting | None = None
    usual: tuple[float, float] | None = None
    so_far: UnderWay | None = None

    def who_knows(self, lived: Lived) -> Baker:
        """The same, who goes by what became of an ensemble and one look at each mixture."""
        took = lived.dough.took if lived.dough is not None else 0.0
        return replace(self, known=lived.believed, usual=(lived.ripe_h, took))

    def lives(self, traits: Traits, seed: int = 0, *, learned: Floats | None = None) -> Lived:
        """What becomes of cultures of these traits. seed: of how her readings err.

        learned: what an earlier bake of the same culture has told her, by the same beliefs.
        """
        base = floor_to_grid(self.thread.feeds[0].at)
        steps = int((self.thread.loads[-1] - base) / GRID) + AFTER_H * PER_H
        life = _Life(self, Quarters(traits, base, self.calendar, steps), seed, learned=learned)
        return life.lived()


@dataclass(frozen=True, eq=False)
class _Waits:
    """Levains in the warm (held, here) and the fridge (there). put: when they go there, if cold.

    first, until: the steps of their windows in the warm.
    """

    held: OwnCourses
    here: VesselStand
    there: VesselStand
    put: Steps
    cold: Flags
    first: Steps
    until: Steps


@dataclass(eq=False)
class _Life:
    baker: Baker
    quarters: Quarters
    seed: int
    believed: list[Believed] = field(default_factory=list)
    found: list[FoundAt] = field(default_factory=list)
    put: list[Steps] = field(default_factory=list)
    learned: Floats | None = None
    pace: Floats | None = None
    ripe_h: float = 0.0

    @property
    def now(self) -> int:
        """The first step that is still to come; before all where nothing was done."""
        if self.baker.so_far is None:
            return -1
        return int(np.ceil((self.baker.problem.now - self.quarters.base) / GRID))

    def was_taken(self, number: int) -> bool:
        """Whether what takes from a feed was done."""
        was = self.baker.so_far
        return was is not None and (number + 1 < was.feeds or was.mixed)

    def seen_by_now(self, courses: OwnCourses, comes: Steps) -> None:
        """A mixture that was used: she knows what it did."""
        self.believed.append(Believed(courses.rise, comes))
        self.found.append(FoundAt(comes))

    def look(self, courses: OwnCourses, comes: Steps) -> Steps:
        """Rows after which each mixture is found to be as wanted."""
        number = len(self.believed)
        self.believed.append(Believed(courses.rise, comes))
        known = self.baker.known[number] if self.baker.known else None
        found = found_at(
            self.quarters,
            courses.start,
            courses.rise,
            comes,
            known,
            learned=self.learned,
            seed=self.seed + number,
        )
        self.learned = found.logs
        self.found.append(found)
        return found.rows

    def lived(self) -> Lived:
        problem, thread, quarters = self.baker.problem, self.baker.thread, self.quarters
        first = thread.feeds[0].at
        resting = self.baker.resting
        if resting is None:
            mixture = culture_at(problem.culture, problem.kitchen, first, quarters.traits)
        else:
            mixture = resting.at(first)
        start = quarters.all_at(first)
        takes = [*(feed.at for feed in thread.feeds[1:]), thread.mix]
        ripe, begun = [], []
        for number, at in enumerate(takes):
            begun.append(start)
            last = number == len(takes) - 1
            minutes = problem.process.mix_minutes if last else FEED_MINUTES
            mixture, start, good = self._levain(number, mixture, start, quarters.step(at), minutes)
            if number >= len(takes) - len(problem.builds):
                ripe.append(good)
        dough = None
        if self.baker.stage not in (WantedStage.RIPE, WantedStage.MIXED):
            assert self.pace is not None
            made = problem.dough(mixture, problem.room_c(thread.mix), each=True).mixture
            took = None if self.baker.usual is None else self.baker.usual[1]
            was = self.baker.so_far
            divided = quarters.step(thread.divide) if was is not None and was.divided else None
            how = WishMade(
                problem, self.baker.stage, thread, quarters, self.look, took, self.now, divided
            )
            dough = dough_lived(how, made, start, pace=self.pace)
        planned = quarters.step(thread.mix)
        return Lived(
            tuple(ripe),
            tuple(begun),
            start,
            planned,
            dough,
            tuple(self.believed),
            self.learned,
            tuple(self.found),
            tuple(self.put),
            self.ripe_h,
        )

    def _levain(
        self, number: int, culture: Mixture, start: Steps, planned: int, minutes: float
    ) -> tuple[Mixture, Steps, Flags]:
        """A feed as what comes next takes from it, when that is, and whether it is ripe then."""
        problem, quarters = self.baker.problem, self.quarters
        mixed, last = self._fed(number, culture)
        recipe = problem.recipes(len(self.baker.thread.feeds))[number]
        here = problem.stands.fed(mixed, recipe.place, last=last)
        held = quarters.hold(mixed, here, start, int((LONGEST_HOLD_H + 6) * PER_H))
        ripe_from, ripe_until = ripe_windows(
            held.hours, held.rise, leavened(held.states, held.rise)
        )
        ever, end = ~np.isnan(ripe_from), float(held.hours[-1])
        ripe_from, ripe_until = (
            np.where(np.isnan(each), end, each) for each in (ripe_from, ripe_until)
        )
        first = start + np.ceil(ripe_from * PER_H).astype(np.intp)
        until = start + np.floor(ripe_until * PER_H).astype(np.intp)
        self.ripe_h = float(np.median(ripe_from))
        usual = self.baker.usual
        self.pace = ripe_from / (self.ripe_h if usual is None else usual[0])
        # Into the fridge so early that by cooling it comes to the middle of its window.
        waits_h = np.maximum(0, planned - first) / PER_H
        ahead = np.round(ahead_h(ripe_until - ripe_from, waits_h) * PER_H).astype(np.intp)
        comes = np.maximum(first + ahead - start, 1)
        there_by = self._in_the_fridge(number)
        if self.was_taken(number):
            self.seen_by_now(held, comes)
            seen = np.full_like(start, planned)
            if there_by is None:
                self.put.append(np.full_like(seen, -1))
                return held.at(seen), seen, (first <= planned) & (planned <= until) & ever
        else:
            seen = np.maximum(start + np.maximum(self.look(held, comes), 1), self.now)
        taken = quarters.next_free(np.maximum(np.maximum(planned, seen), first), minutes)
        direct = (taken <= until) & ever
        if problem.fridge is None:
            self.put.append(np.full_like(taken, -1))
            return held.at(taken), taken, direct
        put = quarters.nearest_free(seen, LOOK_MIN, np.maximum(start + 1, self.now))
        cold = (planned - seen > AHEAD) | (~direct & (taken - seen > AHEAD))
        cold &= (put <= until) & ever
        if there_by is not None:
            put, cold = np.full_like(seen, there_by), np.ones_like(ever)
        self.put.append(np.where(cold, put, -1))
        if not cold.any():
            return held.at(taken), taken, direct
        there = problem.stands.fed(mixed, problem.fridge, last=last)
        waits = _Waits(held, here, there, put, cold, first, until)
        states, later, inside = self._waited(number, waits, planned, minutes)
        taken = np.where(cold, later, taken)
        states = np.where(cold[:, None], states, held.at(taken).states)
        return replace(mixed, states=states), taken, np.where(cold, inside, direct)

    def _waited(
        self, number: int, waits: _Waits, planned: int, minutes: float
    ) -> tuple[Floats, Steps, Flags]:
        """Levains that wait in the fridge as they are taken, when that is, and if they are ripe.

        One that is too young stands in the warm again, from when that is planned or it is wanted.
        """
        quarters, put = self.quarters, waits.put
        later = quarters.next_free(np.maximum(np.maximum(planned, self.now), put + 1), minutes)
        if self.was_taken(number):
            later = np.full_like(later, planned)
        warmed = self.baker.thread.feeds[number].warmed
        out = later if warmed is None else np.minimum(later, quarters.step(warmed))
        out = np.maximum(out, put + 1)
        rows = int(np.where(waits.cold, later - put, 1).clip(1, LONGEST_CHILL_H * PER_H).max())
        kept = quarters.hold(waits.held.at(put), waits.there, put, rows)
        ripe_at, past = (
            sourness(waits.held.at(each).states) for each in (waits.first, waits.until)
        )
        states = kept.at(later).states
        young = waits.cold & (sourness(kept.at(out).states) < ripe_at)
        if warmed is None and self.was_taken(number):
            young[:] = False
        if young.any():
            warm = quarters.hold(kept.at(out), waits.here, out, FINISH_H * PER_H)
            ready = (sourness(warm.states) >= ripe_at[:, None]).argmax(axis=1)
            ready = out + np.maximum(ready, 1)
            up = ready if warmed is None else np.maximum(ready, later)
            up = later if self.was_taken(number) else quarters.next_free(up, minutes)
            later = np.where(young, up, later)
            states = np.where(young[:, None], warm.at(later).states, states)
        sour = sourness(states)
        return states, later, np.asarray((sour >= ripe_at) & (sour <= past))

    def _in_the_fridge(self, number: int) -> int | None:
        """The step at which a levain that stands or was used went into the fridge, if it did."""
        was, problem = self.baker.so_far, self.baker.problem
        if was is None or number >= was.feeds:
            return None
        put = self.baker.thread.feeds[number].chilled
        return None if put is None or put > problem.now else self.quarters.step(put)

    def _fed(self, number: int, culture: Mixture) -> tuple[Mixture, bool]:
        """A feed just mixed, each member's with its own water, and whether it is a build."""
        problem, feed = self.baker.problem, self.baker.thread.feeds[number]
        feeds = len(self.baker.thread.feeds)
        recipe = problem.recipes(feeds)[number]
        flour_g = self.baker.masses[number] / (1 + recipe.hydration)
        seed = culture.scaled(feed.seed_share * flour_g)
        fresh = recipe.fresh(seed, flour_g)
        assert fresh is not None, "the search has weighed this feed"
        dry = raw(fresh[0], celsius=problem.room_c(feed.at), record=recipe.record)
        mixed = temper([seed, dry], fresh[1], recipe.wanted_c, each=True).mixture
        return mixed, number >= feeds - len(problem.builds)
