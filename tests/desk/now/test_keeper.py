"""A keeper's present is that of the store, on both databases, and costs no more than the news."""

from __future__ import annotations

import threading
from collections.abc import Iterator
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from typing import Any
from uuid import uuid4

import pytest

from pointage.daybook.entry import Entry, EntryKind, KitchenRecord
from pointage.daybook.replay import replay
from pointage.daybook.store.store import Store, open_store
from pointage.desk.jobs import Jobs
from pointage.desk.kitchen.kitchens import BARE, demonstration_formulas, demonstration_text
from pointage.desk.now.counts import counts
from pointage.desk.now.keeper import Keeper
from pointage.desk.now.present import Present, present_of
from pointage.desk.now.texts import kitchen_of
from pointage.errors import InputError

NOON = datetime(2026, 11, 25, 12, tzinfo=UTC)
HOUR = timedelta(hours=1)
HALL = "k1"
UNREADABLE = "name = 'Half a file"


@pytest.fixture
def text() -> str:
    """The demonstration's kitchen, in a text that nobody has parsed yet."""
    return f"{demonstration_text()}\n# {uuid4()}\n"


@pytest.fixture
def hall(store: Store, text: str) -> Store:
    store.put_kitchen(KitchenRecord(HALL, "Skerry Hall", "Europe/Dublin", text), NOON)
    for slug, formula in demonstration_formulas().items():
        store.put_formula(HALL, slug, f"{formula}\n# {uuid4()}\n")
    return store


@pytest.fixture
def second(hall: Store, url: str) -> Iterator[Store]:
    """The same store, as another process has it open."""
    with open_store(url) as opened:
        yield opened


def keeper(store: Store, kitchen: str = HALL) -> Keeper:
    return Keeper(store, kitchen, NOON, Jobs(beside=False))


def entry(kind: EntryKind, hours: float, kitchen: str = HALL, **body: Any) -> Entry:
    at = NOON + hours * HOUR
    return Entry(str(uuid4()), kitchen, kind, at, at, "Orla", body)


def note(hours: float = 0.0, kitchen: str = HALL) -> Entry:
    return entry(EntryKind.NOTE, hours, kitchen, text="rain")


def bought(hours: float, grams: float = 1000.0) -> Entry:
    return entry(EntryKind.BOUGHT, hours, item="rye-whole", grams=grams)


def fed(hours: float) -> Entry:
    parts = [{"ingredient": "rye-whole", "grams": 60.0}, {"ingredient": "water", "grams": 60.0}]
    return entry(EntryKind.FED, hours, culture="Gannet", seed_g=30.0, parts=parts, place="Hall")


def ids(present: Present) -> set[str]:
    return set(present.replayed.journal.entries)


def cost(kept: Keeper) -> int:
    """Entries brought into the picture, or gone through again, for one look."""
    before = counts.entries
    kept.look()
    return counts.entries - before


@pytest.mark.soon(1)
def test_two_keepers_see_what_the_other_writes(hall: Store, second: Store, text: str) -> None:
    mine, theirs = keeper(hall), keeper(second)
    mine.look()
    theirs.look()
    first, later = fed(1), note(2)
    hall.append(first)
    assert ids(theirs.look()) == {first.id}
    second.append(later)
    assert ids(mine.look()) == ids(theirs.look()) == {first.id, later.id}
    assert mine.look().kitchen.culture("Gannet").mass_g == 150.0
    assert mine.look().kitchen == theirs.look().kitchen
    second.put_formula(HALL, "harbour-loaf", UNREADABLE, after=1)
    assert "harbour-loaf" not in mine.look().formulas
    warmer = KitchenRecord(HALL, "A warmer hall", "Europe/Dublin", f"{text}#\n")
    hall.put_kitchen(warmer, NOON, after=1)
    assert theirs.look().record.name == "A warmer hall"
    assert theirs.look().revision == mine.look().revision == 2


def test_while_nothing_is_new_it_is_the_same_object(hall: Store) -> None:
    kept = keeper(hall)
    held = kept.look()
    assert kept.look() is held
    hall.put_kitchen(KitchenRecord("k2", "Another hall", "Europe/Dublin", BARE))
    hall.append(note(kitchen="k2"))
    assert kept.look() is held
    hall.append(note())
    assert kept.look() is not held
    assert ids(held) == set()  # what was looked at stays as it was


def test_from_many_threads_each_look_has_all_that_was_written_before_it(
    hall: Store, second: Store
) -> None:
    kept, looked, failed = keeper(hall), list[Present](), list[BaseException]()

    def write(store: Store, first: int) -> None:
        for number in range(8):
            store.append(bought(first - number, 100.0))  # each earlier than the one before

    def look() -> None:
        try:
            for _ in range(12):
                written = hall.changes(HALL)
                found = kept.look()
                assert found.change >= written
                looked.append(found)
        except BaseException as error:
            failed.append(error)

    threads = [
        threading.Thread(target=write, args=(hall, 10)),
        threading.Thread(target=write, args=(second, 20)),
        *(threading.Thread(target=look) for _ in range(4)),
    ]
    for each in threads:
        each.start()
    for each in threads:
        each.join()
    assert failed == []
    every = hall.entries(HALL)
    assert len(every) == 16
    for found in looked:
        then = [each for each in every if each.number <= found.change]
        assert list(found.replayed.journal.in_order()) == replay(then)
        assert found.ledger(NOON).stock.grams("rye-whole") == 100 * len(then)
    by_change = {found.change: found for found in looked}
    assert all(found is by_change[found.change] for found in looked)  # made once for them all


