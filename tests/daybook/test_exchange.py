"""Everything that a store holds comes out as one archive and goes back in, into either database."""

from __future__ import annotations

import json
import tracemalloc
from collections.abc import Callable
from dataclasses import replace
from datetime import timedelta
from pathlib import Path
from uuid import UUID
from zipfile import ZipFile

import pytest
from jsonschema import Draft202012Validator
from sqlalchemy import Connection
from tests.conftest import PostgreSQL
from tests.daybook.archives import HALL, NOON, TOKEN, entry, exported, fill, records

from pointage.daybook.archive.export import export_to
from pointage.daybook.archive.manifest import ArchiveCounts, counted
from pointage.daybook.archive.merge import Places, import_from
from pointage.daybook.entry import EntryKind, KitchenRecord
from pointage.daybook.errors import MergeError
from pointage.daybook.store.store import Store, open_store
from pointage.desk.now.keeper import Keeper
from pointage.desk.records.exchange import ExchangeDesk
from pointage.errors import InputError

ALL = ArchiveCounts(
    kitchens=1,
    kitchen_texts=2,
    formulas=3,
    formula_texts=4,
    entries=6,
    photos=2,
    sensors=2,
    samples=300,
)


@pytest.fixture
def other(new_url: Callable[[], str]) -> Store:
    return open_store(new_url())


def test_it_comes_back_as_it_was(store: Store, other: Store, tmp_path: Path) -> None:
    fill(store)
    assert export_to(store, tmp_path / "a.zip", NOON) == ALL
    assert import_from(other, tmp_path / "a.zip") == (ALL, ALL)
    assert records(other) == records(store)
    assert [text.kept for text in other.kitchen_texts("k1")] == [None, NOON]
    assert other.entries("k1") == store.entries("k1")
    # and its own archive is the same to the last byte
    assert exported(other, tmp_path / "b.zip").read_bytes() == (tmp_path / "a.zip").read_bytes()


def test_an_entry_of_a_kind_not_known_here_comes_back_as_it_was_and_is_set_aside(
    store: Store, other: Store, tmp_path: Path
) -> None:
    fill(store)
    later = entry(70, EntryKind("kneaded-again"), {"rolls": [1, 2]})
    store.append(later)
    path = exported(store, tmp_path / "a.zip")
    assert import_from(other, path)[1].entries == 7
    assert records(other) == records(store)
    assert other.entry("k1", later.id) == later
    assert exported(other, tmp_path / "b.zip").read_bytes() == path.read_bytes()
    found = ExchangeDesk(other, lambda: NOON).checked()
    assert found.troubles == ()
    assert [line for line in found.set_aside if later.id in line] == [
        f"entry {later.id}: kind: 'kneaded-again' cannot be used; "
        "expected a kind of entry that this version knows"
    ]


def test_a_trial_sees_what_would_be_there_and_its_failure_undoes_all(
    store: Store, other: Store, tmp_path: Path
) -> None:
    fill(store)
    path = exported(store, tmp_path / "a.zip")
    before = records(other)

    def trial(connection: Connection, places: Places) -> None:
        assert records(other.within(connection)) == records(store)
        assert places["entry", str(UUID(int=3))] == ("entries.jsonl", 3)
        assert places["kitchen", "2"] == ("kitchens.jsonl", 2)
        raise ZeroDivisionError

    with pytest.raises(ZeroDivisionError):
        import_from(other, path, trial=trial)
    assert records(other) == before
    assert import_from(other, path) == (ALL, ALL)


