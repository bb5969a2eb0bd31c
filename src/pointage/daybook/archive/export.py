"""Write everything that a store holds as one archive; its form is in docs/archive.md.

All of it is read in one transaction, so that it is the store of one moment; and nothing long is
held in memory. No secret is written: a sensor has lost its token when it comes back.
"""

from __future__ import annotations

import os
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from datetime import datetime
from pathlib import Path
from string import ascii_uppercase
from typing import IO, Any
from urllib.parse import quote
from uuid import uuid4

from sqlalchemy import Column, Connection, Select, func, select

from pointage import __version__, data
from pointage.daybook.archive import manifest as m
from pointage.daybook.archive.archive import ArchiveWriter
from pointage.daybook.errors import StoreError
from pointage.daybook.store import tables
from pointage.daybook.store.database import Database
from pointage.errors import InputError
from pointage.language import say

AT_ONCE = 10_000
"""Rows that are fetched together."""

HEADING = b"at_ms,value\n"


def export_to(
    store: Database, path: Path, made: datetime, replace: bool = False, field: str = "PATH"
) -> m.ArchiveCounts:
    """Write the archive of a store to `path`, which has it whole or not at all.

    replace: whether a file that exists may go. Raises InputError naming `field` for a path that
    cannot be used and for a disk that is full, StoreError.
    """
    with whole(path, replace, field) as file:
        return write(store, file, made)


def write(store: Database, file: IO[bytes], made: datetime) -> m.ArchiveCounts:
    """Write the archive of a store into an open file. Raises StoreError, OSError."""
    archive = ArchiveWriter(file)
    try:
        for name in (*m.SCHEMAS, *m.BODY_SCHEMAS):
            archive.add(f"schema/{name}.json", data.schema(name))
        with store.reading() as connection:
            counts = m.ArchiveCounts(
                **_kitchens(archive, connection),
                **_formulas(archive, connection),
                **_photos(archive, connection),
                **_sensors(archive, connection),
                **_entries(archive, connection),
            )
        archive.finish(_manifest(archive, counts, made))
    except (ValueError, TypeError, KeyError) as error:
        archive.abandon()
        raise StoreError(
            store.url, say("a record cannot be read ({error}); see check", error=error)
        ) from error
    except BaseException:
        archive.abandon()
        raise
    return counts


def _manifest(archive: ArchiveWriter, counts: m.ArchiveCounts, made: datetime) -> bytes:
    manifest = m.Manifest(
        format="pointage-archive",
        version=m.VERSION,
        program=__version__,
        made=made,
        counts=counts,
        members=tuple(archive.members),
    )
    return m.json_text(manifest.model_dump(mode="json")) + b"\n"


def _kitchens(archive: ArchiveWriter, connection: Connection) -> dict[str, int]:
    table = tables.kitchen_text
    rows = list(connection.execute(select(table)))
    last = {row.kitchen: 0 for row in rows}
    for row in rows:
        last[row.kitchen] = max(last[row.kitchen], row.revision)
    lines = []
    for row in sorted(rows, key=lambda row: (row.kitchen, row.revision)):
        now = row.revision == last[row.kitchen]
        name = "kitchen" if now else f"earlier/{row.revision}"
        line = m.KitchenLine(
            kitchen=row.kitchen,
            revision=row.revision,
            name=row.name,
            zone=row.zone,
            kept=row.kept,
            file=f"kitchens/{_part(row.kitchen)}/{name}.toml",
        )
        archive.add(line.file, row.text.encode())
        lines.append(line)
    archive.add("kitchens.jsonl", b"".join(map(m.line_text, lines)))
    return {"kitchens": len(last), "kitchen_texts": len(lines)}


def _formulas(archive: ArchiveWriter, connection: Connection) -> dict[str, int]:
    rows = connection.execute(select(tables.formula))
    lines = []
    for row in sorted(rows, key=lambda row: (row.kitchen, row.slug, row.revision)):
        folder = f"kitchens/{_part(row.kitchen)}/formulas/{_part(row.slug)}"
        line = m.FormulaLine(
            kitchen=row.kitchen,
            slug=row.slug,
            revision=row.revision,
            kept=row.kept,
            file=f"{folder}/{row.revision}.toml",
        )
        archive.add(line.file, row.text.encode())
        lines.append(line)
    archive.add("formulas.jsonl", b"".join(map(m.line_text, lines)))
    formulas = {(line.kitchen, line.slug) for line in lines}
    return {"formulas": len(formulas), "formula_texts": len(lines)}


