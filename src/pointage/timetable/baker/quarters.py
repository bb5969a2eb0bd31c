"""Hands and places by the quarter of an hour, for members that each live by a time of their own."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from datetime import datetime, timedelta

import numpy as np
from numpy.typing import NDArray

from pointage.kitchen.kitchen import Place
from pointage.kitchen.stand import VesselStand
from pointage.mixture.course import rise_of
from pointage.mixture.hold import run, settings_for
from pointage.mixture.mixture import Mixture
from pointage.mixture.state import P
from pointage.mixture.temperature.surroundings import straying
from pointage.mixture.traits import Traits
from pointage.timetable.calendar import GRID, GRID_MIN, Calendar

Floats = NDArray[np.float64]
Flags = NDArray[np.bool_]
Steps = NDArray[np.intp]

PER_H = 60 // GRID_MIN
"""Steps of the grid in an hour; rows of a course are as far apart."""


@dataclass(frozen=True, eq=False)
class OwnCourses:
    """Courses of members, each from a step of its own. states: (members, rows, STATE_SIZE)."""

    start: Steps
    states: Floats
    rise: Floats
    held: Mixture

    @property
    def hours(self) -> Floats:
        return np.arange(self.rise.shape[1]) / PER_H

    def _rows(self, step: Steps) -> tuple[Steps, Steps]:
        rows = np.minimum(np.maximum(step - self.start, 0), self.rise.shape[1] - 1)
        return np.arange(len(rows)), rows

    def at(self, step: Steps) -> Mixture:
        """The mixture as it stands in each member at a step of its own."""
        return replace(self.held, states=self.states[self._rows(step)].copy())

    def rise_at(self, step: Steps) -> Floats:
        return np.asarray(self.rise[self._rows(step)])


@dataclass(frozen=True, eq=False)
class Quarters:
    """The steps of the grid from `base` on, `steps` of them, for the members of `traits`."""

    traits: Traits
    base: datetime
    calendar: Calendar
    steps: int
    _around: dict[str, Floats] = field(default_factory=dict)
    _free: dict[float, tuple[Steps, Steps]] = field(default_factory=dict)

    def step(self, at: datetime) -> int:
        return round((at - self.base) / GRID)

    def all_at(self, at: datetime) -> Steps:
        """One step for all members."""
        return np.full(len(self.traits), self.step(at))

    def next_free(self, step: Steps, minutes: float) -> Steps:
        """The first step not before each at which hands are free so long; `steps` if none is."""
        return self._frees(minutes)[0][self._inside(step)]

    def last_free(self, step: Steps, minutes: float) -> Steps:
        """The last step not after each at which hands are free so long; -1 where none is."""
        found = self._frees(minutes)[1][self._inside(step)]
        return np.where(step < 0, -1, found)

    def nearest_free(self, step: Steps, minutes: float, least: Steps | int) -> Steps:
        """The free step nearest to each, none before `least`; rather the earlier one."""
        before, after = self.last_free(step, minutes), self.next_free(step, minutes)
        sooner = (before >= least) & (step - before <= after - step)
        return np.where(sooner, before, after)

    def free_until(self, step: Steps, minutes: float) -> Steps:
        """The last step up to which hands are free from each on: bedtime, or away."""
        step = self._inside(step)
        each, after = np.arange(self.steps + 1), self._frees(minutes)[0]
        busy = np.where(after == each, self.steps + 1, each)
        return np.minimum.accumulate(busy[::-1])[::-1][step] - 1

    def _inside(self, step: Steps) -> Steps:
        return np.minimum(np.maximum(step, 0), self.steps)  # `clip` takes twice as long

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

    def hold(self, mixture: Mixture, here: VesselStand, start: Steps, rows: int) -> OwnCourses:
        """Hold each member's mixture from its own step on, for so many steps."""
        settings = settings_for(mixture, here.traits(self.traits), here.follow.hours)
        members = len(settings)
        columns = self._inside(start[:, None] + np.arange(max(1, rows) + 1)[None, :])
        around = self.around(here.place)
        own = np.arange(members)[:, None] if len(around) > 1 else 0
        states = np.broadcast_to(mixture.states, (members, mixture.states.shape[1])).copy()
        courses = run(states, settings, np.ascontiguousarray(around[own, columns]), 1)
        return OwnCourses(start, courses, rise_of(courses, settings[:, P.VOLUME]), mixture)
