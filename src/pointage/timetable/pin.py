"""A step of a wish that is wanted at a time: how far each way has it from there, and its price.

The price is so high that a way nearer to the time is taken before a better one further from it;
what may be planned stays the same, so what is found makes good bread.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta

from pointage.timetable.plan import StepKind

EACH_OFF_HOUR = 40.0
"""Penalty hours for each hour that a way has the step from the time that is wanted (ours)."""
NEVER_H = 100.0
"""Hours that a way counts as off which has no such step: dough that is not retarded (ours)."""
PINNED = frozenset(
    {
        StepKind.FEED,
        StepKind.BUILD,
        StepKind.MIX,
        StepKind.DIVIDE,
        StepKind.SHAPE,
        StepKind.RETARD,
        StepKind.PREHEAT,
        StepKind.BAKE,
    }
)
"""The steps that can be wanted at a time; the others follow from them."""


@dataclass(frozen=True, slots=True)
class Pin:
    """A step that is wanted to begin at an instant.

    number: of several feeds that wake the culture, builds, or loads, which one, from 1.
    """

    kind: StepKind
    at: datetime
    number: int = 1

    def off_h(self, begins: datetime | None) -> float:
        """Hours between the time that is wanted and when the step begins; None: there is none."""
        if begins is None:
            return NEVER_H
        return abs(begins - self.at) / timedelta(hours=1)
