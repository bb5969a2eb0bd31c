"""How good forecasts have been: each mix forecast from what was seen before it, then compared.

A rolling origin: the origin is the instant of each mix in turn. What was seen of the mixes before
it is learned from; its own readings of rise are forecast and only then learned from too.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import datetime

import numpy as np

from pointage.mixture.course import BAND
from pointage.mixture.hold import STEP_MIN, hold
from pointage.mixture.learning.observation import Rise
from pointage.mixture.learning.surface import STRAY_ERRORS, STRAYS
from pointage.mixture.learning.update import Posterior, Watched, learn
from pointage.mixture.traits import Traits


@dataclass(frozen=True, slots=True)
class Score:
    """The forecast of one mix: its readings, how many lay in the 80 % band, their mean error."""

    origin: datetime
    readings: int
    inside: int
    error: float


@dataclass(frozen=True, slots=True)
class Scores:
    """All forecasts in the order of their origins."""

    each: tuple[Score, ...]

    @property
    def readings(self) -> int:
        """How many readings of rise were forecast."""
        return sum(score.readings for score in self.each)

    @property
    def coverage(self) -> float:
        """Share of readings within the 80 % band; NaN when there was none."""
        inside = sum(score.inside for score in self.each)
        return inside / self.readings if self.readings else float("nan")

    @property
    def error(self) -> float:
        """Mean absolute error of the middle of the band, in units of rise; NaN when none."""
        if not self.readings:
            return float("nan")
        return sum(score.error * score.readings for score in self.each) / self.readings


def scores(
    histories: Sequence[Watched],
    seed: int,
    prior: Traits | Posterior | None = None,
    reached: Callable[[float], None] | None = None,
) -> Scores:
    """Forecast the readings of rise of each history from those before it.

    The band is that of a reading, its error included. Histories are taken in the order of their
    starts; one without a reading of rise is learned from but has no score.
    reached: is called before each history with the share of them that is over; what it raises ends
    the work.
    """
    believed = learn(prior, (), seed)
    found = []
    for number, history in enumerate(sorted(histories, key=lambda each: each.start)):
        if reached is not None:
            reached(number / len(histories))
        readings = [each for each in history.seen if isinstance(each, Rise)]
        if readings:
            found.append(_score(history, readings, believed, seed + number))
        believed = learn(believed, (history,), seed + number)
    return Scores(tuple(found))


def _score(history: Watched, readings: Sequence[Rise], believed: Posterior, seed: int) -> Score:
    rng = np.random.default_rng(seed)
    course = hold(
        history.mixture,
        history.surroundings,
        history.start,
        history.hours(),
        believed.at(history.stand),
        follow_h=history.follow_h,
        every_min=2 * STEP_MIN,
    )
    inside, off = 0, 0.0
    for each in readings:
        rise = each.expected(course)
        wide = np.where(rng.random(len(rise)) < STRAYS, STRAY_ERRORS, 1.0)
        read = rise + each.error * wide * rng.standard_normal(len(rise))
        low, _, high = np.percentile(read, BAND)
        inside += bool(low <= each.rise <= high)
        off += abs(float(np.median(rise)) - each.rise)
    return Score(history.start, len(readings), inside, off / len(readings))
