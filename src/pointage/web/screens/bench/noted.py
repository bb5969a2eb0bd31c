"""What was noted of a mixture that stands, beside its readings on the Bench."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import replace
from datetime import timedelta

from pointage.daybook.entry import Entry, EntryKind
from pointage.daybook.replay import Line
from pointage.language import say
from pointage.web.screens.bench.page import BenchPage, Working
from pointage.web.screens.daybook.view import SMELLS
from pointage.web.words.clock import Clock

SINCE = timedelta(days=3)
"""So far back the Bench looks: no mixture stands on it for longer."""


def with_noted(
    page: BenchPage, lines: Sequence[Line], clock: Clock, lost: Collection[str] = ()
) -> BenchPage:
    """The page with smells, notes and photographs of what is working.

    lost: the SHA-256 of photographs that the store has not.
    """
    entries = [line.now for line in lines if line.now is not None]
    return replace(page, working=tuple(_with(each, entries, clock, lost) for each in page.working))


def _with(
    working: Working, entries: Sequence[Entry], clock: Clock, lost: Collection[str]
) -> Working:
    words = tuple(
        say("{words} at {time}", words=words, time=clock.text(entry.happened))
        for entry in entries
        if (entry.body.get("bake"), entry.body.get("step")) == (working.bake, working.step)
        and (words := _words(entry, lost))
    )
    return replace(working, readings=(*working.readings, *words))


def _words(entry: Entry, lost: Collection[str]) -> str:
    match entry.kind:
        case EntryKind.SMELLED:
            signs = ", ".join(say(each) if each in SMELLS else each for each in entry.body["signs"])
            return say("smells of {signs}", signs=signs)
        case EntryKind.NOTE:
            return say("“{note}”", note=entry.body["text"])
        case EntryKind.PHOTO:
            missing = entry.body.get("sha256") in lost
            if missing:
                return say("a photograph, now missing from the store,")
            return say("a photograph")
    return ""
