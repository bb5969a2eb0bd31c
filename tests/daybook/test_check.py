"""`check` finds what is broken, on both databases, and changes nothing."""

from __future__ import annotations

import sqlite3
from contextlib import closing
from pathlib import Path

import pytest
from sqlalchemy import create_engine, text
from tests.daybook.archives import NOON, entry, fill, records

from pointage.daybook import check
from pointage.daybook.archive.manifest import counted
from pointage.daybook.entry import EntryKind
from pointage.daybook.store.store import Store, open_store
from pointage.desk.records.exchange import ExchangeDesk


@pytest.fixture
def filled(store: Store) -> Store:
    fill(store)
    return store


def spoil(store: Store, statement: str) -> None:
    """Change what is kept, past the triggers, as a fault of a disk or a hand would."""
    engine = create_engine(store.address)
    with engine.begin() as connection:
        if engine.dialect.name == "sqlite":
            triggers = "SELECT name FROM sqlite_master WHERE type = 'trigger'"
            for (name,) in connection.execute(text(triggers)).all():
                connection.execute(text(f"DROP TRIGGER {name}"))
        else:
            connection.execute(text("SET session_replication_role = replica"))
        connection.execute(text(statement))
    engine.dispose()


def test_a_whole_store_has_no_trouble(filled: Store) -> None:
    before = records(filled)
    assert list(check.troubles(filled)) == []
    assert records(filled) == before
    assert check.counts(filled) == counted(
        {
            "kitchens": 1,
            "kitchen_texts": 2,
            "formulas": 3,
            "formula_texts": 4,
            "entries": 6,
            "photos": 2,
            "sensors": 2,
            "samples": 300,
        }
    )


@pytest.mark.parametrize(
    ("statement", "found"),
    [
        ("UPDATE rollup SET total = total + 0.001 WHERE span_ms = 3600000 AND from_ms = "
         "(SELECT min(from_ms) FROM rollup WHERE span_ms = 3600000)",
         "sensor 'By the tubs': 1 hours are not what"),
        ("UPDATE rollup SET most = 99 WHERE span_ms = 86400000", "sensor 'By the tubs': 1 days"),
        ("DELETE FROM rollup WHERE span_ms = 3600000", "sensor 'By the tubs': 6 hours are not"),
        ("DELETE FROM sample WHERE at_ms % 7 = 0", "sensor 'By the tubs':"),
        ("UPDATE photo SET sha256 = 'ab' WHERE media_type = 'image/png'",
         "photograph ab: its content has another hash"),
        ("UPDATE photo SET size = 3 WHERE media_type = 'image/png'", ": it is image/png of 14"),
        ("DELETE FROM photo WHERE media_type = 'image/jpeg'",
         "entry 00000000-0000-0000-0000-000000000005: its photograph is not in the store"),
        ("UPDATE kitchen SET text = 'another'",
         "kitchen 'Skerry Hall': its text is not its last revision"),
        ("DELETE FROM kitchen_text WHERE revision = 1", "'Skerry Hall': its revisions have a gap"),
        ("DELETE FROM formula WHERE slug = 'harbour-loaf' AND revision = 1",
         "formula 'harbour-loaf': its revisions have a gap"),
        ("UPDATE entry SET id = 'three' WHERE kind = 'photo'", "entry three: it cannot be read"),
    ],
)  # fmt: skip
@pytest.mark.soon(8)
def test_each_trouble_is_told(filled: Store, statement: str, found: str) -> None:
    spoil(filled, statement)
    assert any(found in line for line in check.troubles(filled))


def test_a_kind_that_nobody_knows_is_no_damage_and_is_set_aside(filled: Store) -> None:
    spoil(filled, "UPDATE entry SET kind = 'kneaded' WHERE kind = 'photo'")
    found = ExchangeDesk(filled, lambda: NOON).checked()
    assert found.troubles == ()
    name = "00000000-0000-0000-0000-000000000005"
    expected = (
        f"entry {name}: kind: 'kneaded' cannot be used; expected a kind of entry that this version"
    )
    assert next(line for line in found.set_aside if name in line).startswith(expected)


@pytest.fixture
def file(tmp_path: Path) -> Path:
    path = tmp_path / "daybook.sqlite3"
    with open_store(f"sqlite:///{path}") as store:
        fill(store)
        for number in range(100, 400):
            store.append(entry(number, EntryKind.NOTE, {"text": f"{number} " * 100}))
    return path


def test_a_body_that_is_no_json_is_told_and_the_others_are_read(file: Path) -> None:
    with open_store(f"sqlite:///{file}") as store:
        spoil(store, "UPDATE entry SET body = '{\"text' WHERE author = 'Orla' AND kind = 'photo'")
        found = list(check.troubles(store))
    assert len(found) == 1
    assert found[0].startswith("entry 00000000-0000-0000-0000-000000000005: it cannot be read (")


def test_a_link_to_nothing_is_told(file: Path) -> None:
    with closing(sqlite3.connect(file)) as connection:
        connection.execute("UPDATE sensor SET kitchen = 'k9' WHERE name = 'Ruler'")
        connection.commit()
    with open_store(f"sqlite:///{file}") as store:
        assert "the database: sensor 2 belongs to no kitchen" in list(check.troubles(store))


def test_a_page_of_the_file_that_was_overwritten_is_told(file: Path) -> None:
    with closing(sqlite3.connect(file)) as connection:
        connection.execute("PRAGMA wal_checkpoint(TRUNCATE)")
    content = bytearray(file.read_bytes())
    where = content.index(b"250 250 250") // 4096 * 4096
    content[where : where + 4096] = b"\xa5" * 4096
    file.write_bytes(content)
    with open_store(f"sqlite:///{file}") as store:
        found = list(check.troubles(store))
    assert found
    assert all("\n" not in line for line in found)
