"""Rounding to a scale's step: the sum is kept, nothing is a whole step from exact."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pointage.errors import RangeError
from pointage.rounding import round_to_step, round_to_total

GRAMS = st.fractions(min_value=0, max_value=20_000, max_denominator=997)
STEPS = st.sampled_from([Fraction(1, 100), Fraction(1, 10), Fraction(1), Fraction(2), Fraction(5)])


@given(st.lists(GRAMS, min_size=1, max_size=12), STEPS)
def test_the_sum_is_kept_and_each_is_within_a_step(masses: list[Fraction], step: Fraction) -> None:
    exact = dict(enumerate(masses))
    rounded = round_to_total(exact, step)
    assert sum(rounded.values()) == round_to_step(sum(masses, Fraction()), step)
    for key, grams in rounded.items():
        assert (grams / step).denominator == 1
        assert abs(grams - exact[key]) < step
        assert grams >= 0
        assert grams == 0 or exact[key] > 0


def test_the_largest_remainder_has_the_step() -> None:
    exact = {"a": Fraction("1.4"), "b": Fraction("1.3"), "c": Fraction("1.3")}  # 4.0
    assert round_to_total(exact, Fraction(1)) == {"a": 2, "b": 1, "c": 1}


def test_the_earlier_has_the_step_where_remainders_are_the_same() -> None:
    exact = {"a": Fraction("0.5"), "b": Fraction("0.5")}
    assert round_to_total(exact, Fraction(1)) == {"a": 1, "b": 0}


@pytest.mark.parametrize("total", ["0", "3", "1.5"])
def test_a_total_out_of_reach_is_refused(total: str) -> None:
    with pytest.raises(RangeError, match="total"):
        round_to_total({"a": Fraction("1.4")}, Fraction(1), Fraction(total))


def test_a_step_of_nothing_and_a_mass_below_it_are_refused() -> None:
    with pytest.raises(RangeError, match="step"):
        round_to_total({"a": Fraction(1)}, Fraction(0))
    with pytest.raises(RangeError, match="mass"):
        round_to_total({"a": Fraction(-1)}, Fraction(1))
