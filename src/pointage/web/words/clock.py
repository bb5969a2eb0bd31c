"""Instants as a baker reads them, in the kitchen's zone, seen from a given now."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

from pointage.language import say, say_many
from pointage.shown import clock_text, day_name, day_text, hour_text, shown
from pointage.web.frame import Moment
from pointage.web.words.words import length

Span = tuple[datetime, datetime]


@dataclass(frozen=True, slots=True)
class Clock:
    """The kitchen's zone and the instant at which the page is made."""

    zone: ZoneInfo
    now: datetime

    def local(self, instant: datetime) -> datetime:
        try:
            return instant.astimezone(self.zone)
        except OverflowError:  # the first and the last day of the calendar have no neighbours
            return instant

    @property
    def today(self) -> date:
        return self.local(self.now).date()

    def time(self, instant: datetime) -> str:
        """ "09:00" or "9:00 am"; with the zone's letters where 01:30 comes twice."""
        return _time(self.local(instant))

    def hour(self, instant: datetime) -> str:
        """A full hour as the label of a scale: "20:00", "8 pm"."""
        local = self.local(instant)
        return self.time(instant)[:5] if shown().clock == "24" else hour_text(local.hour)

    def day(self, day: date) -> str:
        """ "Sat 5 Dec", "Sat Dec 5"."""
        return day_text(day)

    def text(self, instant: datetime) -> str:
        """ "13:00" today, "Sat 09:00" within six days either way, else "Sat 5 Dec 09:00"."""
        local, today = self.local(instant), self.today
        day = local.date()
        if day == today:
            return _time(local)
        name = day_name(day) if abs((day - today).days) < 7 else self.day(day)
        return say("{day} {time}", day=name, time=_time(local))

    def past_by_date(self, instant: datetime) -> str:
        """As `text`; "Sat 28 Nov 09:00" of an earlier day, as a bake is named among others."""
        local = self.local(instant)
        if local.date() >= self.today:
            return self.text(instant)
        return say("{day} {time}", day=self.day(local.date()), time=_time(local))

    def moment(self, instant: datetime) -> Moment:
        return Moment(self.text(instant), instant.astimezone(UTC).isoformat(timespec="minutes"))

    def dated(self, instant: datetime) -> Moment:
        """Always with its day: what is written down must not change its meaning at midnight."""
        day = self.local(instant).date()
        name = day_name(day) if abs((day - self.today).days) < 7 else self.day(day)
        text = say("{day} {time}", day=name, time=self.time(instant))
        return Moment(text, self.moment(instant).iso)

    def span(self, start: datetime, end: datetime) -> str:
        """ "20:50 to 23:10", "Sat 22:00 to Sun 06:00"."""
        if self.local(start).date() == self.local(end).date():
            return say("{start} to {end}", start=self.text(start), end=self.time(end))
        return say("{start} to {end}", start=self.text(start), end=self.text(end))

    def ahead(self, instant: datetime) -> str:
        """How far off: "in 35 min", "now", "20 min ago"."""
        away = instant - self.now
        if abs(away) < timedelta(minutes=1):
            return say("now")
        span = _span(abs(away))
        return say("in {span}", span=span) if away > timedelta(0) else say("{span} ago", span=span)

    def midnight(self, day: date) -> datetime:
        """The first instant of a day of the kitchen."""
        return datetime.combine(day, time(0), self.zone).astimezone(UTC)


def _span(away: timedelta) -> str:
    """Nobody counts minutes beyond half a day, nor hours beyond two."""
    hours = round(away / timedelta(hours=1))
    if hours >= 48:
        return say_many("{n} day", "{n} days", round(hours / 24))
    return length(timedelta(hours=hours) if hours >= 12 else away)


def _time(local: datetime) -> str:
    twice = local.utcoffset() != local.replace(fold=1 - local.fold).utcoffset()
    return f"{clock_text(local)} {local.tzname()}" if twice else clock_text(local)


def quiet_spans(
    sleep: Sequence[tuple[time, time]], clock: Clock, start: datetime, end: datetime
) -> list[Span]:
    """The sleeping hours of the kitchen that fall between two instants, clipped to them."""
    spans: list[Span] = []
    day = clock.local(start).date() - timedelta(days=1)
    while clock.midnight(day) < end:
        for begins, ends in sleep:
            wakes = day if ends > begins else day + timedelta(days=1)
            low = datetime.combine(day, begins, clock.zone).astimezone(UTC)
            high = datetime.combine(wakes, ends, clock.zone).astimezone(UTC)
            if low < end and high > start:
                spans.append((max(low, start), min(high, end)))
        day += timedelta(days=1)
    return spans
