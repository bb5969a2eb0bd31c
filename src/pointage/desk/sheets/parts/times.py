"""Instants as they stand on paper: always with their day, for a sheet hangs there for longer."""

from __future__ import annotations

from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

from pointage.language import say
from pointage.shown import FIXED, clock_text, dated_text, day_name, day_text


def at(instant: datetime, zone: ZoneInfo) -> str:
    """ "Sat 13:00"; with the zone's letters where that comes twice in the night."""
    local = instant.astimezone(zone)
    return say("{day} {time}", day=day_name(local), time=clock(instant, zone)).replace(" ", FIXED)


def clock(instant: datetime, zone: ZoneInfo) -> str:
    """ "13:00", "1:00 pm"."""
    local = instant.astimezone(zone)
    twice = local.utcoffset() != local.replace(fold=1 - local.fold).utcoffset()
    return f"{clock_text(local)} {local.tzname()}" if twice else clock_text(local)


def span(start: datetime, end: datetime, zone: ZoneInfo) -> str:
    """ "Sat 13:00 to 13:25", with the day of the end where it is another."""
    same = start.astimezone(zone).date() == end.astimezone(zone).date()
    until = clock(end, zone) if same else at(end, zone)
    return say("{start} to {end}", start=at(start, zone), end=until)


def dated(instant: datetime, zone: ZoneInfo) -> str:
    """ "Sat 5 Dec 2026 09:00"."""
    local = instant.astimezone(zone)
    day = say("{weekday} {date}", weekday=day_name(local), date=dated_text(local))
    return say("{day} {time}", day=day, time=clock(instant, zone))


def day(instant: datetime, zone: ZoneInfo) -> str:
    """ "Sat 5 Dec"."""
    return day_text(instant.astimezone(zone))


def hours_between(start: datetime, end: datetime, most: int) -> list[datetime]:
    """Full hours for the foot of a drawing: as many as `most`, at spells that divide a day."""
    whole = (end - start) / timedelta(hours=1)
    spell = next((each for each in (1, 2, 3, 4, 6, 12, 24) if whole / each <= most), 48)
    first = start.replace(minute=0, second=0, microsecond=0) + timedelta(hours=1)
    every = (first + timedelta(hours=n) for n in range(int(whole) + 1))
    return [each for each in every if each <= end and each.hour % spell == 0]
