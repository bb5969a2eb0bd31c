"""A culture's line of events: what it is made of, how much there is, and what does not fit."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pointage.culture.life import (
    Began,
    Dried,
    Event,
    Fed,
    Moved,
    Renamed,
    Retired,
    Taken,
    descendants,
    lived,
)

START = datetime(2026, 12, 1, 8, tzinfo=UTC)


def at(hours: float) -> datetime:
    return START + timedelta(hours=hours)


def test_a_feed_by_hand() -> None:
    """20 g of a rye culture at 100 % are 10 of rye, 10 of water; then 90 of wheat, 50 of water."""
    life = lived([
        Began(START, "Gannet"),
        Fed(START, 0.0, {"rye-whole": 50.0}, 50.0, place="Hall"),
        Fed(at(24), 20.0, {"wheat-white": 90.0}, 50.0),
    ])  # fmt: skip
    assert life.flours == pytest.approx({"rye-whole": 0.1, "wheat-white": 0.9})
    assert life.hydration == pytest.approx(0.6)
    assert life.mass_g == 160
    assert life.place == "Hall"
    assert life.oddities == ()


def test_what_is_taken_is_gone_and_what_it_was_for_is_kept() -> None:
    life = lived([
        Began(START, "Plover"),
        Fed(START, 0.0, {"wheat-white": 100.0}, 60.0),
        Taken(at(8), 100.0, "Harbour loaf"),
        Taken(at(9), 20.0),
    ])  # fmt: skip
    assert life.mass_g == 40
    assert [each.what_for for each in life.made] == ["Harbour loaf"]


def test_more_kept_than_there_was_is_told_and_can_be_put_right() -> None:
    events: list[Event] = [
        Began(START, "Plover"),
        Fed(START, 0.0, {"wheat-white": 100.0}, 60.0),
        Fed(at(24), 500.0, {"wheat-white": 100.0}, 60.0),
    ]
    (odd,) = lived(events).oddities
    assert (odd.field, odd.value, odd.counts) == ("seed_g", "500 g", True)
    assert "the 160 g that there were" in odd.expected
    between = Fed(at(12), 100.0, {"wheat-white": 300.0}, 180.0)
    assert lived([*events, between]).oddities == ()


def test_dried_and_fed_again_it_lives_and_retired_it_does_not() -> None:
    dried: list[Event] = [
        Began(START, "Gannet"),
        Fed(START, 0, {"rye-whole": 9.0}, 9),
        Dried(at(5)),
    ]
    assert lived(dried).state == "dried"
    woken = [*dried, Fed(at(500), 5.0, {"rye-whole": 20.0}, 20.0)]
    assert lived(woken).state == "living"
    over = lived([*woken, Retired(at(600)), Moved(at(700), "Hall")])
    assert over.state == "retired"
    assert "not retired before this" in over.oddities[0].expected


def test_the_family_line_follows_a_culture_through_its_names() -> None:
    mother = lived([Began(START, "Gannet"), Renamed(at(10), "Old Gannet")])
    before = lived([Began(at(5), "Tern", origin="Gannet", grams=30.0)])
    after = lived([Began(at(20), "Skua", origin="Old Gannet", grams=30.0)])
    assert descendants([after, mother, before])["Old Gannet"] == ("Tern", "Skua")


@given(st.permutations(range(5)))
def test_the_order_of_telling_changes_nothing(order: list[int]) -> None:
    events: list[Event] = [
        Began(START, "Gannet"),
        Fed(at(1), 0.0, {"rye-whole": 50.0}, 50.0),
        Moved(at(5), "Fridge"),
        Taken(at(30), 60.0, "Tinned rye"),
        Fed(at(31), 30.0, {"rye-whole": 60.0}, 60.0),
    ]
    assert lived([events[i] for i in order]) == lived(events)
