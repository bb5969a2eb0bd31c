"""An oven hotter than it says is found out by weighing its bread."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path
from uuid import uuid4

import pytest
from tests.web.stored_desk import NOW, hall

from pointage.daybook.entry import EntryKind
from pointage.desk.desk import StoredDesk
from pointage.desk.now.learned.own_oven import measured
from pointage.heat.baking import baked_for

HOTTER_K = 15.0


@pytest.fixture
def baked(tmp_path: Path) -> StoredDesk:
    """Three bakes of an oven 15 K hotter than it says, each weighed; invented."""
    desk = hall(tmp_path, NOW)
    for day in (5, 9, 12):
        ready = datetime(2026, 12, day, 12, tzinfo=UTC)
        desk.wish(str(uuid4()), "harbour-loaf", 8, ready, NOW)
    for bake in desk.bakes():
        told = {"bake": bake.key, "minutes": 45.0, "core_c": 97.0}
        desk.records.record(str(uuid4()), EntryKind.BAKED, NOW, told)
        first = measured(desk.present().replayed, {bake.key: told})[0]
        _, loss = baked_for(replace(first.what, offset_k=HOTTER_K), 45.0)
        assert bake.wished is not None
        grams = 8 * float(bake.wished.piece_g) * (1 - loss)
        weighed = {"bake": bake.key, "grams": grams, "pieces": 8.0, "when": "baked"}
        desk.records.record(str(uuid4()), EntryKind.WEIGHED, NOW, weighed)
    return desk


def test_the_offset_is_found_within_its_spread(baked: StoredDesk) -> None:
    learned = baked.present().own_ovens()["Deck oven"]
    assert learned.bakes == 3
    assert abs(learned.offset_k - HOTTER_K) < 2 * learned.spread_k
    assert learned.spread_k < 10
    assert baked.kitchen().oven.offset_k == learned.offset_k


def test_what_is_learned_belongs_to_the_oven_it_was_measured_in(baked: StoredDesk) -> None:
    """A second has no offset. Renamed, the only oven keeps its own, and one of two does not."""
    learned = baked.present().own_ovens()["Deck oven"]
    text = baked.kitchen_file.text
    baked.kitchen_file.put_text(text.replace('"Deck oven"', '"Hearth"'), 1)
    assert baked.kitchen().oven.offset_k == learned.offset_k
    baked.kitchen_file.put_text(text, 2)
    small = {"name": "Small oven", "loaves": "2", "rolls": "12", "preheat": "30min"}
    baked.kitchen_file.add("oven", small, 3)
    deck, second = baked.kitchen().ovens
    assert (deck.offset_k, second.offset_k) == (learned.offset_k, 0.0)
    two = baked.kitchen_file.text
    baked.kitchen_file.put_text(two.replace('"Deck oven"', '"Hearth"'), 4)
    assert [each.offset_k for each in baked.kitchen().ovens] == [0.0, 0.0]


def test_without_a_measured_bake_the_file_has_the_word(tmp_path: Path) -> None:
    desk = hall(tmp_path, NOW)
    assert desk.present().own_ovens() == {}
    assert desk.kitchen().oven.offset_k == 0.0
