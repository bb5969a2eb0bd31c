"""The store: kitchens, formulas and the daybook, in SQLite or PostgreSQL.

Every call is one transaction; when it returns, what it wrote is on the disk.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator
from contextlib import contextmanager
from datetime import datetime
from types import TracebackType
from typing import Self

from sqlalchemy import Connection, Engine, Row, func, select
from sqlalchemy.dialects import postgresql, sqlite
from sqlalchemy.exc import DBAPIError, IntegrityError

from pointage.daybook import tables
from pointage.daybook.entry import Entry, EntryKind, FormulaRecord, KitchenRecord
from pointage.daybook.errors import EntryClashError, StoreError
from pointage.daybook.opening import WRITES, first_line, open_engine
from pointage.errors import InputError


def open_store(url: str) -> Store:
    """The store at `url`, its tables brought up to date; see `opening.open_engine` for errors."""
    return Store(open_engine(url))


class Store:
    """An open store. Safe to share between threads. Raises StoreError when it cannot be reached."""

    def __init__(self, engine: Engine) -> None:
        self._engine = engine
        self._insert = sqlite.insert if engine.dialect.name == "sqlite" else postgresql.insert

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        traceback: TracebackType | None,
    ) -> None:
        self.close()

    def close(self) -> None:
        """Let go of every connection."""
        self._engine.dispose()

    @property
    def url(self) -> str:
        """Where it is, without a password."""
        return self._engine.url.render_as_string(hide_password=True)

    def kitchens(self) -> list[KitchenRecord]:
        """Every kitchen, by name."""
        table = tables.kitchen
        with self._reading() as connection:
            rows = connection.execute(select(table).order_by(table.c.name, table.c.id))
            return [KitchenRecord(row.id, row.name, row.zone, row.text) for row in rows]

    def put_kitchen(self, kitchen: KitchenRecord) -> None:
        """Keep this kitchen; one with the same id is replaced."""
        values = {"name": kitchen.name, "zone": kitchen.zone, "text": kitchen.text}
        insert = self._insert(tables.kitchen).values(id=kitchen.id, **values)
        with self._writing(kitchen.id) as connection:
            connection.execute(insert.on_conflict_do_update(index_elements=["id"], set_=values))

    def formulas(self, kitchen: str) -> list[FormulaRecord]:
        """The latest revision of every formula of a kitchen, by slug."""
        table = tables.formula
        latest = (
            select(table.c.slug, func.max(table.c.revision).label("revision"))
            .where(table.c.kitchen == kitchen)
            .group_by(table.c.slug)
            .subquery()
        )
        query = (
            select(table)
            .join(
                latest,
                (table.c.slug == latest.c.slug) & (table.c.revision == latest.c.revision),
            )
            .where(table.c.kitchen == kitchen)
            .order_by(table.c.slug)
        )
        with self._reading() as connection:
            return [
                FormulaRecord(row.kitchen, row.slug, row.revision, row.text)
                for row in connection.execute(query)
            ]

    def put_formula(self, kitchen: str, slug: str, text: str) -> FormulaRecord:
        """Keep this text as the formula's next revision; earlier ones stay."""
        table = tables.formula
        with self._writing(kitchen) as connection:
            # The kitchen's row is held so that two writers cannot take the same number.
            held = select(tables.kitchen.c.id).where(tables.kitchen.c.id == kitchen)
            connection.execute(held.with_for_update())
            last = connection.scalar(
                select(func.max(table.c.revision)).where(
                    table.c.kitchen == kitchen, table.c.slug == slug
                )
            )
            record = FormulaRecord(kitchen, slug, (last or 0) + 1, text)
            connection.execute(
                self._insert(table).values(
                    kitchen=kitchen, slug=slug, revision=record.revision, text=text
                )
            )
        return record

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
        with self._writing(entry.kitchen) as connection:
            written = insert.on_conflict_do_nothing().returning(tables.entry.c.id)
            if connection.scalar(written) is not None:
                return True
            there = _entry(
                connection.execute(select(tables.entry).where(tables.entry.c.id == entry.id)).one()
            )
        if _content(there) != _content(entry):
            raise EntryClashError(self.url, entry.id)
        return False

    def entries(
        self,
        kitchen: str,
        kinds: Collection[EntryKind] | None = None,
        since: datetime | None = None,
    ) -> list[Entry]:
        """A kitchen's entries in the order in which they happened, then arrived, then by id.

        kinds: only these; since: only what happened then or later.
        """
        table = tables.entry
        query = select(table).where(table.c.kitchen == kitchen)
        if kinds is not None:
            query = query.where(table.c.kind.in_([kind.value for kind in kinds]))
        if since is not None:
            query = query.where(table.c.happened >= since)
        query = query.order_by(table.c.happened, table.c.arrived, table.c.id)
        with self._reading() as connection:
            return [_entry(row) for row in connection.execute(query)]

    @contextmanager
    def _reading(self) -> Iterator[Connection]:
        with self._told(), self._engine.connect() as connection:
            yield connection

    @contextmanager
    def _writing(self, kitchen: str) -> Iterator[Connection]:
        with (
            self._told(),
            self._engine.connect().execution_options(**WRITES) as connection,
            connection.begin(),
        ):
            try:
                yield connection
            except IntegrityError:
                raise InputError("kitchen", repr(kitchen), "one that is in the store") from None

    @contextmanager
    def _told(self) -> Iterator[None]:
        try:
            yield
        except DBAPIError as error:
            raise StoreError(self.url, first_line(error)) from error


def _entry(row: Row[tuple[object, ...]]) -> Entry:
    return Entry(
        id=row.id,
        kitchen=row.kitchen,
        kind=EntryKind(row.kind),
        happened=row.happened,
        arrived=row.arrived,
        author=row.author,
        body=row.body,
    )


def _content(entry: Entry) -> tuple[object, ...]:
    return entry.kitchen, entry.kind, entry.happened, entry.author, entry.body
