"""What the store promises, on SQLite and on PostgreSQL alike."""

from __future__ import annotations

import threading
from collections.abc import Callable
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from typing import Any
from uuid import uuid4
from zoneinfo import ZoneInfo

import pytest
from sqlalchemy import create_engine, text
from sqlalchemy.exc import DBAPIError

from pointage.daybook.entry import (
    Entry,
    EntryKind,
    FormulaRecord,
    KitchenRecord,
)
from pointage.daybook.errors import EntryClashError, StaleRevisionError
from pointage.daybook.store.database import one_look
from pointage.daybook.store.store import Store, open_store
from pointage.errors import InputError

SKERRY = KitchenRecord("k1", "Skerry Hall", "Europe/Dublin", 'name = "Skerry Hall"\n')
NOON = datetime(2026, 11, 25, 12, tzinfo=UTC)


def reading(happened: datetime = NOON, **changes: Any) -> Entry:
    entry = Entry(
        id=str(uuid4()),
        kitchen=SKERRY.id,
        kind=EntryKind.READING,
        happened=happened,
        arrived=happened + timedelta(seconds=1),
        author="Orla",
        body={"step": "levain", "rise": 1.6},
    )
    return replace(entry, **changes)


def test_a_kitchen_comes_back_and_is_replaced_by_its_id(store: Store) -> None:
    store.put_kitchen(SKERRY)
    store.put_kitchen(KitchenRecord("k2", "Another", "UTC", ""))
    assert store.kitchens() == [KitchenRecord("k2", "Another", "UTC", ""), SKERRY]
    renamed = replace(SKERRY, name="A Hall")
    assert store.put_kitchen(renamed, after=1) == 2
    assert [each.name for each in store.kitchens()] == ["A Hall", "Another"]


def test_a_formula_keeps_its_revisions_and_shows_the_last(store: Store) -> None:
    store.put_kitchen(SKERRY)
    assert store.put_formula("k1", "harbour-loaf", "one").revision == 1
    assert store.put_formula("k1", "harbour-loaf", "two", after=1).revision == 2
    store.put_formula("k1", "a-rye", "three")
    assert store.formulas("k1") == [
        FormulaRecord("k1", "a-rye", 1, "three"),
        FormulaRecord("k1", "harbour-loaf", 2, "two"),
    ]
    assert store.formulas("k2") == []


def test_two_writers_never_take_the_same_revision(store: Store) -> None:
    store.put_kitchen(SKERRY)
    taken: list[int] = []

    def write() -> None:
        last = 0
        for _ in range(10):
            kept = None
            while kept is None:
                try:
                    kept = store.put_formula("k1", "harbour-loaf", str(uuid4()), after=last)
                except StaleRevisionError as stale:
                    last = stale.last
            taken.append(kept.revision)

    writers = [threading.Thread(target=write) for _ in range(3)]
    for each in writers:
        each.start()
    for each in writers:
        each.join()
    assert sorted(taken) == list(range(1, 31))


def test_every_record_belongs_to_a_kitchen(store: Store) -> None:
    with pytest.raises(InputError, match="kitchen: 'k1'"):
        store.append(reading())
    with pytest.raises(InputError, match="kitchen: 'k1'"):
        store.put_formula("k1", "harbour-loaf", "")


def test_entries_come_in_the_order_of_happening_then_arrival_then_id(store: Store) -> None:
    store.put_kitchen(SKERRY)
    late = reading(NOON - timedelta(hours=2), arrived=NOON + timedelta(days=1))
    first, second = sorted((reading(), reading()), key=lambda each: each.id)
    before = reading(arrived=NOON)
    for each in (second, first, before, late):
        assert store.append(each)
    assert store.entries("k1") == [late, before, first, second]
    assert store.entries("k1", since=NOON) == [before, first, second]


def test_entries_of_some_kinds_and_of_one_kitchen(store: Store) -> None:
    store.put_kitchen(SKERRY)
    store.put_kitchen(replace(SKERRY, id="k2"))
    done = reading(kind=EntryKind.DONE)
    store.append(done)
    store.append(reading())
    store.append(reading(kitchen="k2"))
    assert store.entries("k1", kinds={EntryKind.DONE, EntryKind.PLAN}) == [done]
    assert store.entries("k1", kinds=()) == []


