"""What is set aside, in words: how much the figures of a page leave out, and where it is shown."""

from __future__ import annotations

from datetime import timedelta

from pointage.daybook.readings import Reading, ReadingKind, reading_words
from pointage.desk.now.present import Present
from pointage.language import mark, say, say_many
from pointage.web.words.clock import Clock
from pointage.web.words.words import length, upper_first

NOT_WORKED_OUT = mark(
    "the daybook's figures cannot be calculated; withdraw the entry that was recorded last"
)
ONLY_ASIDE = "/daybook?aside=1#lines"


def questioned_words(reading: Reading, after: timedelta, clock: Clock) -> str:
    """ "Risen to 1.9 (11:05, 4 h after the mix): outside what it was thought able to do." """
    reads, at, later = upper_first(reading_words(reading)), clock.text(reading.at), length(after)
    if reading.kind is ReadingKind.TEMPERATURE:
        return say(
            "{reads} ({at}, {later} after the mix): outside what seemed possible in that place.",
            reads=reads, at=at, later=later,
        )  # fmt: skip
    return say(
        "{reads} ({at}, {later} after the mix): outside what this culture seemed able to do.",
        reads=reads, at=at, later=later,
    )  # fmt: skip


def entries_aside(present: Present) -> frozenset[str]:
    """The entries that count for nothing."""
    return frozenset(
        each.name for each in present.set_asides if each.what == "entry" and not each.counts
    )


def formulas_aside(present: Present) -> dict[str, str]:
    """By slug, why a formula cannot be read."""
    return {each.name: each.reason for each in present.set_asides if each.what == "formula"}


def kitchen_aside(present: Present) -> str:
    """Why the kitchen's last text cannot be read; empty where it can."""
    return next((each.reason for each in present.set_asides if each.what == "kitchen"), "")


def left_out(present: Present) -> tuple[tuple[str, str], ...]:
    """What the figures of every page leave out: a few words each, and where more is said."""
    entries, formulas = len(entries_aside(present)), len(formulas_aside(present))
    found = []
    if kitchen_aside(present):
        found.append((say("The kitchen's file cannot be read"), "/kitchen/file"))
    if formulas:
        words = say_many("{n} formula is set aside", "{n} formulas are set aside", formulas)
        found.append((words, "/formulas"))
    if entries:
        words = say_many("{n} entry is set aside", "{n} entries are set aside", entries)
        found.append((words, ONLY_ASIDE))
    return tuple(found)
