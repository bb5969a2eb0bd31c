"""An open database: how the store's subjects read it and write it, and what they raise."""

from __future__ import annotations

import threading
from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from copy import copy
from types import TracebackType
from typing import Self

from sqlalchemy import URL, Connection, Engine, bindparam, exc, select, update
from sqlalchemy.dialects import postgresql, sqlite

from pointage.daybook.errors import StoreError
from pointage.daybook.store import opening, tables
from pointage.daybook.store.opening import WRITES, first_line
from pointage.errors import InputError
from pointage.language import say

_KITCHEN = tables.kitchen
_CHANGES = select(_KITCHEN.c.changes).where(_KITCHEN.c.id == bindparam("of"))
_COUNT = (
    update(_KITCHEN)
    .where(_KITCHEN.c.id == bindparam("of"))
    .values(changes=_KITCHEN.c.changes + 1)
    .returning(_KITCHEN.c.changes)
)
_looked: ContextVar[dict[str, tuple[object, int]] | None] = ContextVar("looked", default=None)


@contextmanager
def one_look() -> Iterator[None]:
    """Within it `Database.changes` asks once for a kitchen, and again after a write of that store.

    In this thread or task alone, and in what is done for it in another thread.
    """
    token = _looked.set({})
    try:
        yield
    finally:
        _looked.reset(token)


class Database:
    """One engine, shared by threads. Every transaction is on the disk when it has ended."""

    def __init__(self, engine: Engine) -> None:
        self._engine = engine
        self._within: Connection | None = None
        self._last_write = object()  # another after each
        on_sqlite = engine.dialect.name == "sqlite"
        self._insert = sqlite.insert if on_sqlite else postgresql.insert
        self._one_moment = {} if on_sqlite else {"isolation_level": "REPEATABLE READ"}
        # SQLite has one writer at a time. Its own waiting is by naps, which a crowd of threads
        # makes long and unfair; so they queue here, and only other processes are waited for so.
        self._turn = threading.Lock() if on_sqlite else None

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

    @property
    def address(self) -> URL:
        """Where it is, with what opens it: not to be shown."""
        return self._engine.url

    def within(self, connection: Connection) -> Self:
        """The store as this transaction of it leaves it, to be read before that is on the disk."""
        seen = copy(self)
        seen._within = connection
        return seen

    @contextmanager
    def reading(self) -> Iterator[Connection]:
        """A transaction that only reads, all of it from the same moment. Raises StoreError."""
        if self._within is not None:
            yield self._within
            return
        with (
            self._reported(),
            self._engine.connect().execution_options(**self._one_moment) as connection,
        ):
            yield connection

    @contextmanager
    def writing(self, kitchen: str) -> Iterator[Connection]:
        """A transaction that writes records of `kitchen`: all of it, or nothing after an error.

        Raises InputError for a kitchen that is not in the store, and StoreError.
        """
        with (
            self._queued(),
            self._reported(),
            self._engine.connect().execution_options(**WRITES) as connection,
            connection.begin(),
        ):
            try:
                yield connection
            except exc.IntegrityError:
                raise InputError(
                    "kitchen", repr(kitchen), say("one that is in the store")
                ) from None

    @contextmanager
    def changing(self, kitchen: str) -> Iterator[tuple[Connection, int]]:
        """As `writing`, with the number of this change of the kitchen.

        The kitchen's row is held until the end: changes are on the disk in the order of their
        numbers, and no two writers take the same one.
        """
        with self.writing(kitchen) as connection:
            number = connection.scalar(_COUNT, {"of": kitchen})
            if number is None:
                raise InputError("kitchen", repr(kitchen), say("one that is in the store"))
            yield connection, number

    def changes(self, kitchen: str) -> int:
        """How often anything of a kitchen was written; 0 for one that is not there.

        See `one_look`.
        """
        looked, last_write = _looked.get(), self._last_write
        if looked is not None and self._within is None and kitchen in looked:
            since, changes = looked[kitchen]
            if since is last_write:
                return changes
        with self.reading() as connection:
            changes = connection.scalar(_CHANGES, {"of": kitchen}) or 0
        if looked is not None and self._within is None:
            looked[kitchen] = last_write, changes
        return changes

    @contextmanager
    def _queued(self) -> Iterator[None]:
        """Wait for the other writers of this process, no longer than for those of another."""
        if self._turn is not None and not self._turn.acquire(timeout=opening.WAIT_S):
            raise StoreError(self.url, say("another is writing; try again"))
        try:
            yield
        finally:
            self._last_write = object()
            if self._turn is not None:
                self._turn.release()

    @contextmanager
    def _reported(self) -> Iterator[None]:
        try:
            yield
        except exc.DBAPIError as error:
            raise StoreError(self.url, first_line(error)) from error
        except exc.TimeoutError as error:
            raise StoreError(self.url, say("every connection is taken; try again")) from error
