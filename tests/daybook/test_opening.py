"""Opening a store: from nothing, at an older or newer schema, by two at once, after a kill."""

from __future__ import annotations

import subprocess
import sys
import threading
from collections.abc import Callable
from pathlib import Path

import pytest
from alembic.autogenerate import compare_metadata
from alembic.config import Config
from alembic.migration import MigrationContext
from alembic.script import ScriptDirectory
from sqlalchemy import create_engine, text
from tests.unsynced import synced

from pointage.daybook.entry import KitchenRecord
from pointage.daybook.errors import NewerStoreError, StoreError
from pointage.daybook.store import tables
from pointage.daybook.store.opening import MIGRATIONS
from pointage.daybook.store.store import open_store
from pointage.daybook.whereabouts import demonstration_url, store_url
from pointage.errors import InputError, PointageError

SKERRY = KitchenRecord("k1", "Skerry Hall", "Europe/Dublin", "")

APPENDER = """
import sys
from datetime import UTC, datetime
from uuid import uuid4
from pointage.daybook.entry import Entry, EntryKind
from pointage.daybook.store.store import open_store

store = open_store(sys.argv[1])
while True:
    now = datetime.now(UTC)
    entry = Entry(str(uuid4()), "k1", EntryKind.READING, now, now, "Orla", {"note": "x" * 4000})
    store.append(entry)
    print(entry.id, flush=True)
"""


def test_the_migrations_build_the_tables(url: str) -> None:
    open_store(url).close()
    engine = create_engine(url.replace("postgresql:", "postgresql+psycopg:"))
    with engine.connect() as connection:
        context = MigrationContext.configure(connection)
        assert context.get_current_heads() == (tables.REVISION,)
        assert compare_metadata(context, tables.metadata) == []
    engine.dispose()


def test_the_tables_name_the_last_migration() -> None:
    config = Config()
    config.set_main_option("script_location", str(MIGRATIONS))
    assert ScriptDirectory.from_config(config).get_heads() == [tables.REVISION]


def test_a_newer_store_is_refused_and_left_alone(url: str) -> None:
    open_store(url).close()
    engine = create_engine(url.replace("postgresql:", "postgresql+psycopg:"))
    with engine.begin() as connection:
        connection.execute(text("UPDATE alembic_version SET version_num = '9999'"))
    with pytest.raises(NewerStoreError, match=r"newer Pointage .* 9999"):
        open_store(url)
    with engine.connect() as connection:
        assert connection.scalar(text("SELECT version_num FROM alembic_version")) == "9999"
    engine.dispose()


@pytest.mark.soon(1)
def test_several_may_open_an_empty_store_at_once(new_url: Callable[[], str]) -> None:
    failures: list[PointageError] = []

    def open_it(url: str, together: threading.Barrier) -> None:
        together.wait()
        try:
            open_store(url).close()
        except PointageError as error:
            failures.append(error)

    for _ in range(5):
        shared = (new_url(), threading.Barrier(4))
        openers = [threading.Thread(target=open_it, args=shared) for _ in range(4)]
        for each in openers:
            each.start()
        for each in openers:
            each.join()
    assert failures == []


@pytest.mark.soon(1)
def test_every_acknowledged_entry_survives_a_kill(url: str) -> None:
    with open_store(url) as store:
        store.put_kitchen(SKERRY)
    command = [sys.executable, "-c", APPENDER, url]
    with subprocess.Popen(command, stdout=subprocess.PIPE, text=True) as appender:
        assert appender.stdout is not None
        acknowledged = [appender.stdout.readline().strip() for _ in range(40)]
        appender.kill()  # SIGKILL, most likely inside an append
        acknowledged += [line.strip() for line in appender.stdout if line.endswith("\n")]
    with open_store(url) as store:
        kept = {entry.id for entry in store.entries("k1")}
    assert all(acknowledged)
    assert set(acknowledged) <= kept
    assert len(kept) <= len(acknowledged) + 1  # one may have been written and not yet told


def test_sqlite_is_set_to_be_durable(tmp_path: Path) -> None:
    store = open_store(f"sqlite:///{tmp_path}/deep/er/daybook.sqlite3")
    store.close()  # and its connections, which do not sync
    with synced(), store._engine.connect() as connection:
        settings = [
            connection.exec_driver_sql(f"PRAGMA {name}").scalar()
            for name in ("journal_mode", "synchronous", "foreign_keys")
        ]
    store.close()
    assert settings == ["wal", 2, 1]  # 2 is FULL


def test_a_file_that_is_no_store(tmp_path: Path) -> None:
    path = tmp_path / "notes.txt"
    path.write_text("Bread is better on the second day.\n" * 100)
    with pytest.raises(StoreError, match="not a database"):
        open_store(f"sqlite:///{path}")


def test_a_folder_that_cannot_be(tmp_path: Path) -> None:
    (tmp_path / "file").touch()
    with pytest.raises(StoreError, match="cannot be used"):
        open_store(f"sqlite:///{tmp_path}/file/daybook.sqlite3")


@pytest.mark.parametrize("url", ["", "daybook.sqlite3", "mysql://host/x", "sqlite://", "sqlite"])
def test_an_address_that_is_none(url: str) -> None:
    with pytest.raises(InputError, match="a URL such as sqlite:///"):
        open_store(url)


def test_a_server_that_is_not_there_is_named_without_its_password(tmp_path: Path) -> None:
    with pytest.raises(StoreError) as caught:
        open_store(f"postgresql://me:secret@/daybook?host={tmp_path}")
    assert "secret" not in str(caught.value)
    assert "\n" not in str(caught.value)


def test_where_the_store_is() -> None:
    home = {"HOME": "/home/orla"}
    assert store_url(home, "linux") == "sqlite:////home/orla/.local/share/pointage/daybook.sqlite3"
    xdg = home | {"XDG_DATA_HOME": "/data"}
    assert store_url(xdg, "linux") == "sqlite:////data/pointage/daybook.sqlite3"
    relative = home | {"XDG_DATA_HOME": "data"}  # the specification: to be ignored
    assert store_url(relative, "linux") == store_url(home, "linux")
    assert store_url(home, "darwin") == (
        "sqlite:////home/orla/Library/Application Support/Pointage/daybook.sqlite3"
    )
    assert store_url(home | {"POINTAGE_STORE": "postgresql://h/d"}, "linux") == "postgresql://h/d"
    assert demonstration_url(home, "linux") != store_url(home, "linux")
