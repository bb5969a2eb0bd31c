"""Calendars as another program reads them: the parser is icalendar's, not ours."""

from __future__ import annotations

import re
from datetime import UTC, datetime, timedelta
from typing import Any
from zoneinfo import ZoneInfo

import icalendar
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.examples import some

from pointage.documents.calendar import LONGEST_LINE, CalendarTask, calendar_text
from pointage.language import TURNING

DUBLIN = ZoneInfo("Europe/Dublin")
AT = datetime(2026, 12, 5, 7, 10, tzinfo=UTC)
# What XML and iCalendar have no word for is left out, the rest must come back.
TEXTS = st.text(
    st.characters(exclude_categories=("Cs", "Cc"), include_characters="\n"), max_size=300
)


def task(**given: object) -> CalendarTask:
    usual: dict[str, object] = {
        "uid": "bake-1@pointage", "start": AT, "end": AT + timedelta(minutes=15),
        "title": "Heat the oven", "text": "oven 240 °C", "place": "Deck oven", "sequence": 3,
        "changed": AT - timedelta(days=1), "alarm": timedelta(minutes=10),
    }  # fmt: skip
    return CalendarTask(**{**usual, **given})  # type: ignore[arg-type]


def read(text: str) -> list[Any]:
    found: Any = icalendar.Calendar.from_ical(text)
    assert not found.errors
    return list(found.walk("VEVENT"))


@settings(max_examples=some(60))
@given(TEXTS, TEXTS, TEXTS)
def test_every_text_comes_back(title: str, text: str, place: str) -> None:
    (event,) = read(calendar_text("Hall", [task(title=title, text=text, place=place)]))
    # Ends of a line come back as those; what would turn the rest of it about does not.
    ends = str.maketrans("\u2028\u2029", "\n\n", TURNING)
    assert event["SUMMARY"] == title.translate(ends)
    assert event.get("DESCRIPTION", "") == text.translate(ends)
    assert event.get("LOCATION", "") == place.translate(ends)


@given(TEXTS)
@settings(max_examples=some(40))
def test_no_line_is_longer_than_the_standard_allows_and_none_breaks_a_letter(text: str) -> None:
    made = calendar_text(text, [task(title=text)]).encode()
    assert made.endswith(b"\r\n")
    for line in made[:-2].split(b"\r\n"):
        assert len(line) <= LONGEST_LINE
        line.decode()


@pytest.mark.parametrize("change", ["2026-03-29", "2026-10-25"])  # clocks in Ireland
def test_a_task_in_a_night_of_a_clock_change_keeps_its_instant(change: str) -> None:
    """Each quarter of an hour of the night: 01:30 comes twice in October, and never in March."""
    first = datetime.fromisoformat(f"{change}T00:00:00").replace(tzinfo=DUBLIN).astimezone(UTC)
    every = [first + timedelta(minutes=15 * n) for n in range(16)]
    tasks = [task(uid=f"{n}@x", start=at.astimezone(DUBLIN), end=at) for n, at in enumerate(every)]
    events = read(calendar_text("Hall", tasks))
    assert [event.start for event in events] == every
    assert all(event.duration == timedelta(0) for event in events)


def test_no_name_begins_a_line_of_its_own() -> None:
    for end in ("\r\n", "\n", "\r", "\x85", "\u2028", "\x0b", "\x0c", "\x1e", "\0"):
        text = calendar_text("Hall", [task(title=f"../<b>{end}ATTENDEE:a\u202eb", alarm=None)])
        assert len(re.findall(r"(?m)^ATTENDEE", text)) == 0
        assert "\\nATTENDEE:ab" in text or "<b>ATTENDEE:ab" in text


def test_an_alarm_goes_off_before_its_task_and_none_for_what_will_not_be() -> None:
    due, quiet, off = read(
        calendar_text(
            "Hall",
            [task(), task(uid="2@x", alarm=None), task(uid="3@x", cancelled=True)],
        )
    )
    (alarm,) = due.walk("VALARM")
    assert (alarm["ACTION"], alarm["TRIGGER"].dt) == ("DISPLAY", -timedelta(minutes=10))
    assert quiet.walk("VALARM") == off.walk("VALARM") == []
    assert [each["STATUS"] for each in (due, quiet, off)] == ["CONFIRMED", "CONFIRMED", "CANCELLED"]


def test_what_the_standard_asks_of_every_event_is_there() -> None:
    made = calendar_text("Hall", [task()], timedelta(minutes=15))
    (event,) = read(made)
    assert {"UID", "DTSTAMP", "SEQUENCE", "DTSTART", "DTEND", "LAST-MODIFIED"} <= set(event)
    assert event["SEQUENCE"] == 3
    whole: Any = icalendar.Calendar.from_ical(made)
    assert (whole["VERSION"], whole["METHOD"]) == ("2.0", "PUBLISH")
    assert "REFRESH-INTERVAL;VALUE=DURATION:PT15M" in made
