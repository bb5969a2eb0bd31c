"""Look whether a store is whole: the database's own check, and whether its records agree.

Nothing is changed and nothing mended. Each trouble is one line that names its record.
"""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Iterator, Mapping
from hashlib import sha256
from math import isclose
from typing import Any

from sqlalchemy import Connection, func, select, text
from sqlalchemy.exc import StatementError

from pointage.daybook.archive.manifest import ArchiveCounts, counted
from pointage.daybook.entry import Entry, EntryKind
from pointage.daybook.errors import StoreError
from pointage.daybook.photograph import media_type
from pointage.daybook.store import tables
from pointage.daybook.store.database import Database
from pointage.daybook.store.summing import DAY_MS, HOUR_MS
from pointage.errors import InputError
from pointage.language import mark, say, say_many

AT_ONCE = 500
NO_PHOTOGRAPH = mark("no photograph")
LOST = mark("its photograph is not in the store")
SHA256 = re.compile("[0-9a-f]{64}")
UNREADABLE = (InputError, StatementError, ValueError, TypeError)
"""What is raised by a row that cannot be made a record."""

Sums = dict[int, tuple[int, float, float, float]]


def troubles(store: Database) -> Iterator[str]:
    """Every trouble that is found, one line each. A store that cannot be read is one too."""
    for look in (_database, _kitchens, _entries, _photos, _roll_ups):
        try:
            with store.reading() as connection:
                yield from look(connection)
        except StoreError as error:
            yield error.reason


def lost_photos(store: Database) -> dict[str, str]:
    """The SHA-256 of each photograph that an entry names and the store has not, by entry."""
    table = tables.entry
    query = select(table.c.id, table.c.kitchen, table.c.body).where(table.c.kind == "photo")
    with store.reading() as connection:
        there = {tuple(row) for row in connection.execute(select(*_photo_key()))}
        found = {row.id: (row.kitchen, _named(row.body)) for row in connection.execute(query)}
    return {name: key[1] for name, key in found.items() if key[1] and key not in there}


def counts(store: Database) -> ArchiveCounts:
    """How many records of each sort there are. Raises StoreError."""
    formula, texts = tables.formula.c, tables.kitchen_text
    slugs = select(formula.kitchen, formula.slug).distinct().subquery()
    of = {
        "kitchens": tables.kitchen,
        "kitchen_texts": texts,
        "formulas": slugs,
        "formula_texts": tables.formula,
        "entries": tables.entry,
        "photos": tables.photo,
        "sensors": tables.sensor,
        "samples": tables.sample,
    }
    with store.reading() as connection:
        return counted(
            {
                name: connection.execute(select(func.count()).select_from(table)).scalar_one()
                for name, table in of.items()
            }
        )


def _database(connection: Connection) -> Iterator[str]:
    """SQLite looks through its pages and its links. PostgreSQL has its own guard of both."""
    if connection.dialect.name != "sqlite":
        return
    for (line,) in connection.execute(text("PRAGMA integrity_check")):
        if line != "ok":
            yield say("the database: {line}", line=line)
    for table, row, parent, _ in connection.execute(text("PRAGMA foreign_key_check")):
        yield say(
            "the database: {table} {row} belongs to no {parent}",
            table=table,
            row=row or "",
            parent=parent,
        )


def _kitchens(connection: Connection) -> Iterator[str]:
    texts = defaultdict(list)
    table = tables.kitchen_text
    for row in connection.execute(select(table).order_by(table.c.kitchen, table.c.revision)):
        texts[row.kitchen].append(row)
    for kitchen in connection.execute(select(tables.kitchen)):
        rows = texts[kitchen.id]
        if [row.revision for row in rows] != list(range(1, len(rows) + 1)):
            yield say("kitchen {name!r}: its revisions have a gap", name=kitchen.name)
        if not rows or rows[-1].text != kitchen.text:
            yield say("kitchen {name!r}: its text is not its last revision", name=kitchen.name)
    formulas = defaultdict(list)
    for row in connection.execute(select(tables.formula)):
        formulas[row.kitchen, row.slug].append(row.revision)
    for (_, slug), revisions in formulas.items():
        if sorted(revisions) != list(range(1, len(revisions) + 1)):
            yield say("formula {slug!r}: its revisions have a gap", slug=slug)


