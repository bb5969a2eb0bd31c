"""What stands in the next day, hour by hour: to be read when there is no network to ask."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime, timedelta
from itertools import pairwise

from pointage.language import say, written
from pointage.timetable.plan import CourseRow, StepCourse
from pointage.web.screens.bench.page import AheadLine
from pointage.web.words.clock import Clock
from pointage.web.words.words import warmth

HOUR = timedelta(hours=1)
HOURS = 24


def forecast(
    standing: Sequence[tuple[str, StepCourse | None]], clock: Clock
) -> tuple[AheadLine, ...]:
    """A line for each full hour and each mixture that then stands, by name."""
    local = clock.local(clock.now)
    full = clock.now - timedelta(minutes=local.minute, seconds=local.second)
    found = []
    for number in range(1, HOURS + 1):
        at = full + number * HOUR
        for name, course in standing:
            row = None if course is None else _row(course.rows, at)
            if row is None:
                continue
            found.append(
                AheadLine(
                    at=clock.text(at),
                    name=name,
                    rise=written(f"{row.rise:.1f}"),
                    band=say("{low:.1f} to {high:.1f}", low=row.rise_p10, high=row.rise_p90),
                    temperature=warmth(row.temperature_c),
                )
            )
    return tuple(found)


def _row(rows: Sequence[CourseRow], at: datetime) -> CourseRow | None:
    """The row nearest before an instant; None where the course does not hold it."""
    return next((before for before, after in pairwise(rows) if before.at <= at < after.at), None)
