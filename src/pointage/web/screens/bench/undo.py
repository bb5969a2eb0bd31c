"""Taking back what was recorded, for two hours, and what was recorded last of a culture."""

from __future__ import annotations

from collections.abc import Collection
from datetime import datetime, timedelta

from pointage.daybook.entry import Entry, EntryKind
from pointage.web.screens.bench.page import LastDone
from pointage.web.visit import Visit
from pointage.web.words.entries import entry_words, kind_words
from pointage.web.words.words import lower_first

TAKE_BACK_FOR = timedelta(hours=2)
OF_CULTURES = (
    EntryKind.FED, EntryKind.HELD, EntryKind.POURED_OFF, EntryKind.CULTURE, EntryKind.SEEN,
    EntryKind.SMELLED, EntryKind.MEASURED,
)  # fmt: skip
BRIEF = (EntryKind.FED, EntryKind.POURED_OFF, EntryKind.MEASURED)
"""Called by their kind alone: what they say is long."""


def last_recorded(
    visit: Visit, names: Collection[str] | None = None
) -> tuple[datetime, LastDone] | None:
    """When, and what. names: of one culture, all it has had; None for every culture."""
    wanted = names and {name.casefold() for name in names}
    lines = visit.desk.records.lines(since=visit.now - TAKE_BACK_FOR, kinds=OF_CULTURES)
    found = [
        line.now
        for line in lines
        if line.now is not None and (name := line.now.body.get("culture"))
        if not begins(line.now) and (wanted is None or str(name).casefold() in wanted)
    ]
    if not found:
        return None
    last = max(reversed(found), key=lambda entry: (entry.arrived, entry.happened))
    return last.happened, done_last(last, visit)


def done_last(last: Entry, visit: Visit) -> LastDone:
    """An entry about a culture as it is named where it may be taken back."""
    words = kind_words(last.kind) if last.kind in BRIEF else entry_words(last, {}, visit.clock)
    title = f"{last.body['culture']}: {lower_first(words)}"
    return LastDone("", "", title, visit.clock.moment(last.happened), withdraws=last.id)


def take_back(visit: Visit) -> None:
    """Take back what a form names; once more changes nothing. Raises NotThere, InputError."""
    visit.desk.records.take_back(visit.entry(), visit.field("withdraws"))


def is_of_culture(entry: Entry) -> bool:
    """Whether it can be named by `done_last`."""
    return entry.kind in OF_CULTURES and bool(entry.body.get("culture"))


def begins(entry: Entry) -> bool:
    """Whether it began a culture: two entries, of which neither goes alone."""
    if entry.kind is EntryKind.CULTURE:
        return entry.body.get("event") in ("began", "split", "renamed")
    return entry.kind is EntryKind.FED and not entry.body.get("seed_g")
