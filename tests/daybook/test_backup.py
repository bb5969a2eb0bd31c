"""Backups make themselves, are whole, and the old ones go in their turn."""

from __future__ import annotations

import shutil
import sqlite3
from collections.abc import Iterator
from contextlib import closing
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from typing import Any
from zipfile import ZipFile

import pytest
from sqlalchemy import text
from tests.conftest import PostgreSQL
from tests.daybook.archives import NOON, TOKEN, entry, fill, records
from tests.daybook.test_migrations import STORES, made_at_0001

from pointage.daybook.archive import backup
from pointage.daybook.archive.backup import (
    Backup,
    back_up,
    backups,
    is_due,
    kept,
)
from pointage.daybook.archive.merge import import_from
from pointage.daybook.entry import EntryKind
from pointage.daybook.errors import BackupError
from pointage.daybook.store.store import Store, open_store
from pointage.daybook.store.tables import REVISION
from pointage.desk.records.exchange import ExchangeDesk

DAY = timedelta(days=1)


@pytest.fixture
def filled(tmp_path: Path) -> Iterator[Store]:
    with open_store(f"sqlite:///{tmp_path}/my daybook #1.sqlite3") as store:
        fill(store)
        yield store


def test_a_copy_has_all_that_was_acknowledged_and_stands_alone(filled: Store) -> None:
    made = back_up(filled, NOON)
    assert made.path.name == "my daybook #1-20261125T120000Z.sqlite3"
    assert [each.name for each in made.path.parent.iterdir()] == [made.path.name]
    assert made.path.stat().st_mode & 0o077 == 0
    right = records(filled)
    filled.append(entry(99, EntryKind.NOTE, {"text": "later"}))
    moved = made.path.rename(made.path.parent.parent / "restored.sqlite3")
    with open_store(f"sqlite:///{moved}") as copy:
        assert records(copy) == right
        assert copy.sensor_of_token(TOKEN) is not None  # a copy is the store itself


@pytest.mark.postgresql
def test_of_postgresql_an_archive_is_made(
    postgresql: PostgreSQL, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path))
    with (
        open_store(postgresql.new_database()) as store,
        open_store(f"sqlite:///{tmp_path}/other.sqlite3") as other,
    ):
        fill(store)
        made = back_up(store, NOON)
        assert made.path.suffix == ".zip"
        assert backups(store.address) == [made]
        import_from(other, made.path)
        assert records(other) == records(store)
        with open_store(postgresql.new_database()) as another:
            assert backups(another.address) == []


def test_one_is_due_each_day(filled: Store) -> None:
    url = filled.address
    assert is_due(url, NOON)
    back_up(filled, NOON)
    assert not is_due(url, NOON + timedelta(hours=11))
    assert is_due(url, NOON + timedelta(hours=12))


def test_seven_days_five_weeks_and_twelve_months_are_kept() -> None:
    start = datetime(2025, 1, 1, 12, tzinfo=UTC)
    every = [Backup(Path(f"{n}"), start + n * DAY, None) for n in range(500)]
    stay: set[Backup] = set()
    for each in every:  # one a day, and each day the old ones go
        stay = kept(stay | {each})
    days = sorted(each.made.date() for each in stay)
    # 500 days from 1 January 2025 end on 15 May 2026, a Friday
    assert days[-7:] == [date(2026, 5, day) for day in range(9, 16)]
    sundays = [date(2026, 4, 19), date(2026, 4, 26), date(2026, 5, 3), date(2026, 5, 10)]
    assert set(sundays) <= set(days)
    ends = [date(2025, month + 1, 1) - DAY for month in range(6, 12)] + [date(2025, 12, 31)]
    ends += [date(2026, month + 1, 1) - DAY for month in range(1, 5)]
    assert set(ends) <= set(days)
    assert len(days) == 7 + 3 + 11  # a Sunday is among the seven days


def test_those_from_before_a_migration_have_their_own_turn() -> None:
    every = [Backup(Path(f"{n}"), NOON + n * DAY, f"{n:04}") for n in range(5)]
    daily = [Backup(Path(f"d{n}"), NOON + n * 400 * DAY, None) for n in range(30)]
    assert {each.before for each in kept(every + daily) if each.before} == {"0002", "0003", "0004"}


