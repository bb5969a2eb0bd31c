"""A store of every version opens for ever, with every record it had.

`stores/` has a SQLite file as each version left it. On PostgreSQL the old migration makes the store
here, and the rows are written in plain SQL, so that no code of today has a hand in them.
"""

from __future__ import annotations

import json
import shutil
from datetime import UTC, datetime
from pathlib import Path

import pytest
from alembic import command
from alembic.config import Config
from sqlalchemy import create_engine, text
from sqlalchemy.exc import DBAPIError

from pointage.daybook.entry import (
    Entry,
    EntryKind,
    FormulaRecord,
    KitchenRecord,
    KitchenText,
)
from pointage.daybook.store.opening import MIGRATIONS
from pointage.daybook.store.sensors import Sensor, SensorKind
from pointage.daybook.store.store import Store, open_store

STORES = Path(__file__).parent / "stores"
KITCHEN = KitchenRecord("k1", "Skerry Hall", "Europe/Dublin", 'name = "Skerry Hall"\n')
NOON = datetime(2026, 11, 25, 12, tzinfo=UTC)
ENTRIES = [
    Entry(
        "6f1c1c0e-6a3f-4a53-9d0a-0f2f5a3f7d11",
        "k1",
        EntryKind.READING,
        NOON,
        NOON.replace(second=1),
        "Orla",
        {"bake": "b", "step": "levain", "reading": "rise", "value": 1.6},
    ),
    Entry(
        "a9f0d1f2-5c2f-4f0e-8b57-5a2f0c9f1e22",
        "k1",
        EntryKind.DONE,
        NOON.replace(hour=13),
        NOON.replace(day=26, hour=8),
        "Finn",
        {"bake": "b", "step": "mix"},
    ),
    Entry(
        "c3b7f6f4-77a7-4a49-8f4f-2d1f4b6a9e33",
        "k1",
        EntryKind.WITHDRAWN,
        NOON.replace(hour=14),
        NOON.replace(hour=14, second=1),
        "Orla",
        {"bake": "b", "step": "mix"},
    ),
]


def made_at_0001(url: str) -> None:
    """A store as its first version made it, with the same rows as the file in `stores/`."""
    engine = create_engine(url.replace("postgresql:", "postgresql+psycopg:"))
    with engine.begin() as connection:
        config = Config()
        config.set_main_option("script_location", str(MIGRATIONS))
        config.attributes["connection"] = connection
        command.upgrade(config, "0001")
        kitchen = "INSERT INTO kitchen VALUES (:id, :name, :zone, :text)"
        connection.execute(
            text(kitchen),
            {"id": "k1", "name": "Skerry Hall", "zone": "Europe/Dublin", "text": KITCHEN.text},
        )
        for revision, words in ((1, "one"), (2, "two")):
            connection.execute(
                text("INSERT INTO formula VALUES ('k1', 'harbour-loaf', :revision, :words)"),
                {"revision": revision, "words": words},
            )
        for each in ENTRIES:
            connection.execute(
                text(
                    "INSERT INTO entry (id, kitchen, kind, happened, arrived, author, body) VALUES "
                    "(:id, 'k1', :kind, :happened, :arrived, :author, :body)"
                ),
                {
                    "id": each.id,
                    "kind": each.kind.value,
                    "happened": each.happened,
                    "arrived": each.arrived,
                    "author": each.author,
                    "body": json.dumps(each.body),
                },
            )
    engine.dispose()


@pytest.fixture
def old(url: str, tmp_path: Path) -> str:
    if not url.startswith("sqlite"):
        made_at_0001(url)
        return url
    path = tmp_path / "old.sqlite3"
    shutil.copy(STORES / "0001.sqlite3", path)
    return f"sqlite:///{path}"


def test_a_store_of_the_first_version_keeps_every_record(old: str) -> None:
    for _ in range(2):  # it is brought up to date once, and opens again
        with open_store(old) as store:
            assert store.kitchens() == [KITCHEN]
            assert store.kitchen_texts("k1") == [
                KitchenText("k1", 1, "Skerry Hall", "Europe/Dublin", KITCHEN.text, None)
            ]
            assert store.formulas("k1") == [FormulaRecord("k1", "harbour-loaf", 2, "two")]
            assert store.entries("k1") == ENTRIES


def test_it_takes_all_that_is_new(old: str) -> None:
    with open_store(old) as store:
        store.put_kitchen(KitchenRecord("k1", "A Hall", "Europe/Dublin", ""), NOON, after=1)
        assert [each.name for each in store.kitchen_texts("k1")] == ["Skerry Hall", "A Hall"]
        sensor = Sensor("s", "k1", "Tubs", SensorKind.TEMPERATURE, "Hall")
        store.put_sensor(sensor)
        assert store.append_samples(sensor, [(NOON, 18.0)]) == 1
        assert store.put_formula("k1", "harbour-loaf", "three", after=2).revision == 3


@pytest.mark.parametrize("table", ["kitchen_text", "formula", "photo", "sample"])
@pytest.mark.parametrize("verb", ["DELETE FROM {}", "UPDATE {} SET {}", "TRUNCATE {}"])
@pytest.mark.soon(6)
def test_the_database_itself_refuses_to_change_what_is_kept(
    store: Store, url: str, table: str, verb: str
) -> None:
    store.put_kitchen(KITCHEN)
    store.put_formula("k1", "harbour-loaf", "one")
    store.put_photo("k1", b"\xff\xd8\xff\xd9")
    sensor = Sensor("s", "k1", "Tubs", SensorKind.TEMPERATURE, "Hall")
    store.put_sensor(sensor)
    store.append_samples(sensor, [(NOON, 18.0)])
    column = {"photo": "size = 0", "sample": "value = 0"}.get(table, "text = ''")
    engine = create_engine(url.replace("postgresql:", "postgresql+psycopg:"))
    with (
        pytest.raises(DBAPIError, match=r"kept is kept|near .TRUNCATE."),
        engine.begin() as connection,
    ):
        connection.execute(text(verb.format(table, column)))
    engine.dispose()


def test_the_file_is_what_the_first_migration_makes(tmp_path: Path) -> None:
    url = f"sqlite:///{tmp_path}/new.sqlite3"
    made_at_0001(url)
    tables = "SELECT type, name, sql FROM sqlite_master ORDER BY type, name"
    found = []
    for each in (url, f"sqlite:///file:{STORES / '0001.sqlite3'}?mode=ro&immutable=1&uri=true"):
        engine = create_engine(each)
        with engine.connect() as connection:
            found.append(list(connection.execute(text(tables))))
        engine.dispose()
    assert found[0] == found[1]