def test_what_cannot_be_gone_through_is_refused_in_a_line(
    store: Store, other: Store, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    fill(store)
    path = exported(store, tmp_path / "a.zip")
    before = records(other)
    monkeypatch.setattr(Keeper, "look", lambda _: 1 / 0)
    with pytest.raises(MergeError, match="could not go through it"):
        ExchangeDesk(other, lambda: NOON).import_from(path)
    assert records(other) == before


@pytest.mark.postgresql
@pytest.mark.parametrize("there", ["sqlite", "postgresql"])
def test_it_goes_from_one_database_to_the_other(
    tmp_path: Path, postgresql: PostgreSQL, there: str
) -> None:
    urls = [f"sqlite:///{tmp_path}/daybook.sqlite3", postgresql.new_database()]
    if there == "sqlite":
        urls.reverse()
    with open_store(urls[0]) as store, open_store(urls[1]) as other:
        fill(store)
        path = exported(store, tmp_path / "a.zip")
        import_from(other, path)
        assert records(other) == records(store)
        assert exported(other, tmp_path / "b.zip").read_bytes() == path.read_bytes()


def test_the_same_store_gives_the_same_bytes_and_only_the_manifest_tells_when(
    store: Store, tmp_path: Path
) -> None:
    fill(store)
    first = exported(store, tmp_path / "a.zip").read_bytes()
    assert exported(store, tmp_path / "b.zip").read_bytes() == first
    export_to(store, tmp_path / "later.zip", NOON + timedelta(days=1))
    with ZipFile(tmp_path / "a.zip") as early, ZipFile(tmp_path / "later.zip") as late:
        differ = [name for name in early.namelist() if early.read(name) != late.read(name)]
        assert early.namelist() == late.namelist()
    assert differ == ["manifest.json"]


def test_twice_is_harmless_and_what_is_new_is_added(
    store: Store, other: Store, tmp_path: Path
) -> None:
    fill(store)
    path = exported(store, tmp_path / "a.zip")
    import_from(other, path)
    before = records(other)
    assert import_from(other, path)[1] == counted({})
    assert records(other) == before

    store.append(entry(90, EntryKind.NOTE, {"text": "later"}))
    store.put_formula("k1", "harbour-loaf", "three", after=2)
    store.put_kitchen(KitchenRecord("k1", "A new hall", "Europe/Dublin", ""), NOON, after=2)
    store.append_samples(HALL, [(NOON + timedelta(days=30), 17.5)])
    other.append(entry(80, EntryKind.NOTE, {"text": "its own"}))
    new = import_from(other, exported(store, path))[1]
    assert new == counted({"kitchen_texts": 1, "formula_texts": 1, "entries": 1, "samples": 1})
    assert other.kitchens() == store.kitchens()
    assert [each.id for each in other.entries("k1")] == [
        str(UUID(int=number)) for number in (1, 2, 3, 4, 5, 6, 80, 90)
    ]
    hours = [
        each.samples(HALL, NOON, NOON + timedelta(days=40), 40).rows for each in (store, other)
    ]
    assert hours[0] == hours[1]


def test_a_store_in_use_sees_at_once_what_came_in(
    store: Store, other: Store, tmp_path: Path
) -> None:
    fill(store)
    other.put_kitchen(KitchenRecord("k1", "Skerry Hall", "Europe/Dublin", 'name = "Hall"\n'))
    assert other.entries("k1") == []
    import_from(other, exported(store, tmp_path / "a.zip"))
    assert other.entries("k1") == store.entries("k1")


@pytest.mark.parametrize(
    ("differ", "told"),
    [
        pytest.param(
            lambda s: s.put_kitchen(KitchenRecord("k1", "Skerry Hall", "Europe/Dublin", "mine")),
            "kitchen 'Skerry Hall', text 1: the store has another one",
            id="a kitchen",
        ),
        pytest.param(
            lambda s: s.put_formula("k1", "harbour-loaf", "mine"),
            "formula 'harbour-loaf', revision 1: the store has another one",
            id="a formula",
        ),
        pytest.param(
            lambda s: s.append(entry(2, EntryKind.MEASURED, {"rise": 1.7})),
            "entry 00000000-0000-0000-0000-000000000002: the store has another one",
            id="an entry",
        ),
        pytest.param(
            lambda s: s.put_sensor(replace(HALL, id="another")),
            "sensor 'By the tubs': another one has that name",
            id="a sensor's name",
        ),
        pytest.param(
            lambda s: (
                s.put_sensor(HALL),
                s.append_samples(HALL, [(NOON + 10 * timedelta(seconds=61), 3.0)]),
            ),
            "sensor 'By the tubs', sample at 1795608610000 ms: the store has 3 there",
            id="a sample",
        ),
    ],
)
def test_a_clash_is_refused_whole(
    store: Store, other: Store, tmp_path: Path, differ: Callable[[Store], object], told: str
) -> None:
    fill(store)
    if "kitchen" not in told.partition(":")[0]:
        other.put_kitchen(KitchenRecord("k1", "Skerry Hall", "Europe/Dublin", 'name = "Hall"\n'))
    differ(other)
    before = records(other)
    with pytest.raises(MergeError) as refused:
        import_from(other, exported(store, tmp_path / "a.zip"))
    assert str(refused.value).startswith(told)
    assert str(refused.value).endswith("; nothing was imported")
    assert records(other) == before


def test_where_a_sensor_stands_and_its_token_are_the_stores_own(
    store: Store, tmp_path: Path
) -> None:
    fill(store)
    path = exported(store, tmp_path / "a.zip")
    assert TOKEN.encode() not in b"".join(members(path).values())
    moved = replace(HALL, name="By the door", place="Boiler cupboard")
    store.put_sensor(moved, TOKEN)
    import_from(store, path)
    assert store.sensor_of_token(TOKEN) == moved


def test_every_part_is_valid_by_the_schemas_inside_it(store: Store, tmp_path: Path) -> None:
    fill(store)
    found = members(exported(store, tmp_path / "a.zip"))
    lists = {"kitchens": 2, "formulas": 4, "photos": 2, "sensors": 2, "entries": 6}
    for name, count in lists.items():
        schema = json.loads(found[f"schema/{name.replace('ies', 'ys').removesuffix('s')}.json"])
        Draft202012Validator.check_schema(schema)
        lines = found[f"{name}.jsonl"].splitlines()
        assert len(lines) == count
        for line in lines:
            Draft202012Validator(schema).validate(json.loads(line))
    schema = json.loads(found["schema/manifest.json"])
    Draft202012Validator.check_schema(schema)
    Draft202012Validator(schema).validate(json.loads(found["manifest.json"]))


def members(path: Path) -> dict[str, bytes]:
    with ZipFile(path) as archive:
        return {name: archive.read(name) for name in archive.namelist()}


def test_a_file_that_is_there_stays_unless_it_may_be_replaced(store: Store, tmp_path: Path) -> None:
    fill(store)
    path = tmp_path / "a.zip"
    path.write_bytes(b"mine")
    with pytest.raises(InputError, match="a name that is not taken"):
        export_to(store, path, NOON)
    assert path.read_bytes() == b"mine"
    export_to(store, path, NOON, replace=True)
    assert len(members(path)) > 10
    for wrong in (tmp_path, tmp_path / "no folder" / "a.zip", tmp_path / ("x" * 5000)):
        with pytest.raises(InputError, match="PATH"):
            export_to(store, wrong, NOON)
    assert [each.name for each in tmp_path.iterdir() if "part" in each.name] == []


@pytest.mark.long
def test_many_samples_need_little_memory(tmp_path: Path) -> None:
    peaks = []
    for number in (50_000, 75_000):
        with open_store(f"sqlite:///{tmp_path}/{number}.sqlite3") as store:
            fill(store)
            start = 1_800_000_000_000
            store.append_series(
                HALL, range(start, start + number * 60_000, 60_000), [18.5] * number
            )
            tracemalloc.start()
            exported(store, tmp_path / "a.zip")
            with open_store(f"sqlite:///{tmp_path}/{number}-too.sqlite3") as other:
                assert import_from(other, tmp_path / "a.zip")[1].samples == number + 300
            peaks.append(tracemalloc.get_traced_memory()[1])
            tracemalloc.stop()
    assert peaks[1] < 1.2 * peaks[0]  # half as many again are no more to hold
