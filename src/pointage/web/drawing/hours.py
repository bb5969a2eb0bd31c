"""A stretch of hours as geometry: where an instant falls on a line drawn from left to right."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta

from pointage.web.words.clock import Clock


@dataclass(frozen=True, slots=True)
class HourLine:
    """Instants from `start` to `end` along x from `left` to `right`, by true elapsed time."""

    start: datetime
    end: datetime
    left: float
    right: float

    def x(self, instant: datetime) -> float:
        """Where an instant falls; one outside falls on the nearer end, for its line runs on."""
        share = (instant - self.start) / (self.end - self.start)
        return round(self.left + min(1.0, max(0.0, share)) * (self.right - self.left), 1)

    def holds(self, instant: datetime) -> bool:
        return self.start <= instant <= self.end

    def meets(self, start: datetime, end: datetime) -> bool:
        return start < self.end and end > self.start

    def marks(self, clock: Clock, every: int) -> list[datetime]:
        """The instants on the line whose local hour is a multiple of `every`, on the hour."""
        found = []
        at = self.start.replace(minute=0, second=0, microsecond=0)
        while at <= self.end:
            whole, local = at, clock.local(at)
            if local.minute:  # zones off the full hour: step to the local hour first
                whole = at - timedelta(minutes=local.minute)
                local = clock.local(whole)
            if local.hour % every == 0 and self.holds(whole):
                found.append(whole)
            at += timedelta(hours=1)
        return found
