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
from pointage.timetable.baker.dough import DoughLived, WishMade, doughs_lived
from pointage.timetable.baker.looking import LOOK_MIN, Believed, FoundAt, found_at
from pointage.timetable.baker.quarters import PER_H, Abreast, OwnCourses, Quarters
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
    each mixture, when it was found to be as wanted; put, out: of each feed, the steps at which it
    went into the fridge, and came out to stand in the warm again, -1 where it did not. ripe_h:
    after how many hours the middle one's levain is ripe.
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
    out: tuple[Steps, ...] = ()
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
        return lived_abreast([self], traits, seed, learned=learned)[0]


def lived_abreast(
    bakers: Sequence[Baker], traits: Traits, seed: int = 0, *, learned: Floats | None = None
) -> list[Lived]:
    """What becomes of cultures of these traits by each of several plans for one bake.

    The plans differ in their threads alone; of a bake under way there is one. All are lived through
    at once, so that there is little to do beside the engine; each as if it were the only one, but
    that steps are counted from the earliest of their first feeds.
    """
    begun = [floor_to_grid(each.thread.feeds[0].at) for each in bakers]
    base = min(begun)
    edges = []
    for first, each in zip(begun, bakers, strict=True):
        since, steps = round((first - base) / GRID), int((each.thread.loads[-1] - first) / GRID)
        edges.append((since, since + steps + AFTER_H * PER_H))
    most = max(last for _, last in edges)
    quarters = Quarters(traits, base, bakers[0].calendar, most, edges)
    return _Abreast([_Life.of(each, quarters, learned) for each in bakers], quarters, seed).lived()


@dataclass(frozen=True, slots=True)
class _SoFar:
    """What was done of a feed, in steps. now: the first that is still to come.

    taken: whether what takes from it was done. put, out: when it went into the fridge, and when it
    comes out again.
    """

    now: int = -1
    taken: bool = False
    put: int | None = None
    out: int | None = None


@dataclass(frozen=True, eq=False)
class _Waits:
    """Levains in the warm (held, here) and the fridge (there). put: when they go there, if cold.

    first, until: the steps of their windows in the warm; planned: when they are to be taken, by
    work of so many minutes.
    """

    held: OwnCourses
    here: Sequence[VesselStand]
    there: Sequence[VesselStand]
    put: Steps
    cold: Flags
    first: Steps
    until: Steps
    planned: Steps
    minutes: float


@dataclass(eq=False)
class _Life:
    """One plan as it is lived through, and what has become of it so far.

    culture, at: what its next feed, or the mix, takes from, and when. pace: each member's, as its
    levain showed, over the middle one's.
    """

    baker: Baker
    learned: Floats | None
    culture: Mixture
    at: Steps
    pace: Floats
    believed: list[Believed] = field(default_factory=list)
    found: list[FoundAt] = field(default_factory=list)
    put: list[Steps] = field(default_factory=list)
    out: list[Steps] = field(default_factory=list)
    begun: list[Steps] = field(default_factory=list)
    ripe: list[Flags] = field(default_factory=list)
    ripe_h: float = 0.0

    @staticmethod
    def of(baker: Baker, quarters: Quarters, learned: Floats | None) -> _Life:
        """As it begins, with the culture at rest."""
        problem, first = baker.problem, baker.thread.feeds[0].at
        if baker.resting is None:
            culture = culture_at(problem.culture, problem.kitchen, first, quarters.traits)
        else:
            culture = baker.resting.at(first)
        members = len(quarters.traits)
        start = np.full(members, quarters.step(first))
        return _Life(baker, learned, culture, start, np.ones(members))

    @property
    def feeds(self) -> int:
        return len(self.baker.thread.feeds)

    def so_far(self, number: int, quarters: Quarters) -> _SoFar:
        """What was done of a feed."""
        was, now = self.baker.so_far, self.baker.problem.now
        if was is None:
            return _SoFar()
        step = int(np.ceil((now - quarters.base) / GRID))
        feed = self.baker.thread.feeds[number]
        is_put = number < was.feeds and feed.chilled is not None and feed.chilled <= now
        put, out = (None if at is None else quarters.step(at) for at in (feed.chilled, feed.warmed))
        taken = number + 1 < was.feeds or was.mixed
        return _SoFar(step, taken, put if is_put else None, out)

    def fed(self, number: int) -> Mixture:
        """A feed just mixed, each member's with its own water."""
        problem, feed = self.baker.problem, self.baker.thread.feeds[number]
        recipe = problem.recipes(self.feeds)[number]
        flour_g = self.baker.masses[number] / (1 + recipe.hydration)
        seed = self.culture.scaled(feed.seed_share * flour_g)
        fresh = recipe.fresh(seed, flour_g)
        assert fresh is not None, "the search has weighed this feed"
        dry = raw(fresh[0], celsius=problem.room_c(feed.at), record=recipe.record)
        return temper([seed, dry], fresh[1], recipe.wanted_c, each=True).mixture

    def comes_to(
        self,
        culture: Mixture,
        ripe_from: Floats,
        taken: Steps,
        cold: tuple[Steps, Steps],
        inside: Flags,
        *,
        is_build: bool,
    ) -> None:
        """A feed was taken from; hours after which each member's was ripe; inside: its window.

        cold: when it went into the fridge and came out.
        """
        self.begun.append(self.at)
        self.put.append(cold[0])
        self.out.append(cold[1])
        if is_build:
            self.ripe.append(inside)
        self.ripe_h = float(np.median(ripe_from))
        usual = self.baker.usual
        self.pace = ripe_from / (self.ripe_h if usual is None else usual[0])
        self.culture, self.at = culture, taken

    def dough(self) -> Mixture:
        """The dough of its levain, each member's with its own water."""
        problem = self.baker.problem
        room_c = problem.room_c(self.baker.thread.mix)
        return problem.dough(self.culture, room_c, each=True).mixture

    def lived(self, planned: int, dough: DoughLived | None) -> Lived:
        return Lived(
            tuple(self.ripe),
            tuple(self.begun),
            self.at,
            planned,
            dough,
            tuple(self.believed),
            self.learned,
            tuple(self.found),
            tuple(self.put),
            tuple(self.out),
            self.ripe_h,
        )