def _entries(connection: Connection) -> Iterator[str]:
    ids = connection.execute(select(tables.entry.c.id)).scalars().all()
    photos = {tuple(row) for row in connection.execute(select(*_photo_key()))}
    for start in range(0, len(ids), AT_ONCE):
        part = ids[start : start + AT_ONCE]
        try:
            found = _read(connection, part)
        except UNREADABLE:  # one of them; each is asked for alone
            found = []
            for each in part:
                try:
                    found += _read(connection, [each])
                except UNREADABLE as error:
                    yield say(
                        "entry {each}: it cannot be read ({error})", each=each, error=_short(error)
                    )
        for entry in found:
            named = _named(entry.body) if entry.kind is EntryKind.PHOTO else ""
            if named and (entry.kitchen, named) not in photos:
                yield say("entry {id}: {fault}", id=entry.id, fault=say(LOST))


def _read(connection: Connection, ids: Any) -> list[Entry]:
    table = tables.entry
    rows = connection.execute(select(table).where(table.c.id.in_(ids))).all()
    return [Entry(**(dict(row._mapping) | {"kind": EntryKind(row.kind)})) for row in rows]


def _photos(connection: Connection) -> Iterator[str]:
    table = tables.photo
    for kitchen, name in connection.execute(select(*_photo_key())).all():
        here = (table.c.kitchen == kitchen, table.c.sha256 == name)
        row = connection.execute(select(table).where(*here)).one()
        try:
            media = media_type(row.content)
        except InputError:
            media = NO_PHOTOGRAPH
        if sha256(row.content).hexdigest() != name:
            yield say("photograph {name}: its content has another hash", name=name)
        elif (media, len(row.content)) != (row.media_type, row.size):
            yield say(
                "photograph {name}: it is {media} of {size} bytes",
                name=name,
                media=say(media),
                size=len(row.content),
            )


def _named(body: Any) -> str:
    """The photograph that a body names; what is no name at all is set aside, and no damage."""
    named = body.get("sha256") if isinstance(body, Mapping) else None
    return named if isinstance(named, str) and SHA256.fullmatch(named) else ""


def _photo_key() -> tuple[Any, Any]:
    return tables.photo.c.kitchen, tables.photo.c.sha256


_WRONG_HOURS = mark("sensor {name!r}: {n} hours are not what its samples sum to")
_WRONG_DAYS = mark("sensor {name!r}: {n} days are not what its samples sum to")


def _roll_ups(connection: Connection) -> Iterator[str]:
    for sensor in connection.execute(select(tables.sensor)).all():
        hours = _hours_of_samples(connection, sensor.number)
        days: Sums = {}
        for start, (n, total, least, most) in hours.items():
            day = start // DAY_MS * DAY_MS
            before = days.get(day, (0, 0.0, least, most))
            days[day] = (
                before[0] + n,
                before[1] + total,
                min(before[2], least),
                max(before[3], most),
            )
        for wrong_ones, span, right in (
            (_WRONG_HOURS, HOUR_MS, hours),
            (_WRONG_DAYS, DAY_MS, days),
        ):
            kept = _kept(connection, sensor.number, span)
            wrong = [
                start
                for start in sorted(kept.keys() | right.keys())
                if not _same(kept.get(start), right.get(start))
            ]
            if wrong:
                yield say_many(wrong_ones, wrong_ones, len(wrong), name=sensor.name)


def _hours_of_samples(connection: Connection, sensor: int) -> Sums:
    """What the hours come to, calculated from the samples by a query of its own."""
    query = text(
        "SELECT hour, count(*), sum(value), min(value), max(value) FROM "
        "(SELECT at_ms - at_ms % :span AS hour, value FROM sample WHERE sensor = :sensor) AS each "
        "GROUP BY hour"
    )
    rows = connection.execute(query, {"span": HOUR_MS, "sensor": sensor})
    return {start: (n, total, least, most) for start, n, total, least, most in rows}


def _kept(connection: Connection, sensor: int, span: int) -> Sums:
    c = tables.rollup.c
    query = select(c.from_ms, c.n, c.total, c.least, c.most)
    rows = connection.execute(query.where(c.sensor == sensor, c.span_ms == span))
    return {start: (n, total, least, most) for start, n, total, least, most in rows}


def _same(one: tuple[float, ...] | None, other: tuple[float, ...] | None) -> bool:
    """Whether they are equal, but for the order in which a total was added up."""
    if one is None or other is None:
        return one is other
    exact = (one[0], *one[2:]) == (other[0], *other[2:])
    size = max(abs(one[2]), abs(one[3]), 1.0) * one[0]
    return exact and isclose(one[1], other[1], rel_tol=0.0, abs_tol=1e-9 * size)


def _short(error: Exception) -> str:
    cause = error.orig if isinstance(error, StatementError) and error.orig else error
    return " ".join(str(cause).split())[:120]
