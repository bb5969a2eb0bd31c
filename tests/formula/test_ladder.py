"""The ladder: readings that only climb, and what an over-pour makes of them."""

from __future__ import annotations

from fractions import Fraction
from typing import Literal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pointage.errors import InputError
from pointage.formula.ladder import (
    Ladder,
    Pour,
    PourKind,
    corrected,
    ladder,
)

INGREDIENT = PourKind.INGREDIENT
INGREDIENT = PourKind.INGREDIENT
BOWL = ladder(
    "Mixing bowl",
    1180.0,
    1.0,
    [
        Pour(INGREDIENT, "water", 600.0, temperature_c=31.5),
        Pour(INGREDIENT, "wheat-white", 1000.0),
        Pour(INGREDIENT, "salt", 20.0),
    ],
)


def readings(of: Ladder) -> list[float]:
    return [pour.display_g for pour in of.pours]


def test_readings_are_the_tare_and_all_that_is_in() -> None:
    assert readings(BOWL) == [1780.0, 2780.0, 2800.0]
    assert BOWL.pours[0].temperature_c == 31.5


def test_rounding_does_not_grow_from_pour_to_pour() -> None:
    thirds = ladder("Jar", 391.0, 1.0, [Pour(INGREDIENT, "salt", 10.4) for i in range(5)])
    # 401.4, 411.8, 422.2, 432.6, 443.0
    assert readings(thirds) == [401.0, 412.0, 422.0, 433.0, 443.0]


@given(
    st.floats(0, 5000).map(lambda tare: round(tare, 1)),
    st.sampled_from([0.1, 1.0, 2.0, 5.0]),
    st.lists(st.integers(1, 50_000).map(lambda tenths: tenths / 10), min_size=1, max_size=8),
)
def test_readings_climb_and_end_at_the_whole(tare: float, step: float, grams: list[float]) -> None:
    made = ladder("Bowl", tare, step, [Pour(INGREDIENT, "wheat-white", each) for each in grams])
    shown = readings(made)
    assert shown == sorted(shown)
    whole = Fraction(str(tare)) + sum(Fraction(str(each)) for each in grams)
    assert abs(Fraction(str(shown[-1])) - whole) <= Fraction(str(step)) / 2


def test_an_over_pour_raises_the_later_ones() -> None:
    # A tenth too much flour: the salt grows by a tenth, and a tenth of the water is missing.
    after = corrected(BOWL, 1, 2880.0)
    assert readings(after.ladder) == [1780.0, 2880.0, 2902.0]
    assert [pour.grams for pour in after.ladder.pours] == [600.0, 1100.0, 22.0]
    assert after.factor == pytest.approx(1.1)
    assert after.short == ((BOWL.pours[0], 60.0),)


def test_an_over_pour_of_the_first_leaves_nothing_short() -> None:
    after = corrected(BOWL, 0, 1840.0)
    assert [pour.grams for pour in after.ladder.pours] == [660.0, 1100.0, 22.0]
    assert after.short == ()


def test_keeping_the_total_shrinks_the_later_ones() -> None:
    after = corrected(BOWL, 0, 1831.0, keep="total")
    # 51 g less for flour and salt together, 969 g of 1020: 950 and 19.
    assert [pour.grams for pour in after.ladder.pours] == [651.0, 950.0, 19.0]
    assert readings(after.ladder)[-1] == 2800.0
    assert after.factor == 1.0


def test_a_pour_on_its_reading_changes_nothing() -> None:
    assert corrected(BOWL, 1, 2780.0, "ratios").ladder == BOWL
    assert corrected(BOWL, 1, 2780.0, "total").ladder == BOWL


@given(st.integers(1181, 2800))
def test_the_total_is_kept_whatever_was_poured(display: int) -> None:
    after = corrected(BOWL, 0, float(display), keep="total")
    shown = readings(after.ladder)
    assert shown[-1] == 2800.0
    assert shown == sorted(shown)


@given(st.integers(1181, 9000))
def test_ratios_are_kept_whatever_was_poured(display: int) -> None:
    water, flour, salt = corrected(BOWL, 0, float(display)).ladder.pours
    assert water.grams == display - 1180
    # Each reading is rounded to a gram, so a pour is within a gram of its proportion.
    assert flour.grams == pytest.approx(water.grams / 600 * 1000, abs=1.0)
    assert salt.grams == pytest.approx(water.grams / 600 * 20, abs=1.0)


@pytest.mark.parametrize(
    ("pour", "display", "keep"),
    [
        (0, 1100.0, "ratios"),  # below the tare
        (1, 1700.0, "ratios"),  # below what it read before
        (1, 1780.0, "total"),  # nothing was poured
        (0, 2801.0, "total"),  # above the whole batch
        (2, 2805.0, "total"),  # nothing left to shrink
    ],
)
def test_a_reading_that_cannot_be_is_refused(
    pour: int, display: float, keep: Literal["ratios", "total"]
) -> None:
    with pytest.raises(InputError) as error:
        corrected(BOWL, pour, display, keep)
    assert error.value.field == "display"
