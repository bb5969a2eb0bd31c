"""What a baker leans to where there is a choice, as prices beside the usual ones.

They are added once the ways of a wish are known, so nothing is planned that could not be planned
without; of one bake's ways the choice then moves, if at all, in the direction leaned to.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from pointage.kitchen.awake import sleep_spans
from pointage.timetable.problem import Problem
from pointage.timetable.ways.amounts import seed_from_jar
from pointage.timetable.ways.levains import RipeInHand

EARLY_HOUR, NIGHT_JOB, WASTE_100G, CHORE = 0.5, 1.0, 1.0, 1.0
"""Penalty hours at a weight of 1 (ours)."""
NIGHT_EDGE = timedelta(hours=1)
"""Work that begins so soon after the night, or ends so late before it, is next to the night."""
RATHER, STRONGLY = 2.0, 5.0
"""The weights that a baker has words for (ours)."""
_DAY = timedelta(days=1)


@dataclass(frozen=True, slots=True)
class Lean:
    """Weights of prices, in penalty hours; at 0, as usual, there are none.

    early: an hour after the first at which it may be ready costs EARLY_HOUR. night: a job within
    NIGHT_EDGE of the sleeping hours, NIGHT_JOB. waste: 100 g of culture thrown away, WASTE_100G.
    chores: a feed that wakes a culture, or a levain put into the fridge, CHORE.
    """

    early: float = 0.0
    night: float = 0.0
    waste: float = 0.0
    chores: float = 0.0

    @property
    def each_chore(self) -> float:
        return self.chores * CHORE


AS_USUAL = Lean()


@dataclass(frozen=True, eq=False)
class Leaning:
    """What the ways of one wish cost by what is leaned to. nights: the sleeping hours about it."""

    lean: Lean
    problem: Problem
    nights: Sequence[tuple[datetime, datetime]]

    @staticmethod
    def of(lean: Lean, problem: Problem, first: datetime, last: datetime) -> Leaning:
        """Of ways between two instants."""
        nights = sleep_spans(problem.kitchen, first - _DAY, last + _DAY) if lean.night else ()
        return Leaning(lean, problem, tuple(nights))

    def levain(self, levain: RipeInHand) -> float:
        """Penalty hours of its chores and of the culture thrown away for it."""
        feeds = levain.feedings()
        waking = len(feeds) - len(self.problem.builds)
        chores = waking + sum(each.chilled is not None for each in feeds)
        price = self.lean.each_chore * chores
        if self.lean.waste:
            # What the jar holds is thrown away but for the seed, and again once it was woken.
            jars = (1 + (waking > 0)) * self.problem.culture.mass_g
            thrown_g = max(0.0, jars - seed_from_jar(self.problem, feeds))
            price += self.lean.waste * WASTE_100G * thrown_g / 100
        return price

    def hours(self, first: datetime, ready: datetime) -> float:
        """Penalty hours of being ready only so long after it may be."""
        return self.lean.early * EARLY_HOUR * max(0.0, (ready - first) / timedelta(hours=1))

    def jobs(self, spans: Iterable[tuple[datetime, datetime]]) -> float:
        """Penalty hours of the jobs next to a night."""
        if not self.nights:
            return 0.0
        near = sum(
            any(up <= start < up + NIGHT_EDGE or down - NIGHT_EDGE < end <= down
                for down, up in self.nights)
            for start, end in spans
        )  # fmt: skip
        return self.lean.night * NIGHT_JOB * near
