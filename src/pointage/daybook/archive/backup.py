"""Backups that make themselves: of SQLite a copy, of PostgreSQL an archive, each checked when made.

A copy is at its name only when it is whole. What it was made for stands in the name:

    backups/daybook-20261125T120000Z.sqlite3
    backups/daybook-20261125T120000Z-before-0003.sqlite3

Kept are the last of each of 7 days, 5 weeks and 12 months that have one, and the last 3 of those
from before a migration. Common practice, no source.
"""

from __future__ import annotations

import os
import re
import sqlite3
from collections.abc import Callable, Iterable
from contextlib import closing, suppress
from dataclasses import dataclass
from datetime import UTC, datetime
from hashlib import sha256
from pathlib import Path
from typing import Any
from urllib.parse import quote
from uuid import uuid4
from zipfile import ZIP_DEFLATED, ZipFile

from sqlalchemy import URL, Connection, inspect, make_url

from pointage.daybook.archive.archive import ArchiveReader
from pointage.daybook.archive.export import export_to
from pointage.daybook.errors import BackupError
from pointage.daybook.store.database import Database
from pointage.daybook.whereabouts import data_folder
from pointage.errors import PointageError
from pointage.language import say

DAYS, WEEKS, MONTHS, MIGRATIONS = 7, 5, 12, 3
NAME = re.compile(r"(?P<stem>.+)-(?P<at>\d{8}T\d{6}Z)(-before-(?P<before>\w+))?\.(sqlite3|zip)")
INSTANT = "%Y%m%dT%H%M%SZ"


@dataclass(frozen=True, slots=True)
class Backup:
    """A backup that was whole when it was made. before: the migration it was made for, or None."""

    path: Path
    made: datetime
    before: str | None


def folder_of(url: str | URL) -> Path:
    """Where the backups of a store are: beside an SQLite file, else in the user's data folder."""
    parsed = make_url(url)
    if parsed.get_backend_name() == "sqlite":
        return Path(parsed.database or "").absolute().parent / "backups"
    return data_folder() / "backups"


def stem_of(url: str | URL) -> str:
    """With what the names of a store's backups begin."""
    parsed = make_url(url)
    if parsed.get_backend_name() == "sqlite":
        return Path(parsed.database or "").stem
    # One folder may have those of several databases, whose addresses make no names of files.
    shown = f"{parsed.host}:{parsed.port}/{parsed.database}?{sorted(parsed.query.items())}"
    name = re.sub(r"[^A-Za-z0-9_]+", "-", parsed.database or "postgresql")
    return f"{name}-{sha256(shown.encode()).hexdigest()[:8]}"


def backups(url: str | URL) -> list[Backup]:
    """The backups of the store at `url`, the oldest first."""
    folder, stem = folder_of(url), stem_of(url)
    found = []
    for path in folder.glob("*") if folder.is_dir() else ():
        match = NAME.fullmatch(path.name)
        if match and match["stem"] == stem:
            made = datetime.strptime(match["at"], INSTANT).replace(tzinfo=UTC)
            found.append(Backup(path, made, match["before"]))
    return sorted(found, key=lambda backup: (backup.made, backup.path.name))


def back_up(store: Database, now: datetime) -> Backup:
    """Make a backup, and let go of those that are no longer to be kept. Raises BackupError."""
    url = store.address
    made = _made(
        url,
        now,
        None,
        lambda part: _copy(url, part) if _is_file(url) else _archive(store, part, now),
    )
    for each in set(backups(url)) - kept(backups(url)):
        each.path.unlink(missing_ok=True)
    return made


def back_up_before(connection: Connection, migration: str, now: datetime) -> Backup:
    """Copy a store that is about to be migrated, by whoever has locked it. Raises BackupError.

    An archive holds the tables of today, which are not there yet; so of PostgreSQL each table
    is written as CSV by its own COPY command, which can put it back.
    """
    url = connection.engine.url
    return _made(
        url,
        now,
        migration,
        lambda part: _copy(url, part) if _is_file(url) else _tables(connection, part),
    )


def is_due(url: str | URL, now: datetime) -> bool:
    """Whether today, by UTC, has no backup yet."""
    today = now.astimezone(UTC).date()
    return not any(each.made.date() == today for each in backups(url) if each.before is None)


def kept(every: Iterable[Backup]) -> set[Backup]:
    """Those that are to stay."""
    found = sorted(every, key=lambda backup: backup.made)
    stay = set([each for each in found if each.before is not None][-MIGRATIONS:])
    spans: list[tuple[int, Callable[[datetime], object]]] = [
        (DAYS, lambda at: at.date()),
        (WEEKS, lambda at: at.isocalendar()[:2]),
        (MONTHS, lambda at: (at.year, at.month)),
    ]
    for number, span in spans:
        last = {span(each.made): each for each in found if each.before is None}
        stay |= set(list(last.values())[-number:])
    return stay


def _is_file(url: URL) -> bool:
    return url.get_backend_name() == "sqlite"


def _made(url: URL, now: datetime, before: str | None, make: Callable[[Path], None]) -> Backup:
    folder = folder_of(url)
    purpose = f"-before-{before}" if before else ""
    ending = "sqlite3" if _is_file(url) else "zip"
    at = now.astimezone(UTC).replace(microsecond=0)
    path = folder / f"{stem_of(url)}-{at.strftime(INSTANT)}{purpose}.{ending}"
    part = folder / f".{uuid4().hex}.part"
    try:
        folder.mkdir(mode=0o700, parents=True, exist_ok=True)
        make(part)
        part.chmod(0o600)
        part.replace(path)
    except (OSError, sqlite3.Error, PointageError) as error:
        reason = getattr(error, "strerror", None) or str(error)
        raise BackupError(folder, reason) from error
    finally:
        with suppress(OSError):
            part.unlink(missing_ok=True)
    return Backup(path, at, before)


def _copy(url: URL, part: Path) -> None:
    """Copy a database that may be in use, and look through the copy."""
    with (
        closing(sqlite3.connect(f"file:{_quoted(url)}?mode=ro", uri=True)) as source,
        closing(sqlite3.connect(part)) as copy,
    ):
        source.backup(copy)
        copy.execute("PRAGMA journal_mode = DELETE")  # one file, and nothing beside it
        reported = [line for (line,) in copy.execute("PRAGMA integrity_check")]
    if reported != ["ok"]:
        raise sqlite3.DatabaseError(say("the copy is not whole ({reason})", reason=reported[0]))
    with part.open("rb") as file:
        os.fsync(file.fileno())


def _archive(store: Database, part: Path, now: datetime) -> None:
    export_to(store, part, now)
    with ArchiveReader(part) as archive:
        archive.verify()


def _tables(connection: Connection, part: Path) -> None:
    raw: Any = connection.connection
    with ZipFile(part, "w", ZIP_DEFLATED) as archive:
        for name in sorted(inspect(connection).get_table_names()):
            with (
                archive.open(f"{name}.csv", "w", force_zip64=True) as member,
                raw.cursor() as cursor,
                cursor.copy(f"COPY {name} TO STDOUT (FORMAT csv, HEADER)") as rows,
            ):
                for row in rows:
                    member.write(row)
    with ZipFile(part) as archive:
        damaged = archive.testzip()
    if damaged is not None:
        raise OSError(say("the copy of {damaged} is not whole", damaged=damaged))


def _quoted(url: URL) -> str:
    return quote(str(Path(url.database or "").absolute()))