def test_sending_twice_is_harmless(store: Store) -> None:
    store.put_kitchen(SKERRY)
    entry = reading(body={"note": "ripe, smells of apple", "grams": [1.1, None], "süß": {}})
    assert store.append(entry)
    assert not store.append(replace(entry, arrived=NOON + timedelta(days=3)))
    assert store.entries("k1") == [entry]


@pytest.mark.parametrize(
    "change",
    [
        {"body": {"step": "levain", "rise": 1.7}},
        {"kind": EntryKind.DONE},
    ],
)
def test_another_content_under_the_same_id_is_refused(store: Store, change: dict[str, Any]) -> None:
    store.put_kitchen(SKERRY)
    entry = reading()
    store.append(entry)
    with pytest.raises(EntryClashError, match=entry.id):
        store.append(replace(entry, **change))
    assert store.entries("k1") == [entry]


@pytest.mark.parametrize("change", [{"author": "Finn"}, {"happened": NOON + timedelta(hours=1)}])
def test_the_same_under_the_same_id_is_there_already_whatever_its_times(
    store: Store, change: dict[str, Any]
) -> None:
    store.put_kitchen(SKERRY)
    entry = reading()
    assert store.append(entry)
    assert not store.append(replace(entry, **change))
    assert store.entries("k1") == [entry]


def test_what_an_amendment_follows_is_no_part_of_what_it_says(store: Store) -> None:
    store.put_kitchen(SKERRY)
    entry = replace(reading(), kind=EntryKind.WITHDRAWN, body={"entry": str(uuid4())})
    assert store.append(entry)
    assert not store.append(replace(entry, body={**entry.body, "after": str(uuid4())}))
    with pytest.raises(EntryClashError):
        store.append(replace(entry, body={"entry": str(uuid4())}))
    assert store.entries("k1") == [entry]


@pytest.mark.parametrize(
    "statement",
    [
        "UPDATE entry SET author = 'someone else'",
        "DELETE FROM entry",
        "DELETE FROM kitchen",
    ],
)
def test_the_database_itself_refuses_to_change_an_entry(
    store: Store, url: str, statement: str
) -> None:
    store.put_kitchen(SKERRY)
    entry = reading()
    store.append(entry)
    with pytest.raises(DBAPIError):
        _directly(url, statement)
    assert store.entries("k1") == [entry]


def test_an_entry_is_not_replaced_or_emptied_either(store: Store, url: str) -> None:
    store.put_kitchen(SKERRY)
    entry = reading()
    store.append(entry)
    if url.startswith("sqlite"):
        _directly(
            url,
            "INSERT OR REPLACE INTO entry "
            "SELECT id, kitchen, kind, happened, arrived, 'someone else', body, number FROM entry",
        )
    else:
        with pytest.raises(DBAPIError, match="append-only"):
            _directly(url, "TRUNCATE entry")
    assert store.entries("k1") == [entry]


def _directly(url: str, statement: str) -> None:
    """As another program would, without the store's own settings."""
    engine = create_engine(url.replace("postgresql:", "postgresql+psycopg:"))
    with engine.begin() as connection:
        if url.startswith("sqlite"):
            connection.execute(text("PRAGMA foreign_keys = ON"))
        connection.execute(text(statement))
    engine.dispose()


def test_a_night_with_a_clock_change(store: Store) -> None:
    """01:30 comes twice on 25 October 2026 in Dublin; the store tells the two apart."""
    dublin = ZoneInfo("Europe/Dublin")
    store.put_kitchen(SKERRY)
    summer = reading(datetime(2026, 10, 25, 1, 30, tzinfo=dublin, fold=0))
    winter = reading(datetime(2026, 10, 25, 1, 30, tzinfo=dublin, fold=1))
    store.append(winter)
    store.append(summer)
    happened = [entry.happened for entry in store.entries("k1")]
    assert happened == [
        datetime(2026, 10, 25, 0, 30, tzinfo=UTC),
        datetime(2026, 10, 25, 1, 30, tzinfo=UTC),
    ]
    assert all(each.tzinfo is UTC for each in happened)
    assert store.entries("k1", since=datetime(2026, 10, 25, 1, tzinfo=UTC)) == [winter]


def test_what_was_written_is_there_after_opening_again(store: Store, url: str) -> None:
    store.put_kitchen(SKERRY)
    entry = reading()
    store.append(entry)
    store.close()
    with open_store(url) as again:
        assert again.kitchens() == [SKERRY]
        assert again.entries("k1") == [entry]


