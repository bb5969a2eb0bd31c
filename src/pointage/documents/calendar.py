"""A calendar as a file: iCalendar (RFC 5545), instants in UTC, with alarms.

UTC needs no table of clock changes: a reader's calendar shows each instant by its own clock.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta

from pointage.language import unturned

MEDIA_TYPE = "text/calendar"
LONGEST_LINE = 75
"""Octets without the line's end (RFC 5545, 3.1)."""
MAKER = "-//Pointage//Pointage//EN"
_LINE_ENDS = re.compile("\r\n|[\r\x85\u2028\u2029]")
_ESCAPED = {"\\": "\\\\", ";": "\\;", ",": "\\,", "\n": "\\n"}


@dataclass(frozen=True, slots=True)
class CalendarTask:
    """Something to do. uid: the same for ever, whatever moves. sequence: goes up when it changes;
    changed: when it did last. cancelled: it will not be. alarm: so long before it begins; None for
    none.
    """

    uid: str
    start: datetime
    end: datetime
    title: str
    text: str
    place: str
    sequence: int
    changed: datetime
    cancelled: bool = False
    alarm: timedelta | None = None


def calendar_text(
    name: str, tasks: Iterable[CalendarTask], refresh: timedelta | None = None
) -> str:
    """The calendar. refresh: how often who subscribed to it should look again (RFC 7986, 5.7)."""
    lines = [
        "BEGIN:VCALENDAR",
        "VERSION:2.0",
        f"PRODID:{MAKER}",
        "CALSCALE:GREGORIAN",
        "METHOD:PUBLISH",
        f"NAME:{escaped(name)}",
        f"X-WR-CALNAME:{escaped(name)}",
    ]
    if refresh is not None:
        lines.append(f"REFRESH-INTERVAL;VALUE=DURATION:{_span(refresh)}")
    for task in tasks:
        lines += _event(task)
    lines.append("END:VCALENDAR")
    return "".join(f"{part}\r\n" for line in lines for part in folded(line))


def _event(task: CalendarTask) -> Iterator[str]:
    yield "BEGIN:VEVENT"
    yield f"UID:{escaped(task.uid)}"
    yield f"DTSTAMP:{_instant(task.changed)}"
    yield f"LAST-MODIFIED:{_instant(task.changed)}"
    yield f"SEQUENCE:{task.sequence}"
    yield f"DTSTART:{_instant(task.start)}"
    yield f"DTEND:{_instant(max(task.end, task.start))}"
    yield f"SUMMARY:{escaped(task.title)}"
    if task.text:
        yield f"DESCRIPTION:{escaped(task.text)}"
    if task.place:
        yield f"LOCATION:{escaped(task.place)}"
    yield f"STATUS:{'CANCELLED' if task.cancelled else 'CONFIRMED'}"
    yield "TRANSP:TRANSPARENT"
    if task.alarm is not None and not task.cancelled:
        yield "BEGIN:VALARM"
        yield "ACTION:DISPLAY"
        yield f"DESCRIPTION:{escaped(task.title)}"
        yield f"TRIGGER:-{_span(task.alarm)}"
        yield "END:VALARM"
    yield "END:VEVENT"


def escaped(text: str) -> str:
    """A text as RFC 5545, 3.3.11 has it; controls that no line may hold, and what
    turns writing about, are left out.

    What only some programs take for the end of a line is written as one: for them it would begin
    a property of its own.
    """
    plain = _LINE_ENDS.sub("\n", unturned(text))
    kept = (each for each in plain if each in "\n\t" or (ord(each) >= 32 and each != "\x7f"))
    return "".join(_ESCAPED.get(each, each) for each in kept if not 0xD800 <= ord(each) < 0xE000)


def folded(line: str) -> Iterator[str]:
    """The line in parts of LONGEST_LINE octets, never within a character; a space leads all but
    the first."""
    part, size = "", 0
    for sign in line:
        octets = len(sign.encode())
        if size + octets > LONGEST_LINE:
            yield part
            part, size = " ", 1
        part += sign
        size += octets
    yield part


def _instant(at: datetime) -> str:
    return at.astimezone(UTC).strftime("%Y%m%dT%H%M%SZ")


def _span(span: timedelta) -> str:
    """ "PT10M" (RFC 5545, 3.3.6)."""
    minutes = round(span / timedelta(minutes=1))
    hours, rest = divmod(minutes, 60)
    return f"PT{hours}H{rest}M" if hours else f"PT{rest}M"
