"""Hands and places by the quarter of an hour, for members that each live by a time of their own."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, replace
from datetime import datetime, timedelta
from functools import cached_property
from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

from pointage.kitchen.kitchen import Place
from pointage.kitchen.stand import VesselStand
from pointage.mixture.course import rise_of
from pointage.mixture.hold import run, settings_of_many
from pointage.mixture.mixture import Mixture
from pointage.mixture.state import P
from pointage.mixture.temperature.surroundings import straying
from pointage.mixture.traits import Traits
from pointage.timetable.calendar import GRID, GRID_MIN, Calendar

Floats = NDArray[np.float64]
Flags = NDArray[np.bool_]
Steps = NDArray[np.intp]
T = TypeVar("T", bound=np.generic)

PER_H = 60 // GRID_MIN
"""Steps of the grid in an hour; rows of a course are as far apart."""


@dataclass(frozen=True, eq=False)
class Abreast:
    """A mixture of each of several lives. each: what it is made of; states: of the members of all
    lives, those of the first life first, (lives · members, STATE_SIZE)."""

    each: tuple[Mixture, ...]
    states: Floats

    @staticmethod
    def of(mixtures: Sequence[Mixture], members: int) -> Abreast:
        """Mixtures with one state for so many members, or one state each."""
        every = [np.broadcast_to(x.states, (members, x.states.shape[1])) for x in mixtures]
        return Abreast(tuple(mixtures), np.concatenate(every))

    def apart(self) -> Iterator[Mixture]:
        """Each mixture with its own states."""
        for each, states in zip(self.each, np.split(self.states, len(self.each)), strict=True):
            yield replace(each, states=states)


@dataclass(frozen=True, eq=False)
class OwnCourses:
    """Courses of members, each from a step of its own. states: (members, rows, STATE_SIZE).

    start: of all members. who: the numbers of those that were held, whose courses there are; the
    others stand as they stood.
    """

    start: Steps
    states: Floats
    rise: Floats
    held: Abreast
    who: Steps

    @property
    def hours(self) -> Floats:
        return np.arange(self.rise.shape[1]) / PER_H

    def _rows(self, step: Steps) -> tuple[Steps, Steps]:
        rows = np.minimum(np.maximum((step - self.start)[self.who], 0), self.rise.shape[1] - 1)
        return np.arange(len(rows)), rows

    def at(self, step: Steps) -> Abreast:
        """The mixtures as they stand in each member at a step of its own."""
        states = self.held.states.copy()
        states[self.who] = self.states[self._rows(step)]
        return replace(self.held, states=states)

    def rise_at(self, step: Steps) -> Floats:
        """The rise at a step of its own of each that was held."""
        return np.asarray(self.rise[self._rows(step)])


@dataclass(frozen=True, eq=False)
class Quarters:
    """The steps of the grid from `base` on, `steps` of them, for the members of `traits`.

    All members live through each of several lives, as many as `edges`: its first and its last step.
    An array of all members has those of the first life first.
    """

    traits: Traits
    base: datetime
    calendar: Calendar
    steps: int
    edges: Sequence[tuple[int, int]] = ()
    _around: dict[str, Floats] = field(default_factory=dict)
    _free: dict[float, tuple[Steps, Steps]] = field(default_factory=dict)

    @cached_property
    def lives(self) -> int:
        return max(1, len(self.edges))

    def of_lives(self, lives: Sequence[int]) -> Quarters:
        """The same for some of the lives."""
        return replace(self, edges=[self.edges[n] for n in lives])

    def each(self, values: NDArray[T]) -> NDArray[T]:
        """A value of each life as one of each member."""
        return np.repeat(values, len(self.traits))

    def each_step(self, instants: Sequence[datetime]) -> Steps:
        """The step of an instant of each life as one of each member."""
        return self.each(np.array([self.step(at) for at in instants], dtype=np.intp))

    def by_life(self, values: NDArray[T]) -> NDArray[T]:
        """Values of all members, (lives, members, …)."""
        return values.reshape(self.lives, len(self.traits), *values.shape[1:])

    def step(self, at: datetime) -> int:
        return round((at - self.base) / GRID)

    def next_free(self, step: Steps, minutes: float) -> Steps:
        """The first step not before each at which hands are free so long; the last if none is."""
        return np.minimum(self._frees(minutes)[0][self.inside(step)], self.last)

    def last_free(self, step: Steps, minutes: float) -> Steps:
        """The last step not after each at which hands are free so long; before all if none is."""
        first = self._first
        found = self._frees(minutes)[1][self.inside(step)]
        return np.where((step < first) | (found < first), first - 1, found)

    def nearest_free(self, step: Steps, minutes: float, least: Steps) -> Steps:
        """The free step nearest to each, none before `least`; rather the earlier one."""
        before, after = self.last_free(step, minutes), self.next_free(step, minutes)
        sooner = (before >= least) & (step - before <= after - step)
        return np.where(sooner, before, after)

    def free_until(self, step: Steps, minutes: float) -> Steps:
        """The last step up to which hands are free from each on: bedtime, or away."""
        each, after = np.arange(self.steps + 1), self._frees(minutes)[0]
        busy = np.where(after == each, self.steps + 1, each)
        found = np.minimum.accumulate(busy[::-1])[::-1][self.inside(step)] - 1
        return np.asarray(np.minimum(found, self.last))

    def inside(self, step: Steps) -> Steps:
        """Each step, or the nearest of its life where it is outside."""
        return np.minimum(np.maximum(step, self._first), self.last)  # `clip` takes twice as long

    @cached_property
    def _first(self) -> Steps | int:
        return self.each(np.array(self.edges)[:, 0]) if self.edges else 0

    @cached_property
    def last(self) -> Steps | int:
        """The last step of each member's life."""
        return self.each(np.array(self.edges)[:, 1]) if self.edges else self.steps

    def _frees(self, minutes: float) -> tuple[Steps, Steps]:
        known = self._free.get(minutes)
        if known is None:
            free = np.ones(self.steps + 1, dtype=bool)
            for since, until in self.calendar.blocked:
                first = (since - timedelta(minutes=minutes) - self.base) / GRID
                low, high = int(np.floor(first)) + 1, int(np.ceil((until - self.base) / GRID))
                free[max(low, 0) : max(high, 0)] = False
            each = np.arange(self.steps + 1)
            after = np.where(free, each, self.steps)
            before = np.where(free, each, -1)
            known = (
                np.minimum.accumulate(after[::-1])[::-1],
                np.maximum.accumulate(before),
            )
            self._free[minutes] = known
        return known

    def around(self, place: Place) -> Floats:
        """°C of a place at each step: one row, or one a member where it strays."""
        known = self._around.get(place.name)
        if known is None:
            clock = np.arange(self.steps + 1) / PER_H
            known = straying(place.surroundings, self.base, clock, len(self.traits))
            self._around[place.name] = known
        return known

    def hold(
        self,
        mixtures: Abreast,
        here: Sequence[VesselStand],
        start: Steps,
        rows: int,
        who: Flags | None = None,
    ) -> OwnCourses:
        """Hold each member's mixture from its own step on, for so many steps.

        here: where that of each life stands, all in one place. who: whether a member's is held at
        all; else every one is.
        """
        chosen = np.arange(len(start)) if who is None else np.flatnonzero(who)
        follow_h = [each.follow.hours * each.traits(self.traits).warming for each in here]
        settings = settings_of_many(mixtures.each, self.traits, follow_h)[chosen]
        since, first, last = (
            np.broadcast_to(each, start.shape)[chosen, None]
            for each in (start, self._first, self.last)
        )
        columns = since + np.arange(max(1, rows) + 1)
        columns = np.minimum(np.maximum(columns, first), last)
        around = self.around(here[0].place)
        own = (chosen % len(self.traits))[:, None] if len(around) > 1 else 0
        courses = run(
            mixtures.states[chosen], settings, np.ascontiguousarray(around[own, columns]), 1
        )
        return OwnCourses(start, courses, rise_of(courses, settings[:, P.VOLUME]), mixtures, chosen)