@pytest.mark.long
def test_old_ones_go_and_other_files_stay(filled: Store, tmp_path: Path) -> None:
    folder = tmp_path / "backups"
    folder.mkdir()
    (folder / "notes.txt").write_text("mine")
    (folder / "another-20200101T000000Z.sqlite3").write_text("of another store")
    for n in range(40):
        back_up(filled, NOON + n * DAY)
    names = {each.name for each in folder.iterdir()}
    assert {"notes.txt", "another-20200101T000000Z.sqlite3"} <= names
    assert 10 <= len(names) - 2 <= 15


def test_one_that_fails_is_told_until_one_succeeds(filled: Store, tmp_path: Path) -> None:
    now = [NOON]
    desk = ExchangeDesk(filled, lambda: now[0])
    (tmp_path / "backups").write_text("in the way")
    desk.back_up()
    assert desk.trouble.startswith(f"no backup could be made in {tmp_path}/backups: ")
    assert desk.checked().last_backup is None
    (tmp_path / "backups").unlink()
    now[0] += timedelta(hours=1)
    desk.back_up()
    assert desk.trouble == ""
    assert desk.checked().last_backup == now[0]


def test_a_copy_that_is_not_whole_is_no_backup(
    filled: Store, monkeypatch: pytest.MonkeyPatch
) -> None:
    real = sqlite3.connect

    class Spoiled(sqlite3.Connection):
        def execute(self, statement: str, *rest: object) -> sqlite3.Cursor:
            if "integrity_check" in statement:
                statement = "SELECT 'a page is missing'"
            return super().execute(statement, *rest)  # type: ignore[arg-type]

    monkeypatch.setattr(sqlite3, "connect", lambda *a, **k: real(*a, factory=Spoiled, **k))
    with pytest.raises(BackupError, match="the copy is not whole"):
        back_up(filled, NOON)
    assert list(backup.folder_of(filled.address).iterdir()) == []


def test_a_store_is_copied_before_it_is_migrated(tmp_path: Path) -> None:
    path = tmp_path / "old.sqlite3"
    shutil.copy(STORES / "0001.sqlite3", path)
    for _ in range(2):
        open_store(f"sqlite:///{path}").close()
    (made,) = backups(f"sqlite:///{path}")
    assert made.before == REVISION
    with closing(sqlite3.connect(made.path)) as copy:
        assert copy.execute("SELECT version_num FROM alembic_version").fetchall() == [("0001",)]
        assert copy.execute("SELECT count(*) FROM entry").fetchone() == (3,)
    with open_store(f"sqlite:///{made.path}") as again:
        assert len(again.entries("k1")) == 3


def test_a_store_that_cannot_be_copied_is_not_migrated(tmp_path: Path) -> None:
    path = tmp_path / "old.sqlite3"
    shutil.copy(STORES / "0001.sqlite3", path)
    (tmp_path / "backups").write_text("in the way")
    with pytest.raises(BackupError):
        open_store(f"sqlite:///{path}")
    with closing(sqlite3.connect(path)) as store:
        assert store.execute("SELECT version_num FROM alembic_version").fetchall() == [("0001",)]
    (tmp_path / "backups").unlink()
    open_store(f"sqlite:///{path}").close()


@pytest.mark.postgresql
def test_postgresql_is_copied_before_it_is_migrated_and_can_be_put_back(
    postgresql: PostgreSQL, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path))
    url = postgresql.new_database(bare=True)
    made_at_0001(url)
    with open_store(url) as store:
        (made,) = backups(url)
        right = store.entries("k1")
    empty = postgresql.new_database()
    with open_store(empty) as again, ZipFile(made.path) as archive:
        for table in ("kitchen", "formula", "entry"):  # what there was at 0001
            content = archive.read(f"{table}.csv")
            columns = content.partition(b"\n")[0].decode()
            with again.writing("") as connection:
                raw: Any = connection.connection
                copy = f"COPY {table} ({columns}) FROM STDIN (FORMAT csv, HEADER)"
                with raw.cursor() as cursor, cursor.copy(copy) as rows:
                    rows.write(content)
        assert again.entries("k1") == right
        with again.reading() as connection:
            assert connection.execute(text("SELECT count(*) FROM formula")).scalar() == 2
