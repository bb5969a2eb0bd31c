"""The entries of the daybook: write one, and read them in their order.

What was read once is held in memory, for an entry never changes: from then on a reading only counts
the entries, and fetches those that are new.
"""

from __future__ import annotations

import threading
from bisect import insort
from collections.abc import Callable, Collection, Iterable, Sequence
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from typing import TypeVar

from sqlalchemy import Connection, Engine, Row, func, select

from pointage.daybook import tables
from pointage.daybook.database import Database
from pointage.daybook.entry import Entry, EntryKind
from pointage.daybook.errors import EntryClashError
from pointage.daybook.replay import Line, in_order, replay, standing

OVERTAKEN = timedelta(minutes=1)
"""An entry that arrived before another may be on the disk after it: usually by less than this."""

FEW = 100

Found = TypeVar("Found")


@dataclass(slots=True)
class _Held:
    """What is held of one kitchen, in order. latest: the last arrival among them."""

    turn: threading.Lock = field(default_factory=threading.Lock)
    entries: list[Entry] = field(default_factory=list)
    ids: set[str] = field(default_factory=set)
    latest: datetime | None = None
    lines: list[Line] | None = None
    standing: list[Entry] | None = None

    def add(self, entries: Iterable[Entry]) -> None:
        new = [entry for entry in entries if entry.id not in self.ids]
        self.ids.update(entry.id for entry in new)
        if len(new) < FEW:
            for entry in new:
                insort(self.entries, entry, key=in_order)
        else:
            self.entries = sorted([*self.entries, *new], key=in_order)
        if new:
            self.lines = self.standing = None
            last = max(entry.arrived for entry in new)
            self.latest = last if self.latest is None else max(self.latest, last)


class Entries(Database):
    """The store's entries."""

    def __init__(self, engine: Engine) -> None:
        super().__init__(engine)
        self._held: dict[str, _Held] = {}

    def append(self, entry: Entry) -> bool:
        """Write an entry for good: True when it is new, False when it was there already.

        Raises EntryClashError when its id is there with another content. The time of arrival is no
        part of that: the same entry may well arrive twice.
        """
        insert = self._insert(tables.entry).values(
            id=entry.id,
            kitchen=entry.kitchen,
            kind=entry.kind.value,
            happened=entry.happened,
            arrived=entry.arrived,
            author=entry.author,
            body=entry.body,
        )
        with self.writing(entry.kitchen) as connection:
            written = insert.on_conflict_do_nothing().returning(tables.entry.c.id)
            new = connection.scalar(written) is not None
            if not new:
                query = select(tables.entry).where(tables.entry.c.id == entry.id)
                there = _entry(connection.execute(query).one())
                if _content(there) != _content(entry):
                    raise EntryClashError(self.url, entry.id)
        held = self._held.get(entry.kitchen)
        if new and held is not None:  # and it is on the disk
            with held.turn:
                held.add([entry])
        return new

    def append_all(self, kitchen: str, entries: Sequence[Entry]) -> None:
        """Write many entries of one kitchen, all or none; those whose id is there are left out."""
        rows = [
            {
                "id": entry.id,
                "kitchen": kitchen,
                "kind": entry.kind.value,
                "happened": entry.happened,
                "arrived": entry.arrived,
                "author": entry.author,
                "body": entry.body,
            }
            for entry in entries
        ]
        with self.writing(kitchen) as connection:
            if rows:
                connection.execute(self._insert(tables.entry).on_conflict_do_nothing(), rows)

    def entry(self, kitchen: str, name: str) -> Entry | None:
        """The entry with this id, or None."""
        table = tables.entry
        query = select(table).where(table.c.kitchen == kitchen, table.c.id == name)
        with self.reading() as connection:
            row = connection.execute(query).one_or_none()
        return None if row is None else _entry(row)

    def entries(
        self,
        kitchen: str,
        kinds: Collection[EntryKind] | None = None,
        since: datetime | None = None,
    ) -> list[Entry]:
        """A kitchen's entries in the order in which they happened, then arrived, then by id.

        kinds: only these; since: only what happened then or later. Others hold the same entries, so
        their bodies are to be read and not written to.
        """
        return [
            entry
            for entry in self._look(kitchen, lambda held: held.entries)
            if (kinds is None or entry.kind in kinds) and (since is None or entry.happened >= since)
        ]

    def standing(self, kitchen: str) -> list[Entry]:
        """The entries that hold, as they read now: `replay.standing` of all of them."""

        def found(held: _Held) -> list[Entry]:
            if held.standing is None:
                held.standing = standing(held.entries)
            return held.standing

        return self._look(kitchen, found)

    def lines(self, kitchen: str) -> list[Line]:
        """Every entry that is no amendment, with what became of it: `replay.replay` of all."""

        def found(held: _Held) -> list[Line]:
            if held.lines is None:
                held.lines = replay(held.entries)
            return held.lines

        return self._look(kitchen, found)

    def _look(self, kitchen: str, look: Callable[[_Held], list[Found]]) -> list[Found]:
        """A copy of what `look` finds in what is held, once that is all there is."""
        held = self._held.setdefault(kitchen, _Held())
        with held.turn, self.reading() as connection:
            table = tables.entry
            number = select(func.count()).where(table.c.kitchen == kitchen)
            there = connection.scalar(number)
            if there != len(held.entries):
                if held.latest is not None:
                    held.add(_read(connection, kitchen, held.latest - OVERTAKEN))
                # One that came in long after its arrival, as from an archive, is not among those.
                if there != len(held.entries):
                    self._held[kitchen] = again = _Held(held.turn)
                    again.add(_read(connection, kitchen))
                    held = again
            return list(look(held))


def _read(connection: Connection, kitchen: str, arrived: datetime | None = None) -> list[Entry]:
    query = select(tables.entry).where(tables.entry.c.kitchen == kitchen)
    if arrived is not None:
        query = query.where(tables.entry.c.arrived >= arrived)
    return [_entry(row) for row in connection.execute(query)]


def _entry(row: Row[tuple[object, ...]]) -> Entry:
    """The entry of a row, made without the checks: what is in the store has passed them."""
    entry = object.__new__(Entry)
    for name in ("id", "kitchen", "happened", "arrived", "author", "body"):
        object.__setattr__(entry, name, getattr(row, name))
    object.__setattr__(entry, "kind", EntryKind(row.kind))
    return entry


def _content(entry: Entry) -> tuple[object, ...]:
    return entry.kitchen, entry.kind, entry.happened, entry.author, entry.body
