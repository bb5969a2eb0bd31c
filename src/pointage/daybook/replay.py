"""What holds now: the append-only list with its corrections and withdrawals applied.

An amendment (a correction or a withdrawal) names the entry it is about. Of all amendments of an
entry, the last to arrive that still stands itself has the word. A correction may be corrected and a
withdrawal withdrawn: amendments are entries too. So the outcome hangs on the set of entries and on
when each arrived, never on the order in which the list is read.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import UTC, datetime
from typing import Any
from uuid import UUID

from pointage.daybook.entry import Entry, EntryKind

AMENDMENTS = frozenset({EntryKind.CORRECTED, EntryKind.WITHDRAWN})


def in_order(entry: Entry) -> tuple[datetime, datetime, str]:
    """Entries stand in the order in which they happened, then arrived, then by id."""
    return entry.happened, entry.arrived, entry.id


@dataclass(frozen=True, slots=True)
class Line:
    """One entry through time. written: as it was first; now: as it reads now, None if withdrawn.

    amendments: all that was said of it and of that, in the order of arrival.
    """

    written: Entry
    now: Entry | None
    amendments: tuple[Entry, ...] = ()


def standing(entries: Iterable[Entry]) -> list[Entry]:
    """The entries that hold, as they read now, in the order of `Store.entries`.

    An amendment of what is not in `entries` waits for it, and changes nothing until then.
    """
    return sorted((line.now for line in replay(entries) if line.now is not None), key=in_order)


def replay(entries: Iterable[Entry]) -> list[Line]:
    """Every entry that is no amendment, with what became of it, in the order it was written."""
    every = {entry.id: entry for entry in entries}  # sent twice, told once
    about: defaultdict[str, list[Entry]] = defaultdict(list)
    roots = []
    for entry in every.values():
        target = amended(entry)
        if target is None:
            roots.append(entry)
        else:
            about[target].append(entry)
    for amendments in about.values():
        amendments.sort(key=_arrival)
    roots.sort(key=in_order)
    return [line_of(root, about) for root in roots]


def amended(entry: Entry) -> str | None:
    """The id of the entry that this one corrects or withdraws; None when it is no amendment.

    "Not done after all" and "given up" are withdrawn too, but name a step or a bake: they are told
    of it in their turn, and are entries that hold.
    """
    if entry.kind not in AMENDMENTS or "entry" not in entry.body:
        return None
    named = entry.body["entry"]
    try:
        return str(UUID(named))
    except (ValueError, AttributeError, TypeError):
        return str(named)


@dataclass(frozen=True, slots=True)
class _Says:
    """What an entry says in the end. An amendment's body and time are those it gives its target."""

    body: dict[str, Any] | None
    happened: datetime | None


def line_of(root: Entry, about: Mapping[str, Sequence[Entry]]) -> Line:
    """An entry through time. about: amendments by what they amend, each in order of arrival."""
    if root.id not in about:
        return Line(root, root)
    below = [root]
    for entry in below:  # it grows as it is walked; every amendment has one target, so no ring
        below += about.get(entry.id, ())
    # The last words first, so that what amends an entry is settled before the entry is.
    said: dict[str, _Says | None] = {}
    for entry in reversed(below):
        said[entry.id] = _said(entry, entry is root, about.get(entry.id, ()), said)
    amendments = tuple(sorted(below[1:], key=_arrival))
    end = said[root.id]
    if end is None:
        return Line(root, None, amendments)
    body = root.body if end.body is None else end.body
    return Line(root, replace(root, body=body, happened=end.happened or root.happened), amendments)


def _said(
    entry: Entry, root: bool, amendments: Iterable[Entry], said: dict[str, _Says | None]
) -> _Says | None:
    """What `entry` says once its amendments have been heard; None when it does not hold."""
    own = _Says(None, None) if root or entry.kind is EntryKind.WITHDRAWN else _own(entry)
    standing = [each for each in amendments if said[each.id] is not None]
    if not standing:
        return own
    last = standing[-1]
    if last.kind is EntryKind.WITHDRAWN:
        return None
    told = said[last.id]
    assert told is not None
    return _Says(told.body, told.happened or own.happened)


def _own(correction: Entry) -> _Says:
    """What a correction says; what it says in no form we know, it does not say."""
    body = correction.body.get("body")
    return _Says(
        dict(body) if isinstance(body, dict) else None,
        _instant(correction.body.get("happened")),
    )


def _instant(said: object) -> datetime | None:
    try:
        found = datetime.fromisoformat(str(said)) if said else None
    except ValueError:
        return None
    return None if found is None or found.tzinfo is None else found.astimezone(UTC)


def _arrival(entry: Entry) -> tuple[datetime, str]:
    return entry.arrived, entry.id
