"""Discard as part of a dough's flour and water: the batch stays what it was."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st
from tests.timetable.hall import formula

from pointage.errors import InputError
from pointage.formula.discard import most_discard, with_discard
from pointage.formula.scale import Scaled, scale

STIFF = Fraction(60, 100)
WHITE = {"wheat-white": Fraction(1)}


def batch(slug: str, pieces: int = 8, step: str = "1") -> Scaled:
    found = formula(slug)
    return scale(found, pieces, found.piece_g, Fraction(step))


def dough(found: Scaled) -> dict[str, Fraction]:
    return {row.name: row.grams for row in found.stages[-1].rows}


def test_discard_takes_the_place_of_its_own_flour_and_water() -> None:
    """160 g at 60 % are 100 g of white flour and 60 g of water."""
    plain = batch("harbour-loaf")
    found = with_discard("Harbour loaf", plain, Fraction(160), STIFF, WHITE)
    before = dough(plain)
    assert found.rows == before | {
        "discard": 160,
        "wheat-white": before["wheat-white"] - 100,
        "water": before["water"] - 60,
    }
    assert found.stands_in == {}
    assert not found.is_much


def test_a_flour_that_the_dough_has_not_stands_in_for_the_others() -> None:
    """200 g of rye at 100 %: 100 g of rye for white and whole wheat as the dough has them."""
    plain = batch("harbour-loaf")
    rye = {"rye-whole": Fraction(1)}
    found = with_discard("Harbour loaf", plain, Fraction(200), Fraction(1), rye)
    before = dough(plain)
    flour = before["wheat-white"] + before["wheat-whole"]
    for kind in ("wheat-white", "wheat-whole"):
        exact = before[kind] - 100 * before[kind] / flour
        assert abs(found.rows[kind] - exact) < 1
    assert found.rows["wheat-white"] + found.rows["wheat-whole"] == flour - 100
    assert found.stands_in == {"rye-whole": 100}


@given(
    st.sampled_from(["harbour-loaf", "seeded-rolls", "tinned-rye"]),
    st.integers(1, 100),
    st.fractions(Fraction(1, 2), 2, max_denominator=100),
    st.sampled_from([WHITE, {"rye-whole": Fraction(1, 3), "wheat-white": Fraction(2, 3)}]),
)
def test_the_batch_keeps_its_mass_its_flour_and_its_water(
    slug: str, percent: int, hydration: Fraction, flours: dict[str, Fraction]
) -> None:
    plain = batch(slug)
    grams = max(Fraction(1), most_discard(plain, hydration) * percent / 100)
    found = with_discard(slug, plain, grams, hydration, flours)
    before = dough(plain)
    assert sum(found.rows.values()) == sum(before.values())
    assert all(mass >= 0 for mass in found.rows.values())
    taken = found.rows["discard"]
    water = taken * hydration / (1 + hydration)
    assert abs(found.rows["water"] + water - before["water"]) < 1
    for name in before:
        if name not in ("water", "discard") and "wheat" not in name and "rye" not in name:
            assert abs(found.rows[name] - before[name]) < 1


def test_more_than_it_can_take_is_refused_with_what_it_can() -> None:
    plain = batch("harbour-loaf")
    most = most_discard(plain, STIFF)
    with_discard("Harbour loaf", plain, most, STIFF, WHITE)
    with pytest.raises(InputError) as refused:
        with_discard("Harbour loaf", plain, most + 1, STIFF, WHITE)
    assert refused.value.field == "discard"
    assert f"to {int(most)} g" in str(refused.value)
    with pytest.raises(InputError):
        with_discard("Harbour loaf", plain, Fraction(0), STIFF, WHITE)


def test_more_than_a_tenth_of_the_flour_is_much() -> None:
    plain = batch("harbour-loaf")
    flour = sum((row.grams for row in plain.rows if row.name.startswith("wheat")), Fraction())
    much = (flour / 10 + 5) * (1 + STIFF)
    assert with_discard("Harbour loaf", plain, much, STIFF, WHITE).is_much
