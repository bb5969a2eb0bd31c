"""Backups in words: what is dried or frozen, how old it is, its label, and how it is woken."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from pointage.culture.life import Life
from pointage.desk.now.cultures.needs import KEEPS
from pointage.language import mark, say
from pointage.shown import date_text, day_text
from pointage.web.screens.cultures.view import flour_words
from pointage.web.words.clock import Clock
from pointage.web.words.words import mass

STATES = {
    "drying": mark("drying since {day}"),
    "dried": mark("dried {day}"),
    "frozen": mark("frozen {day}"),
}
FIRST = {
    "dried": mark("First soak the flakes for an hour in the water, lukewarm."),
    "frozen": mark("First thaw it in the fridge overnight."),
}
DAY_BY_DAY = mark(
    "Day by day: on the first day it may show nothing at all; on the second a few bubbles; from "
    "the third feed on it rises, each time higher. It is back when it has doubled twice running. "
    "No sign of life after four feeds: take another backup (common practice, no source)."
)


def backup_words(life: Life, clock: Clock) -> str:
    """ "20 g, dried Mon Sep 7, 28 days ago; good until about Tue Sep 7"."""
    since = life.since or life.began
    day = day_text(clock.local(since).date())
    said = say(STATES[life.state], day=day)
    age = clock.ahead(since)
    if life.state not in KEEPS:
        return f"{mass(life.mass_g)}, {said}"
    until = clock.local(since + KEEPS[life.state]).date()
    return say(
        "{mass}, {said}, {age}; good until about {date}",
        mass=mass(life.mass_g), said=said, age=age, date=_dated(until),
    )  # fmt: skip


def label_words(life: Life, clock: Clock) -> str:
    """What is written on it."""
    flours = ", ".join(map(flour_words, life.flours))
    day = _dated(clock.today)
    return say("{name}, {flours}, dried {day}", name=life.name, flours=flours, day=day)


def _dated(day: date) -> str:
    """ "Oct 7, 2027", as it must stand where it is read a year later."""
    return say("{date}, {year}", date=date_text(day), year=day.year)


def backups(lives: Sequence[Life], clock: Clock) -> tuple[tuple[str, str], ...]:
    """Those that are drying, dried or frozen, the newest first."""
    kept = [life for life in lives if life.state in STATES]
    kept.sort(key=lambda life: life.since or life.began, reverse=True)
    return tuple((life.name, backup_words(life, clock)) for life in kept)
