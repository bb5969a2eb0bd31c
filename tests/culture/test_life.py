"""A culture's line of events: what it is made of, how much there is, and what does not fit."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime, timedelta
from random import Random

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pointage.culture.life import (
    SLACK_G,
    Began,
    Built,
    Dried,
    Event,
    Fed,
    Moved,
    Renamed,
    Retired,
    Taken,
    lived,
)
from pointage.desk.cultures.family import descendants

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


FLOURS = ("rye-whole", "wheat-white")
# 160 g, kept in the hall and chilled after two hours.
BEGUN: list[Event] = [
    Began(START, "Plover"),
    Fed(START, 0.0, {"wheat-white": 100.0}, 60.0, place="Hall"),
    Moved(at(2), "Fridge"),
]


@st.composite
def lines_of_events(draw: st.DrawFn) -> list[Event]:
    """What may happen to a culture that is there, an hour or more between any two."""
    life, found, hours = lived(BEGUN), list(BEGUN), 3.0
    for number in range(draw(st.integers(1, 8))):
        hours += draw(st.floats(1.0, 30.0))
        share = draw(st.floats(0.05, 0.9))
        what = draw(st.sampled_from(("fed", "woken", "built", "told", "taken", "gone", "moved")))
        grams = round(share * life.mass_g, 1)
        flour = {draw(st.sampled_from(FLOURS)): draw(st.floats(5.0, 200.0))}
        fed = Fed(at(hours), grams, flour, draw(st.floats(5.0, 150.0)), place="Hall")
        event: Event
        match what:
            case "fed":
                event = fed
            case "woken":
                event = replace(fed, for_bake=True)
            case "built":
                event = Built(at(hours), grams, "Harbour loaf", f"bake {number}")
            case "told":
                kept = replace(fed, seed_g=0.5 * (life.mass_g - grams))
                weighed = draw(st.booleans())
                event = Built(at(hours), grams, "Harbour loaf", f"bake {number}", kept, weighed)
            case "moved":
                event = Moved(at(hours), "Hall")
            case _:
                event = Taken(at(hours), grams, "Tinned rye" if what == "taken" else "")
        found.append(event)
        life = lived(found)
    return found


@given(lines_of_events())
def test_no_mass_is_made_or_lost(events: list[Event]) -> None:
    """In came every feed's flour and water; out went what was made and discarded; the rest is left.

    A discard below a scale's step is not written down, so each feed may hide one.
    """
    life = lived(events)
    assert life.oddities == ()
    came = sum(each.fed.flour_g + each.fed.water_g for each in life.stands)
    went = sum(each.grams for each in (*life.made, *life.wasted))
    assert went + life.mass_g == pytest.approx(came, abs=SLACK_G * len(life.stands))
    assert life.mass_g >= 0


@given(lines_of_events(), st.randoms(use_true_random=False))
def test_the_order_of_recording_changes_nothing(events: list[Event], chance: Random) -> None:
    mixed = list(events)
    chance.shuffle(mixed)
    assert lived(mixed) == lived(events)


def test_a_feed_recorded_with_the_build_stands_and_one_by_hand_is_the_same_feed() -> None:
    fed = Fed(at(30), 20.0, {"wheat-white": 62.5}, 37.5)
    built = Built(at(30), 60.0, "Harbour loaf", "b", fed)
    by_hand = Fed(at(31), 25.0, {"wheat-white": 60.0}, 35.0)
    told = lived([*BEGUN, built])
    assert (told.mass_g, told.stands[-1].assumed, told.stands[-1].bake) == (120.0, False, "b")
    assert [each.grams for each in told.wasted] == [80.0]  # 160 − 60 − 20
    again = lived([*BEGUN, built, by_hand])
    assert (len(again.stands), again.mass_g) == (2, 120.0)
    weighed = lived([*BEGUN, replace(built, weighed=True), by_hand])
    assert (len(weighed.stands), weighed.mass_g) == (3, 120.0)


def test_what_was_taken_or_renamed_before_the_feed_by_hand_stays_so() -> None:
    """160 − 60 for the levain − 30 discarded: 70 g, of which 25 are kept and 45 go."""
    built = Built(at(30), 60.0, "Harbour loaf", "b")
    by_hand = Fed(at(32), 25.0, {"wheat-white": 60.0}, 35.0)
    between: list[Event] = [Taken(at(31), 30.0), Renamed(at(31.5), "Dunlin")]
    life = lived([*BEGUN, built, *between, by_hand])
    assert life.name == "Dunlin"
    assert [each.grams for each in life.wasted] == [30.0, 45.0]
    assert life.mass_g == 120.0


def test_a_waking_feed_for_another_bake_is_not_the_keeping_feed() -> None:
    built = Built(at(30), 60.0, "Harbour loaf", "b")
    waking = Fed(at(32), 25.0, {"wheat-white": 60.0}, 35.0, for_bake=True)
    assert len(lived([*BEGUN, built, waking]).stands) == 3
