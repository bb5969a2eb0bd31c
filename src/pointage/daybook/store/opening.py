"""Open a store: find its engine, set it to be durable, and bring its tables up to date."""

from __future__ import annotations

import json
import re
import sqlite3
import threading
from datetime import UTC, datetime
from functools import partial
from math import isfinite
from pathlib import Path
from time import monotonic, sleep
from typing import Any
from warnings import catch_warnings, simplefilter

from sqlalchemy import URL, Connection, Engine, create_engine, event, inspect, make_url, text
from sqlalchemy.exc import ArgumentError, DBAPIError, NoSuchModuleError, SAWarning

from pointage.daybook.errors import NewerStoreError, StoreError
from pointage.daybook.store.tables import REVISION
from pointage.errors import InputError
from pointage.language import say

WAIT_S = 30
"""How long to wait for another writer to finish."""

POOL: dict[str, Any] = {"pool_size": 10, "max_overflow": 40, "pool_timeout": WAIT_S}
"""A server answers in at most forty threads; each may have its own connection."""

WRITES = {"writes": True}
"""The execution options of a connection that is going to write."""

MIGRATIONS = Path(__file__).parent / "migrations"
_LOCK = 7_064_737  # any number, as long as every Pointage takes the same
_MIGRATING = threading.Lock()  # Alembic works on one migration at a time in a process


def open_engine(url: str) -> Engine:
    """An engine on an up-to-date store at `url`.

    Raises InputError for a URL that cannot be read, StoreError for a store that cannot be opened
    and NewerStoreError for one that a newer program has migrated; BackupError, and nothing is
    changed, when an older store cannot be copied before it is brought up to date.
    """
    parsed = _read_url(url)
    shown = parsed.render_as_string(hide_password=True)
    try:
        engine = _sqlite(parsed) if parsed.get_backend_name() == "sqlite" else _postgresql(parsed)
        with engine.connect() as connection:
            found = _revision(connection)
        if found != REVISION:
            with (
                _MIGRATING,
                engine.connect().execution_options(**WRITES) as connection,
                connection.begin(),
            ):
                _migrate(connection, shown)
    except ModuleNotFoundError as error:
        raise StoreError(
            shown, say("{name} is not installed; see README.md", name=error.name)
        ) from None
    except DBAPIError as error:
        raise StoreError(shown, first_line(error)) from error
    except OSError as error:
        raise StoreError(shown, str(error)) from error
    return engine


def _read_url(url: str) -> URL:
    expected = say(
        "a URL such as sqlite:////home/me/daybook.sqlite3 or postgresql://me@host/daybook"
    )
    try:
        url.encode()  # a sign that no file's name can have came from the command line
        parsed = make_url(url)
        backend = parsed.get_backend_name()
        parsed.get_dialect()
    except (ArgumentError, NoSuchModuleError, ModuleNotFoundError, ValueError):
        raise InputError("store", say("that address"), expected) from None
    if backend == "postgresql":
        return parsed.set(drivername="postgresql+psycopg")
    is_file = parsed.database and parsed.database != ":memory:" and "\0" not in parsed.database
    if backend != "sqlite" or not is_file:
        raise InputError("store", parsed.render_as_string(hide_password=True), expected)
    return parsed


def _sqlite(url: URL) -> Engine:
    Path(url.database or "").parent.mkdir(mode=0o700, parents=True, exist_ok=True)
    waits = {"timeout": WAIT_S}
    try:
        with catch_warnings():
            simplefilter("error", SAWarning)  # of a part of the query that is no use
            engine = create_engine(url, connect_args=waits, **JSON, **POOL)
            engine.dialect.create_connect_args(url)
    except (SAWarning, ValueError):
        raise InputError(
            "store", str(url), say("an address without the part from the ? on")
        ) from None

    @event.listens_for(engine, "connect")
    def be_durable(connection: Any, _record: object) -> None:
        connection.isolation_level = None  # transactions are ours to begin, DDL included
        cursor = connection.cursor()
        _write_ahead(cursor)
        cursor.execute("PRAGMA synchronous = FULL")
        cursor.execute("PRAGMA foreign_keys = ON")
        cursor.close()

    @event.listens_for(engine, "begin")
    def begin(connection: Connection) -> None:
        # A writer takes its turn at once: one that has read before it writes could be refused.
        writes = connection.get_execution_options().get("writes", False)
        connection.exec_driver_sql("BEGIN IMMEDIATE" if writes else "BEGIN")

    return engine


def _write_ahead(cursor: Any) -> None:
    """Turn the write-ahead log on. SQLite itself does not wait when another is just doing so."""
    until = monotonic() + WAIT_S
    while True:
        try:
            cursor.execute("PRAGMA journal_mode = WAL")
        except sqlite3.OperationalError as error:
            if not error.sqlite_errorname.startswith("SQLITE_BUSY") or monotonic() > until:
                raise
            sleep(0.02)
        else:
            return


def _postgresql(url: URL) -> Engine:
    engine = create_engine(url, pool_pre_ping=True, **JSON, **POOL)

    @event.listens_for(engine, "connect")
    def be_plain(connection: Any, _record: object) -> None:
        # In another zone than UTC the first and last hours of the calendar have no date.
        connection.execute("SET timezone = 'UTC'")
        connection.execute(f"SET lock_timeout = '{WAIT_S}s'")
        connection.commit()

    return engine


def first_line(error: DBAPIError) -> str:
    """What the database itself said, on one line."""
    return (str(error.orig).strip().splitlines() or [type(error).__name__])[0]


def _number(text: str) -> float | str:
    """A number out of a body; one that is none, such as 1e999, stays the text that it is."""
    number = float(text)
    return number if isfinite(number) else text


_PERHAPS_ENDLESS = re.compile(r"[eE]\+?\d\d\d|\d{300}")


def _body(written: str | bytes) -> Any:
    """A body out of its JSON. Each number is looked at only where one could be beyond all floats,
    for that is most of the work. Raises TypeError for a number, which SQLAlchemy then takes as is:
    SQLite gives back a body that is nothing else as one."""
    text = written if isinstance(written, str) else str(written, "utf-8")
    number = _number if _PERHAPS_ENDLESS.search(text) else None
    return json.loads(text, parse_float=number, parse_constant=str)


JSON: dict[str, Any] = {
    "json_serializer": partial(json.dumps, ensure_ascii=False, allow_nan=False),
    "json_deserializer": _body,
}


def _revision(connection: Connection) -> str | None:
    if not inspect(connection).has_table("alembic_version"):
        return None
    return connection.execute(text("SELECT version_num FROM alembic_version")).scalar()


def _migrate(connection: Connection, shown: str) -> None:
    # Imported here: a store that is up to date opens without Alembic.
    from alembic import command
    from alembic.config import Config
    from alembic.script import ScriptDirectory

    if connection.dialect.name == "postgresql":
        connection.execute(text("SET LOCAL lock_timeout = 0"))  # a copy may be made first
        connection.execute(text("SELECT pg_advisory_xact_lock(:lock)"), {"lock": _LOCK})
    config = Config()
    config.set_main_option("script_location", str(MIGRATIONS).replace("%", "%%"))
    config.attributes["connection"] = connection
    known = {script.revision for script in ScriptDirectory.from_config(config).walk_revisions()}
    found = _revision(connection)
    if found is not None and found not in known:
        raise NewerStoreError(shown, found, REVISION)
    if found is not None and found != REVISION:
        from pointage.daybook.archive.backup import back_up_before

        back_up_before(connection, REVISION, datetime.now(UTC))
    command.upgrade(config, REVISION)
