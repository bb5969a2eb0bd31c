"""The same mixture held under each growth set, so that their disagreement can be seen."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime

import numpy as np

from pointage.mixture.hold import hold
from pointage.mixture.mixture import Mixture
from pointage.mixture.response import GROWTH_SETS
from pointage.mixture.temperature.surroundings import Constant
from pointage.mixture.traits import Traits

LONGEST_H = 72.0
_ANY_DAY = datetime(2026, 1, 1, tzinfo=UTC)


@dataclass(frozen=True, slots=True)
class Peaks:
    """Hours to the peak at one temperature, by growth set; the middle member's."""

    celsius: float
    hours: dict[str, float]

    @property
    def spread(self) -> float:
        """Latest over earliest, less one: 0.1 for sets a tenth apart; NaN without a peak."""
        hours = np.array(list(self.hours.values()))
        return float(hours.max() / hours.min() - 1.0)


def peaks_by_set(
    mixture: Callable[[float], Mixture], temperatures: Sequence[float], traits: Traits
) -> list[Peaks]:
    """Hours to the peak of `mixture(celsius)`, held at each temperature under each growth set.

    The sets give rates against temperature only and share the rate at 25 °C, which is a trait; so
    they agree there, and part on either side. NaN where it does not peak within 72 h.
    """
    found = []
    for celsius in temperatures:
        mixed = mixture(celsius)
        hours = {}
        for growth_set in GROWTH_SETS:
            course = hold(
                mixed, Constant(celsius), _ANY_DAY, LONGEST_H, traits, growth_set=growth_set
            )
            hours[growth_set] = float(np.median(course.peak_h()))
        found.append(Peaks(celsius, hours))
    return found
