"""`hold` for many different mixtures at once, as a plan needs it: each with its own start."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime

import numpy as np
from numpy.typing import NDArray

from pointage.mixture.course import rise_of
from pointage.mixture.hold import STEP_MIN, run, settings_for
from pointage.mixture.mixture import Mixture
from pointage.mixture.state import P
from pointage.mixture.surroundings import Surroundings
from pointage.mixture.traits import Traits


@dataclass(frozen=True, eq=False)
class Courses:
    """Courses side by side, one a mixture, on a common row of hours after each one's own start."""

    hours: NDArray[np.float64]
    states: NDArray[np.float64]
    rise: NDArray[np.float64]
    held: Sequence[Mixture]

    def after(self, index: int, hours: float) -> Mixture:
        """Mixture number `index` as it stands at the row nearest to `hours`."""
        row = round(hours / (self.hours[1] - self.hours[0]))
        return replace(self.held[index], states=self.states[index, row][None, :].copy())


def hold_each(
    mixtures: Sequence[Mixture],
    surroundings: Surroundings,
    starts: Sequence[datetime],
    hours: float,
    traits: Traits,
    *,
    follow_h: float | None = None,
    every_min: int = 15,
) -> Courses:
    """Hold single-member mixtures for `hours`, each from its own start, in the same place.

    The traits are one member's. Rows are every_min minutes apart.
    """
    every = every_min // STEP_MIN
    rows = max(1, -int(-hours * 60 // every_min))
    clock = np.arange(rows * every + 1) * STEP_MIN / 60
    around = np.array([surroundings.temperatures(start, clock) for start in starts])
    settings = np.concatenate([settings_for(each, traits, follow_h) for each in mixtures])
    states = np.concatenate([each.states for each in mixtures]).copy()
    courses = run(states, settings, around, every)
    return Courses(clock[::every], courses, rise_of(courses, settings[:, P.VOLUME]), mixtures)
