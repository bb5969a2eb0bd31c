"""The entries of the daybook: write one, and read them in their order."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from datetime import datetime

from sqlalchemy import Connection, Engine, Row, bindparam, select

from pointage.daybook.entry import Entry, EntryKind, says_the_same
from pointage.daybook.errors import EntryClashError
from pointage.daybook.replay import in_order
from pointage.daybook.store import tables
from pointage.daybook.store.database import Database

# Making a statement takes longer than running it, so those of every entry are made once.
_TABLE = tables.entry
_BY_ID = select(_TABLE).where(_TABLE.c.id == bindparam("name"))
_OF_KITCHEN = select(_TABLE).where(_TABLE.c.kitchen == bindparam("of"))
_SINCE = _OF_KITCHEN.where(_TABLE.c.number > bindparam("change"))


class Entries(Database):
    """The store's entries."""

    def __init__(self, engine: Engine) -> None:
        super().__init__(engine)
        self._if_new = self._insert(_TABLE).on_conflict_do_nothing().returning(_TABLE.c.id)

    def append(self, entry: Entry) -> bool:
        """Write an entry for good: True when it is new, False when it was there already.

        Raises EntryClashError when its id is there in another kitchen, of another kind or with
        another body. Its times are no part of that: the same entry may well be sent twice.
        """
        with self.changing(entry.kitchen) as (connection, number):
            new = connection.scalar(self._if_new, _row(entry, number)) is not None
            if not new:
                there = _entry(connection.execute(_BY_ID, {"name": entry.id}).one())
                same = says_the_same(there, entry.kind, entry.body)
                if there.kitchen != entry.kitchen or not same:
                    raise EntryClashError(self.url, entry.id)
        return new

    def append_all(self, kitchen: str, entries: Sequence[Entry]) -> None:
        """Write many entries of one kitchen, all or none; those whose id is there are left out."""
        with self.changing(kitchen) as (connection, number):
            rows = [_row(entry, number) for entry in entries]
            if rows:
                connection.execute(self._insert(tables.entry).on_conflict_do_nothing(), rows)

    def entry(self, kitchen: str, name: str) -> Entry | None:
        """The entry with this id, or None."""
        with self.reading() as connection:
            row = connection.execute(_BY_ID, {"name": name}).one_or_none()
        return _entry(row) if row is not None and row.kitchen == kitchen else None

    def entries(
        self,
        kitchen: str,
        kinds: Collection[EntryKind] | None = None,
        since: datetime | None = None,
    ) -> list[Entry]:
        """A kitchen's entries in the order in which they happened, then arrived, then by id.

        kinds: only these; since: only what happened then or later.
        """
        query = _OF_KITCHEN
        if kinds is not None:
            query = query.where(_TABLE.c.kind.in_([kind.value for kind in kinds]))
        if since is not None:
            query = query.where(_TABLE.c.happened >= since)
        with self.reading() as connection:
            return sorted(map(_entry, connection.execute(query, {"of": kitchen})), key=in_order)

    def after(self, connection: Connection, kitchen: str, change: int | None) -> list[Entry]:
        """The entries that later changes of a kitchen than this one wrote; None: every entry."""
        if change is None:
            rows = connection.execute(_OF_KITCHEN, {"of": kitchen})
        else:
            rows = connection.execute(_SINCE, {"of": kitchen, "change": change})
        return [_entry(row) for row in rows]


def _row(entry: Entry, number: int) -> dict[str, object]:
    return {
        "id": entry.id,
        "kitchen": entry.kitchen,
        "kind": entry.kind.value,
        "happened": entry.happened,
        "arrived": entry.arrived,
        "author": entry.author,
        "body": entry.body,
        "number": number,
    }


def _entry(row: Row[tuple[object, ...]]) -> Entry:
    """The entry of a row, made without the checks: what is in the store has passed them."""
    entry = object.__new__(Entry)
    for name in ("id", "kitchen", "happened", "arrived", "author", "body", "number"):
        object.__setattr__(entry, name, getattr(row, name))
    object.__setattr__(entry, "kind", EntryKind(row.kind))
    if not isinstance(row.body, dict):  # no program of ours wrote it
        object.__setattr__(entry, "body", {})
    return entry