@dataclass(eq=False)
class _Abreast:
    """Lives of one bake, one after the other in every array."""

    lives: Sequence[_Life]
    quarters: Quarters
    seed: int

    @property
    def problem(self) -> Problem:
        return self.lives[0].baker.problem

    def of(self, lives: Sequence[int]) -> _Abreast:
        """The same for some of them."""
        return _Abreast([self.lives[n] for n in lives], self.quarters.of_lives(lives), self.seed)

    def look(self, courses: OwnCourses, comes: Steps) -> Steps:
        """Rows after which each mixture is found to be as wanted."""
        rows = []
        by_life = self.quarters.by_life
        own = (by_life(courses.start), by_life(courses.rise), by_life(comes))
        for n, (life, start, rise, due) in enumerate(zip(self.lives, *own, strict=True)):
            number = len(life.believed)
            life.believed.append(Believed(rise, due))
            found = found_at(
                self.quarters.of_lives([n]),
                start,
                rise,
                due,
                life.baker.known[number] if life.baker.known else None,
                learned=life.learned,
                seed=self.seed + number,
            )
            life.learned = found.logs
            life.found.append(found)
            rows.append(found.rows)
        return np.concatenate(rows)

    def seen_by_now(self, courses: OwnCourses, comes: Steps) -> None:
        """A mixture that was used: she knows what it did."""
        for life in self.lives:
            life.believed.append(Believed(courses.rise, comes))
            life.found.append(FoundAt(comes))

    def lived(self) -> list[Lived]:
        # Those that are fed more often begin by themselves; all come to the last build together.
        for left in range(max(each.feeds for each in self.lives), 0, -1):
            self.of([n for n, each in enumerate(self.lives) if each.feeds >= left]).feed(left)
        planned = [self.quarters.step(each.baker.thread.mix) for each in self.lives]
        return list(map(_Life.lived, self.lives, planned, self._doughs()))

    def _doughs(self) -> Sequence[DoughLived | None]:
        baker = self.lives[0].baker
        if baker.stage in (WantedStage.RIPE, WantedStage.MIXED):
            return [None] * len(self.lives)
        doughs = Abreast.of([each.dough() for each in self.lives], len(self.quarters.traits))
        took = None if baker.usual is None else baker.usual[1]
        threads = [each.baker.thread for each in self.lives]
        now = self.lives[0].so_far(-1, self.quarters).now
        was, at = baker.so_far, self.quarters.step(baker.thread.divide)
        made = WishMade(
            self.problem, baker.stage, threads, self.quarters, self.look, took, now,
            at if was is not None and was.divided else None,
        )  # fmt: skip
        mix = np.concatenate([each.at for each in self.lives])
        pace = np.concatenate([each.pace for each in self.lives])
        return doughs_lived(made, doughs, mix, pace=pace)

    def feed(self, left: int) -> None:
        """Feed the culture of each when so many feeds are left, and carry it to what takes from
        it: when that is, and whether it is ripe then."""
        problem, quarters = self.problem, self.quarters
        fridge, last = problem.fridge, left <= len(problem.builds)
        recipe = problem.recipes(max(left, len(problem.builds)))[-left]
        mixed = [life.fed(life.feeds - left) for life in self.lives]
        here = [problem.stands.fed(each, recipe.place, last=last) for each in mixed]
        start = np.concatenate([each.at for each in self.lives])
        threads = [each.baker.thread for each in self.lives]
        planned = quarters.each_step(
            [x.mix if left == 1 else x.feeds[1 - left].at for x in threads]
        )
        minutes = problem.process.mix_minutes if left == 1 else FEED_MINUTES
        fed = Abreast.of(mixed, len(quarters.traits))
        held = quarters.hold(fed, here, start, int((LONGEST_HOLD_H + 6) * PER_H))
        ripe_from, ripe_until = ripe_windows(
            held.hours, held.rise, leavened(held.states, held.rise)
        )
        ever, end = ~np.isnan(ripe_from), float(held.hours[-1])
        ripe_from, ripe_until = (
            np.where(np.isnan(each), end, each) for each in (ripe_from, ripe_until)
        )
        first = start + np.ceil(ripe_from * PER_H).astype(np.intp)
        until = start + np.floor(ripe_until * PER_H).astype(np.intp)
        # Into the fridge so early that by cooling it comes to the middle of its window.
        waits_h = np.maximum(0, planned - first) / PER_H
        ahead = np.round(ahead_h(ripe_until - ripe_from, waits_h) * PER_H).astype(np.intp)
        comes = np.maximum(first + ahead - start, 1)
        done = self.lives[0].so_far(self.lives[0].feeds - left, quarters)
        if done.taken:
            self.seen_by_now(held, comes)
            seen = taken = planned
        else:
            seen = np.maximum(start + np.maximum(self.look(held, comes), 1), done.now)
            taken = quarters.next_free(np.maximum(np.maximum(planned, seen), first), minutes)
        inside = (first <= taken) & (taken <= until) & ever
        put = quarters.nearest_free(seen, LOOK_MIN, np.maximum(start + 1, done.now))
        cold = (planned - seen > AHEAD) | (~inside & (taken - seen > AHEAD))
        cold &= (put <= until) & ever & (fridge is not None) & (not done.taken)
        if done.put is not None and fridge is not None:
            put, cold = np.full_like(start, done.put), np.ones_like(ever)
        kept = held.at(np.where(cold, put, taken))
        out = np.full_like(start, -1)
        if fridge is not None and cold.any():
            there = [problem.stands.fed(each, fridge, last=last) for each in mixed]
            waits = _Waits(held, here, there, put, cold, first, until, planned, minutes)
            kept, later, out, ripe = self._waited(waits, kept, done)
            taken, inside = np.where(cold, later, taken), np.where(cold, ripe, inside)
        by_life = quarters.by_life
        put, inside = np.where(cold, put, -1), np.asarray(inside)
        cold_of = zip(by_life(put), by_life(out), strict=True)
        own = (by_life(ripe_from), by_life(taken), cold_of, by_life(inside))
        for life, culture, *of_life in zip(self.lives, kept.apart(), *own, strict=True):
            life.comes_to(culture, *of_life, is_build=last)

    def _waited(
        self, waits: _Waits, mixtures: Abreast, done: _SoFar
    ) -> tuple[Abreast, Steps, Steps, Flags]:
        """Levains that wait in the fridge as they are taken, when that is, when they came out of it
        before, -1 where they did not, and if they are ripe.

        One that is too young stands in the warm again, from when that is planned or it is wanted.
        """
        quarters, put, cold = self.quarters, waits.put, waits.cold
        later = waits.planned
        if not done.taken:
            due = np.maximum(np.maximum(waits.planned, done.now), put + 1)
            later = quarters.next_free(due, waits.minutes)
        out = later if done.out is None else np.maximum(np.minimum(later, done.out), put + 1)
        rows = int((later - put)[cold].clip(1, LONGEST_CHILL_H * PER_H).max())
        courses = quarters.hold(mixtures, waits.there, put, rows, cold)
        kept, stood = courses.at(later), courses.at(out)
        edges = (waits.held.at(each) for each in (waits.first, waits.until))
        ripe_at, past = (sourness(each.states) for each in edges)
        young = cold & (sourness(stood.states) < ripe_at)
        young &= not done.taken or done.out is not None
        if young.any():
            warm = quarters.hold(stood, waits.here, out, FINISH_H * PER_H, young)
            ready = np.zeros_like(later)
            ready[young] = (sourness(warm.states) >= ripe_at[young, None]).argmax(axis=1)
            up = out + np.maximum(ready, 1)
            up = up if done.out is None else np.maximum(up, later)
            up = later if done.taken else quarters.next_free(up, waits.minutes)
            later = np.where(young, up, later)
            states = np.where(young[:, None], warm.at(later).states, kept.states)
            kept = replace(kept, states=states)
        sour = sourness(kept.states)
        out = np.where(young, out, -1)
        return kept, later, out, np.asarray((sour >= ripe_at) & (sour <= past))
