"""The present is kept for every reader: whoever looks at it first, in whatever language."""

from __future__ import annotations

import re
from datetime import UTC, datetime, timedelta
from uuid import uuid4

import pytest
from tests.made_up import made_up

from pointage.daybook.entry import Entry, EntryKind, KitchenRecord
from pointage.daybook.store.store import Store
from pointage.desk.answers import Wish
from pointage.desk.desk import StoredDesk
from pointage.desk.jobs import Jobs
from pointage.desk.kitchen.kitchens import demonstration_formulas, demonstration_text
from pointage.desk.now.keeper import Keeper
from pointage.desk.now.replayed import A_BAKE
from pointage.desk.now.texts import formula_of
from pointage.desk.opening import take_in
from pointage.errors import InputError
from pointage.language import ENGLISH, speaking
from pointage.shown import Shown, showing

NOON = datetime(2026, 11, 25, 12, tzinfo=UTC)
HALL = "k1"
WORD = re.compile("[a-z]{3}")


@pytest.fixture
def hall(store: Store) -> Store:
    """A kitchen with something of each sort that cannot be used."""
    store.put_kitchen(KitchenRecord(HALL, "Skerry Hall", "Europe/Dublin", demonstration_text()))
    store.put_formula(HALL, "half", "name = 'Half a file")
    odd: tuple[tuple[EntryKind, dict[str, object]], ...] = (
        (EntryKind.MEASURED, {"rise": 1.5, "culture": "Heron"}),
        (EntryKind.MEASURED, {"rise": 1.5, "bake": str(uuid4()), "step": "mix"}),
        (EntryKind.POURED_OFF, {"grams": 9000.0, "culture": "Plover"}),
        (EntryKind.WITHDRAWN, {"entry": "none"}),
    )
    for number, (kind, body) in enumerate(odd):
        at = NOON + number * timedelta(minutes=1)
        store.append(Entry(str(uuid4()), HALL, kind, at, at, "Orla", body))
    return store


def test_what_is_set_aside_is_kept_in_english_and_said_as_its_reader_has_it(hall: Store) -> None:
    first, second = (Keeper(hall, HALL, NOON, Jobs(beside=False)) for _ in range(2))
    with speaking(made_up()), showing(Shown(degrees="F")):
        found = first.look().set_asides
        spoken = [each.reason for each in found]
    assert len(found) == 5
    assert found == second.look().set_asides
    assert all("expected" not in each for each in spoken)
    assert all("expected" in each.reason for each in found)
    at = [each.expected for each in found].index(A_BAKE)
    assert A_BAKE not in spoken[at]


def test_a_text_that_cannot_be_read_is_refused_in_the_language_of_each_reader() -> None:
    text = f"name = 'A name alone' # {uuid4()}"
    said = []
    for language in (made_up(), ENGLISH, made_up()):
        with speaking(language), pytest.raises(InputError) as refused:
            formula_of(text)
        said.append(refused.value.expected)
    assert said[0] == said[2] != said[1]


def test_a_plan_is_stored_in_the_same_words_whoever_asked_for_it(store: Store) -> None:
    record = take_in(store, demonstration_text(), demonstration_formulas(), NOON)
    desk = StoredDesk(store, record.id, NOON, clock=lambda: NOON, jobs=Jobs(beside=False))
    asked = Wish("harbour-loaf", 2, NOON + timedelta(days=3))
    bodies = []
    for language in (ENGLISH, made_up()):
        key = str(uuid4())
        with speaking(language):
            assert desk.wish_beside(key, asked, NOON).plan is not None
        bodies.append(next(each.body for each in store.entries(record.id) if each.id == key))
        desk.give_up(str(uuid4()), key, NOON)
    assert bodies[0] == bodies[1]


def test_a_wish_is_refused_in_the_language_of_who_asked(store: Store) -> None:
    record = take_in(store, demonstration_text(), demonstration_formulas(), NOON)
    desk = StoredDesk(store, record.id, NOON, clock=lambda: NOON, jobs=Jobs(beside=True))
    past = Wish("harbour-loaf", 2, NOON - timedelta(days=3))
    with speaking(made_up()), pytest.raises(InputError) as refused:
        desk.wish_beside(str(uuid4()), past, NOON, seconds=60.0)
    assert not WORD.search(refused.value.expected)
