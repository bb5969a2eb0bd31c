"""What holds now: the append-only list with its corrections and withdrawals applied.

An amendment (a correction or a withdrawal) names the entry it is about. Of all amendments of an
entry, the last that still stands itself has the word. A correction may be corrected and a
withdrawal withdrawn: amendments are entries too. Which one is last is said by the amendment each
follows (`after`), then by the order in which the store wrote them; the clocks of those who wrote
them decide only where neither is known. So the outcome hangs on the set of entries, never on the
order in which the list is read.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import UTC, datetime
from heapq import heapify, heappop, heappush
from typing import Any
from uuid import UUID

from pointage.daybook.entry import Entry, EntryKind
from pointage.errors import InputError
from pointage.language import say

AMENDMENTS = frozenset({EntryKind.CORRECTED, EntryKind.WITHDRAWN})


def in_order(entry: Entry) -> tuple[datetime, datetime, str]:
    """Entries stand in the order in which they happened, then arrived, then by id."""
    return entry.happened, entry.arrived, entry.id


@dataclass(frozen=True, slots=True)
class Line:
    """One entry through time. written: as it was first; now: as it reads now, None if withdrawn.

    amendments: all that was said of it and of that, each after what it amends or follows.
    """

    written: Entry
    now: Entry | None
    amendments: tuple[Entry, ...] = ()


def in_force(entries: Iterable[Entry]) -> list[Entry]:
    """The entries that hold, as they read now, in the order of `Store.entries`.

    An amendment of what is not in `entries` waits for it, and changes nothing until then.
    """
    return sorted((line.now for line in replay(entries) if line.now is not None), key=in_order)


def replay(entries: Iterable[Entry]) -> list[Line]:
    """Every entry that is no amendment, with what became of it, in the order it was written."""
    every = {entry.id: entry for entry in entries}  # sent twice, recorded once
    about: defaultdict[str, list[Entry]] = defaultdict(list)
    roots = []
    for entry in every.values():
        target = amended(entry)
        if target is None:
            roots.append(entry)
        else:
            about[target].append(entry)
    ordered = {target: in_turn(amendments) for target, amendments in about.items()}
    roots.sort(key=in_order)
    return [line_of(root, ordered) for root in roots]


def amended(entry: Entry) -> str | None:
    """The id of the entry that this one corrects or withdraws; None when it is no amendment.

    "Not done after all" and "given up" are withdrawn too, but name a step or a bake: they are about
    it in their turn, and are entries that hold.
    """
    return _named(entry, "entry") if entry.kind in AMENDMENTS else None


def in_turn(amendments: Iterable[Entry]) -> list[Entry]:
    """Amendments in their order: each after the one it follows and the one it amends.

    What that leaves open is settled by the order in which the store wrote them, then by arrival and
    id. Amendments that follow each other in a ring are taken as if the first of them by that order
    followed none.
    """
    ordered = sorted(amendments, key=written)
    place = {entry.id: at for at, entry in enumerate(ordered)}
    behind: defaultdict[int, list[int]] = defaultdict(list)
    open_: list[int] = []
    left = [0] * len(ordered)
    for at, entry in enumerate(ordered):
        for name in {_named(entry, "after"), _named(entry, "entry")} & place.keys() - {entry.id}:
            assert name is not None
            behind[place[name]].append(at)
            left[at] += 1
        if not left[at]:
            open_.append(at)
    heapify(open_)
    found: dict[int, Entry] = {}
    first = 0
    while len(found) < len(ordered):
        if open_:
            at = heappop(open_)
        else:
            while first in found:
                first += 1
            at = first
        if at in found:
            continue
        found[at] = ordered[at]
        for each in behind[at]:
            left[each] -= 1
            if not left[each]:
                heappush(open_, each)
    return list(found.values())


@dataclass(frozen=True, slots=True)
class _Says:
    """What an entry says in the end. An amendment's body and time are those it gives its target."""

    body: dict[str, Any] | None
    happened: datetime | None


def line_of(root: Entry, about: Mapping[str, Sequence[Entry]]) -> Line:
    """An entry through time. about: amendments by what they amend, each `in_turn`."""
    if root.id not in about:
        return Line(root, root)
    below = [root]
    for entry in below:  # it grows as it is walked; every amendment has one target, so no ring
        below += about.get(entry.id, ())
    # The last words first, so that what amends an entry is settled before the entry is.
    said: dict[str, _Says | None] = {}
    for entry in reversed(below):
        said[entry.id] = _said(entry, entry is root, about.get(entry.id, ()), said)
    amendments = tuple(in_turn(below[1:]))
    end = said[root.id]
    if end is None:
        return Line(root, None, amendments)
    body = root.body if end.body is None else end.body
    return Line(root, replace(root, body=body, happened=end.happened or root.happened), amendments)


def _said(
    entry: Entry, root: bool, amendments: Iterable[Entry], said: dict[str, _Says | None]
) -> _Says | None:
    """What `entry` says once its amendments have been heard; None when it does not hold."""
    own: _Says | None
    own = _Says(None, None) if root or entry.kind is EntryKind.WITHDRAWN else _own(entry)
    in_force = [each for each in amendments if said[each.id] is not None]
    if not in_force:
        return own
    last = in_force[-1]
    if last.kind is EntryKind.WITHDRAWN:
        return None
    latest = said[last.id]
    assert latest is not None
    return _Says(latest.body, latest.happened or (None if own is None else own.happened))


def _own(correction: Entry) -> _Says | None:
    """What a correction says; nothing where its body has no form we know (`unclear`)."""
    body = correction.body.get("body")
    happened = _instant(correction.body.get("happened"))
    return _Says(dict(body), happened) if isinstance(body, dict) else None


def unclear(amendment: Entry) -> InputError | None:
    """What of a correction was not heard, for it has no form that is known here."""
    if amendment.kind is not EntryKind.CORRECTED:
        return None
    body, happened = amendment.body.get("body"), amendment.body.get("happened")
    if not isinstance(body, dict):
        return InputError("body", repr(body)[:60], say("the whole of what is right"))
    if happened and _instant(happened) is None:
        return InputError("happened", repr(happened)[:60], say("a time with its offset"))
    return None


def holds(amendment: Entry, about: Mapping[str, Sequence[Entry]]) -> bool:
    """Whether nothing that amends this amendment withdraws it."""
    return line_of(amendment, about).now is not None


def _instant(said: object) -> datetime | None:
    try:
        found = datetime.fromisoformat(str(said)) if said else None
        return None if found is None or found.tzinfo is None else found.astimezone(UTC)
    except (ValueError, OverflowError):
        return None


def _named(entry: Entry, field: str) -> str | None:
    """The id that a field of an amendment's body names, as ids are written; None without it."""
    if field not in entry.body:
        return None
    named = entry.body[field]
    try:
        return str(UUID(named))
    except (ValueError, AttributeError, TypeError):
        return str(named)


def written(entry: Entry) -> tuple[int, datetime, str]:
    """Entries were written in this order: by their change, else by arrival, then by id."""
    return entry.number, entry.arrived, entry.id
