"""A store with one of everything, what it holds as plain data, and archives that are damaged."""

from __future__ import annotations

import json
from collections.abc import Callable, Mapping
from datetime import UTC, datetime, timedelta
from hashlib import sha256
from pathlib import Path
from typing import Any
from uuid import UUID
from zipfile import ZIP_DEFLATED, ZipFile

from sqlalchemy import select

from pointage.daybook.archive.export import export_to
from pointage.daybook.entry import Entry, EntryKind, KitchenRecord
from pointage.daybook.store import tables
from pointage.daybook.store.sensors import Sensor, SensorKind
from pointage.daybook.store.store import Store

NOON = datetime(2026, 11, 25, 12, tzinfo=UTC)
JPEG = b"\xff\xd8\xff\xe0 a loaf \xff\xd9"
PNG = b"\x89PNG\r\n\x1a\n a jar"
HALL = Sensor(str(UUID(int=101)), "k1", "By the tubs", SensorKind.TEMPERATURE, "Hall")
RULER = Sensor(str(UUID(int=102)), "k1", "Ruler", SensorKind.HEIGHT, "Hall")
TOKEN = sha256(b"a token").hexdigest()


def entry(number: int, kind: EntryKind, body: Mapping[str, Any]) -> Entry:
    return Entry(
        str(UUID(int=number)),
        "k1",
        kind,
        NOON + number * timedelta(minutes=1, microseconds=number),
        NOON + number * timedelta(minutes=2),
        "Orla",
        body,
    )


def fill(store: Store) -> None:
    """One of everything, and what is awkward: quotes, other scripts, long and tiny numbers."""
    store.put_kitchen(KitchenRecord("k1", "Skerry Hall", "Europe/Dublin", 'name = "Hall"\n'))
    greeting = KitchenRecord("k1", "Skerry Hall", "Europe/Dublin", "# Tá fáilte\r\n")
    store.put_kitchen(greeting, NOON, after=1)
    store.put_formula("k1", "harbour-loaf", "one\n")
    store.put_formula("k1", "harbour-loaf", "", NOON, after=1)
    store.put_formula("k1", "Séan's rye/50 %", "rye = 100\n")
    store.put_formula("k1", "harbour-Loaf", "another")
    for content in (JPEG, PNG):
        store.put_photo("k1", content)
    told: list[tuple[EntryKind, dict[str, Any]]] = [
        (EntryKind.NOTE, {"text": 'said "it is\nripe" \\ 🍞 \u2028'}),
        (EntryKind.MEASURED, {"rise": 1.6, "temperature_c": 24.0}),
        (EntryKind.MEASURED, {"ph": 0.1 + 0.2 + 3.5}),
        (EntryKind.PLAN, {"z": 1, "a": [None, True, 5e-324, 10**30], "": {}}),
        (EntryKind.PHOTO, {"sha256": sha256(JPEG).hexdigest()}),
        (EntryKind.WITHDRAWN, {"entry": str(UUID(int=1)), "why": "a slip"}),
    ]
    for number, (kind, body) in enumerate(told, start=1):
        store.append(entry(number, kind, body))
    store.put_sensor(HALL, TOKEN)
    store.put_sensor(RULER)
    rows = [(NOON + i * timedelta(seconds=61), 15 + i / 7) for i in range(300)]
    store.append_samples(HALL, rows)


def records(store: Store) -> dict[str, Any]:
    """Every record of a store, from its tables; not the counts and tokens that are its own."""
    found: dict[str, Any] = {}
    with store.reading() as connection:
        sensors = {row.number: row.id for row in connection.execute(select(tables.sensor))}
        for table in tables.metadata.sorted_tables:
            rows = []
            for row in connection.execute(select(table)):
                told = dict(row._mapping)
                for own in ("number", "changes", "token_sha256"):
                    told.pop(own, None)
                if table.name in {"sample", "rollup"}:
                    told["sensor"] = sensors[told["sensor"]]
                if "body" in told:
                    told["body"] = json.dumps(told["body"])  # with the order of its keys
                if "total" in told:
                    told["total"] = round(told["total"], 6)  # databases add in their own order
                rows.append(told)
            found[table.name] = sorted(rows, key=repr)
    return found


def exported(store: Store, path: Path) -> Path:
    export_to(store, path, NOON, replace=True)
    return path


def rewritten(
    path: Path,
    change: Mapping[str, Callable[[bytes], bytes | None]],
    add: Mapping[str, bytes] | None = None,
    honest: bool = True,
) -> Path:
    """The archive with members changed, or taken out by None, and added.

    honest: its manifest tells of the change, as one that was made on purpose would.
    """
    with ZipFile(path) as archive:
        members = {name: archive.read(name) for name in archive.namelist()}
    manifest = json.loads(members.pop("manifest.json"))
    for name, changed in change.items():
        if name != "manifest.json":
            content = changed(members.pop(name))
            if content is not None:
                members[name] = content
    members |= add or {}
    if honest:
        manifest["members"] = [
            {"path": name, "size": len(content), "sha256": sha256(content).hexdigest()}
            for name, content in members.items()
        ]
    told: bytes | None = json.dumps(manifest).encode()
    if "manifest.json" in change:
        told = change["manifest.json"](told or b"")
    with ZipFile(path, "w", ZIP_DEFLATED) as archive:
        for name, content in members.items():
            archive.writestr(name, content)
        if told is not None:
            archive.writestr("manifest.json", told)
    return path
