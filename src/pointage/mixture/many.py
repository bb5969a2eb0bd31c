"""`hold` from many starts at once, as a plan needs it: one mixture in many states."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta

import numpy as np
from numpy.typing import NDArray

from pointage.mixture.course import rise_of
from pointage.mixture.hold import STEP_MIN, run, settings_for
from pointage.mixture.mixture import Mixture
from pointage.mixture.state import P
from pointage.mixture.temperature.surroundings import Surroundings
from pointage.mixture.traits import Traits


@dataclass(frozen=True, eq=False)
class CoursesOfMany:
    """Courses side by side, one a state of `held`, on hours after each one's own start."""

    hours: NDArray[np.float64]
    states: NDArray[np.float64]
    rise: NDArray[np.float64]
    held: Mixture

    def after(self, index: int, hours: float) -> Mixture:
        """The mixture of course number `index` as it stands at the row nearest to `hours`."""
        return self.stood([index], [hours])

    def stood(self, indices: Sequence[int], hours: Sequence[float]) -> Mixture:
        """The same of several courses, each at hours of its own, as the states of one mixture."""
        held, step = self.held, float(self.hours[1] - self.hours[0])
        rows = [round(each / step) for each in hours]
        # Written out, since `replace` takes longer than all the rest.
        states = self.states[indices, rows]
        return Mixture(held.flours, held.water, held.salt, held.other, states, held.record)


def stacked(mixtures: Sequence[Mixture]) -> Mixture:
    """Mixtures of one composition as one, a state for each."""
    return replace(mixtures[0], states=np.concatenate([each.states for each in mixtures]))


def hold_from(
    mixture: Mixture,
    surroundings: Surroundings,
    starts: Sequence[datetime],
    hours: float,
    traits: Traits,
    *,
    follow_h: float | None = None,
    every_min: int = STEP_MIN,
) -> CoursesOfMany:
    """Hold each state of `mixture` for `hours` from its own start, in the same place.

    The traits are one member's, shared by all. Rows are every_min minutes apart.
    """
    every = every_min // STEP_MIN
    rows = max(1, -int(-hours * 60 // every_min))
    clock = np.arange(rows * every + 1) * STEP_MIN / 60
    around = _around(surroundings, starts, len(clock))
    settings = np.repeat(settings_for(mixture, traits, follow_h), len(starts), axis=0)
    courses = run(mixture.states.copy(), settings, around, every)
    return CoursesOfMany(clock[::every], courses, rise_of(courses, settings[:, P.VOLUME]), mixture)


def _around(
    surroundings: Surroundings, starts: Sequence[datetime], steps: int
) -> NDArray[np.float64]:
    """°C at each of so many steps from each start; asked once of starts that are steps apart."""
    first, step = min(starts), timedelta(minutes=STEP_MIN)
    apart = [divmod(start - first, step) for start in starts]
    clock = np.arange(steps) * STEP_MIN / 60
    if any(rest for _, rest in apart):
        return np.array([surroundings.temperatures(start, clock) for start in starts])
    number = np.array([steps_on for steps_on, _ in apart])
    every = np.arange(number.max() + steps) * STEP_MIN / 60
    return surroundings.temperatures(first, every)[number[:, None] + np.arange(steps)]