def _photos(archive: ArchiveWriter, connection: Connection) -> dict[str, int]:
    table = tables.photo
    rows = connection.execute(select(table.c.sha256, table.c.kitchen, table.c.media_type))
    lines = []
    written = set()
    for row in sorted(rows.all(), key=tuple):
        line = m.PhotoLine(
            kitchen=row.kitchen,
            sha256=row.sha256,
            media_type=row.media_type,
            file=f"photos/{row.sha256}.{m.EXTENSIONS[row.media_type]}",
        )
        if line.file not in written:  # two kitchens may have the same one
            here = (table.c.kitchen == row.kitchen, table.c.sha256 == row.sha256)
            archive.add(
                line.file, connection.execute(select(table.c.content).where(*here)).scalar_one()
            )
            written.add(line.file)
        lines.append(line)
    archive.add("photos.jsonl", b"".join(map(m.line_text, lines)))
    return {"photos": len(lines)}


def _sensors(archive: ArchiveWriter, connection: Connection) -> dict[str, int]:
    lines = []
    for row in sorted(connection.execute(select(tables.sensor)).all(), key=lambda row: row.id):
        path = f"samples/{_part(row.id)}.csv"
        line = m.SensorLine(
            id=row.id,
            kitchen=row.kitchen,
            name=row.name,
            kind=row.kind,
            place=row.place,
            samples=_samples(archive, connection, row.number, path),
            file=path,
        )
        lines.append(line)
    archive.add("sensors.jsonl", b"".join(map(m.line_text, lines)))
    return {"sensors": len(lines), "samples": sum(line.samples for line in lines)}


def _samples(archive: ArchiveWriter, connection: Connection, sensor: int, path: str) -> int:
    table = tables.sample
    query = select(table.c.at_ms, table.c.value).where(table.c.sensor == sensor)
    count = 0
    with archive.growing(path) as write_piece:
        write_piece(HEADING)
        for rows in _parts(connection, query.order_by(table.c.at_ms)):
            write_piece("".join([f"{at},{value!r}\n" for at, value in rows]).encode())
            count += len(rows)
    return count


def _entries(archive: ArchiveWriter, connection: Connection) -> dict[str, int]:
    columns = tables.entry.c
    # As places and not as they are: a restored store, whose changes count anew, gives the same.
    number = func.dense_rank().over(partition_by=columns.kitchen, order_by=columns.number)
    said = [columns[name] for name in m.EntryLine.model_fields if name != "number"]
    query = select(*said, number.label("number")).order_by(
        _by_bytes(connection, columns.kitchen),
        columns.happened,
        columns.arrived,
        _by_bytes(connection, columns.id),
    )
    count = 0
    with archive.growing("entries.jsonl") as write_piece:
        for rows in _parts(connection, query):
            for row in rows:
                found_row = dict(row._mapping)
                for name in ("happened", "arrived"):
                    found_row[name] = m.instant_text(found_row[name])
                write_piece(m.json_text(found_row) + b"\n")
            count += len(rows)
    return {"entries": count}


def _parts(connection: Connection, query: Select[Any]) -> Iterator[list[Any]]:
    """The rows of a query, so many at a time, without having them all in memory."""
    rows = connection.execute(query, execution_options={"yield_per": AT_ONCE})
    for part in rows.partitions():
        yield list(part)


def _by_bytes(connection: Connection, column: Column[str]) -> Any:
    """In the order of its bytes, whatever language the database sorts by."""
    return column if connection.dialect.name == "sqlite" else column.collate("C")


def _part(name: str) -> str:
    """A name as a part of a path: small letters, digits and a few marks; all else by its code.

    So no two names differ by capitals alone, which some disks hold for the same.
    """
    quoted = "".join(f"%{ord(c):02X}" if c in ascii_uppercase else quote(c, safe="") for c in name)
    return quoted.replace(".", "%2E") if set(name) <= {"."} else quoted


@contextmanager
def whole(path: Path, replace: bool, field: str) -> Iterator[IO[bytes]]:
    """A file to be written, which is at `path` only when all of it is on the disk."""
    if "\0" in str(path):
        raise InputError(field, repr(str(path)), say("a valid file name"))
    part = path.parent / f".{uuid4().hex}.part"
    try:
        if path.is_dir():
            raise InputError(field, path, say("a file, not a folder"))
        if path.exists() and not replace:
            raise InputError(field, path, say("a name that is not taken, or --replace"))
        with part.open("xb") as file:
            yield file
            file.flush()
            os.fsync(file.fileno())
        part.replace(path)
    except OSError as error:
        reason = error.strerror or str(error)
        raise InputError(
            field, path, say("a place that can be written to ({reason})", reason=reason)
        ) from None
    finally:
        with suppress(OSError):
            part.unlink(missing_ok=True)