def test_it_comes_to_what_its_records_alone_come_to(hall: Store) -> None:
    kept = keeper(hall)
    for each in (fed(5), bought(3), note(1), fed(2), bought(1)):
        kept.look()
        hall.append(each)
    found = kept.look()
    scratch = present_of(found.record, found.file, hall.formulas(HALL), hall.entries(HALL))
    assert found.lives == scratch.lives
    assert found.kitchen == scratch.kitchen
    assert found.formulas == scratch.formulas
    assert found.set_asides == scratch.set_asides
    assert found.ledger(NOON) == scratch.ledger(NOON)


def test_a_text_that_cannot_be_read_leaves_the_last_one_that_can(hall: Store, text: str) -> None:
    kept = keeper(hall)
    assert kept.look().set_asides == ()
    for after, name in enumerate(("half", "half of it"), start=1):
        record = KitchenRecord(HALL, name, "Europe/Dublin", f"{UNREADABLE} {name}")
        hall.put_kitchen(record, NOON + HOUR, after=after)
    found = kept.look()
    assert found.record.text == f"{UNREADABLE} half of it"
    assert found.file == kitchen_of(text, NOON, "Skerry Hall")
    (aside,) = found.set_asides
    assert (aside.what, aside.name) == ("kitchen", "3")
    assert "\n" not in aside.reason
    assert keeper(hall).look().kitchen == found.kitchen  # one that comes later sees the same
    hall.put_kitchen(KitchenRecord(HALL, "Skerry Hall", "Europe/Dublin", text), NOON, after=3)
    assert kept.look().set_asides == ()


def test_where_no_text_can_be_read_a_bare_kitchen_stands_in(store: Store) -> None:
    store.put_kitchen(KitchenRecord(HALL, "Skerry Hall", "Europe/Dublin", UNREADABLE))
    store.append(fed(1))
    found = keeper(store).look()
    assert [place.name for place in found.kitchen.places] == ["Room", "Fridge"]
    assert [(each.what, each.name) for each in found.set_asides] == [("kitchen", "1")]
    assert [life.name for life in found.lives] == ["Gannet"]  # the daybook is read all the same


def test_a_formula_that_cannot_be_read_is_set_aside_and_the_others_are_there(hall: Store) -> None:
    hall.put_formula(HALL, "tinned-rye", UNREADABLE, after=1)
    found = keeper(hall).look()
    assert set(found.formulas) == set(demonstration_formulas()) - {"tinned-rye"}
    assert [(each.what, each.name) for each in found.set_asides] == [("formula", "tinned-rye")]
    with pytest.raises(InputError):
        found.formula("tinned-rye")


def test_one_new_entry_costs_one_however_many_there_are(hall: Store) -> None:
    kept = keeper(hall)
    hall.append_all(HALL, [each(n) for n in range(60) for each in (note, bought, fed)])
    assert cost(kept) >= 180
    for each in (note(100), bought(100), fed(100)):
        hall.append(each)
        assert cost(kept) == 1
    assert cost(kept) == 0


def test_a_late_entry_costs_what_lies_behind_it(hall: Store) -> None:
    kept = keeper(hall)
    for hours in (1, 2, 3, 4):
        hall.append(bought(hours))
        kept.look()
    hall.append(bought(1.5))
    assert cost(kept) == 1 + 3  # what was bought at 2, 3 and 4
    hall.append(note(0.5))
    assert cost(kept) == 1  # nothing hangs on a note
    wrong = bought(2.5, 700.0)
    hall.append(wrong)
    assert cost(kept) == 1 + 2
    hall.append(entry(EntryKind.WITHDRAWN, 5, entry=wrong.id))
    assert cost(kept) == 1 + 2
    assert kept.look().ledger(NOON).stock.grams("rye-whole") == 5000


def test_each_text_is_parsed_once(hall: Store, text: str) -> None:
    kept, before = keeper(hall), counts.texts
    assert len(kept.look().formulas) == 4
    assert counts.texts - before == 1 + 4
    for number in range(5):
        hall.append(note(number))
        assert len(kept.look().formulas) == 4
    keeper(hall).look().set_asides  # noqa: B018
    assert counts.texts - before == 5
    first = KitchenRecord(HALL, "Skerry Hall", "Europe/Dublin", text)
    hall.put_kitchen(replace(first, text=f"{text}# more\n"), NOON, after=1)
    kept.look()
    assert counts.texts - before == 6
    hall.put_kitchen(first, NOON, after=2)
    kept.look()
    assert counts.texts - before == 6  # that one was parsed before


def test_a_kitchen_that_is_not_there_is_one_line(store: Store) -> None:
    with pytest.raises(InputError, match="kitchen"):
        keeper(store, "nowhere").look()