@pytest.mark.parametrize(
    ("change", "field"),
    [
        ({"id": "12"}, "id"),
        ({"happened": NOON.replace(tzinfo=None)}, "happened"),
        ({"body": {"rise": float("nan")}}, "body"),
        ({"body": {"rise": {1.6}}}, "body"),
        ({"body": {"note": "\ud800"}}, "body"),
    ],
)
def test_an_entry_that_cannot_be_kept_is_refused_where_it_is_made(
    change: dict[str, Any], field: str
) -> None:
    with pytest.raises(InputError) as caught:
        reading(**change)
    assert caught.value.field == f"entry, {field}"


def test_a_kitchen_keeps_every_text_it_has_had(store: Store) -> None:
    store.put_kitchen(SKERRY, NOON)
    store.put_kitchen(SKERRY, NOON + timedelta(days=1))  # nothing is new
    moved = replace(SKERRY, name="A Hall", text='name = "A Hall"\n')
    store.put_kitchen(moved, NOON + timedelta(days=2), after=1)
    store.put_kitchen(SKERRY, after=2)
    texts = store.kitchen_texts("k1")
    assert [(each.revision, each.name) for each in texts] == [
        (1, "Skerry Hall"),
        (2, "A Hall"),
        (3, "Skerry Hall"),
    ]
    assert [each.kept for each in texts] == [NOON, NOON + timedelta(days=2), None]
    assert store.kitchens() == [SKERRY]


def test_a_snapshot_has_what_is_new_and_only_that(store: Store, url: str) -> None:
    """Another process writes too; an archive brings back what arrived long ago."""
    store.put_kitchen(SKERRY)
    store.append(reading())
    first = store.snapshot("k1")
    assert first.entries == store.entries("k1")
    assert first.change == store.changes("k1")
    with open_store(url) as other:
        late = reading(NOON - timedelta(days=3), arrived=NOON - timedelta(days=400))
        other.append(late)
        other.append_all("k1", [reading(NOON), late])
        other.put_formula("k1", "loaf", "a text")
    second = store.snapshot("k1", first)
    assert len(second.entries) == 2
    assert late in second.entries
    assert [each.slug for each in second.formulas] == ["loaf"]
    assert second.change == store.changes("k1") > first.change
    third = store.snapshot("k1", second)
    assert (third.entries, third.formulas) == ([], second.formulas)


def test_every_write_is_a_change_of_its_kitchen(store: Store) -> None:
    store.put_kitchen(SKERRY)
    seen = [store.changes("k1")]
    writes: list[Callable[[], object]] = [
        lambda: store.append(reading()),
        lambda: store.put_formula("k1", "loaf", "a text"),
        lambda: store.put_photo("k1", b"\xff\xd8\xff" + bytes(20)),
        lambda: store.put_kitchen(replace(SKERRY, text="another"), after=1),
    ]
    for write in writes:
        write()
        seen.append(store.changes("k1"))
    assert seen == sorted(set(seen))
    assert store.changes("nowhere") == 0


def test_one_look_holds_until_this_store_is_written(store: Store, url: str) -> None:
    store.put_kitchen(SKERRY)
    with one_look():
        first = store.changes("k1")
        with open_store(url) as other:  # as another process writes
            other.append(reading())
        assert store.changes("k1") == first
        store.append(reading())
        assert store.changes("k1") == first + 2
        beside = threading.Thread(target=store.append, args=(reading(),))
        beside.start()
        beside.join()
        assert store.changes("k1") == first + 3
        with store.changing("k1") as (connection, number):
            assert store.within(connection).changes("k1") == number == first + 4
            assert store.changes("k1") == first + 3
        assert store.changes("k1") == first + 4
        with open_store(url) as other:
            other.append(reading())
    assert store.changes("k1") == first + 5


@pytest.mark.soon(1)
def test_a_crowd_of_threads_is_served_without_an_error(store: Store) -> None:
    store.put_kitchen(SKERRY)
    failures: list[BaseException] = []
    seen: list[int] = []

    def work() -> None:
        try:
            for _ in range(4):
                store.append(reading())
                seen.append(len(store.entries("k1")))
        except BaseException as error:
            failures.append(error)

    crowd = [threading.Thread(target=work) for _ in range(60)]
    for each in crowd:
        each.start()
    for each in crowd:
        each.join()
    assert failures == []
    assert max(seen) == len(store.entries("k1")) == 240
