"""Stores of the tests do not wait until the disk has what was written.

A process that is killed leaves what it wrote with the kernel, and no test cuts the power: full sync
would be waited for thousands of times and prove nothing. That it is set, test_opening checks.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

from sqlalchemy import event
from sqlalchemy.pool import Pool

_SEEN = "unsynced"


def _unsync(connection: Any, record: Any, _proxy: object) -> None:
    if _SEEN not in record.info and isinstance(connection, sqlite3.Connection):
        record.info[_SEEN] = True
        connection.execute("PRAGMA synchronous = OFF")


def begin() -> None:
    """From now on, in this process and those forked from it."""
    if not event.contains(Pool, "checkout", _unsync):
        event.listen(Pool, "checkout", _unsync)


@contextmanager
def synced() -> Iterator[None]:
    """Stores opened here are as the program opens them."""
    event.remove(Pool, "checkout", _unsync)
    try:
        yield
    finally:
        begin()
