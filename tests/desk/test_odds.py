"""Odds in words: what a page says of a share of an ensemble."""

from __future__ import annotations

from datetime import timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pointage.desk.wording.odds import (
    in_hundred,
    is_likely,
    narrowed,
    odds_words,
)


@given(st.floats(0.0, 1.0), st.floats(0.0, 1.0))
def test_odds_end_before_certainty_and_keep_their_order(one: float, other: float) -> None:
    low, high = sorted((one, other))
    assert 3 <= in_hundred(low) <= in_hundred(high) <= 97
    assert f"({in_hundred(low)} in 100)" in odds_words(low)
    assert not is_likely(low) or in_hundred(low) >= 70


@pytest.mark.parametrize(
    ("share", "words"),
    [
        (1.0, "nearly sure (97 in 100)"),
        (0.98, "nearly sure (95 in 100)"),
        (0.93, "likely (90 in 100)"),
        (0.65, "more likely than not (64 in 100)"),
        (0.5, "an even chance (50 in 100)"),
        (0.25, "unlikely (27 in 100)"),
        (0.0, "hardly likely (3 in 100)"),
    ],
)
def test_a_word_and_its_number(share: float, words: str) -> None:
    assert odds_words(share) == words


def test_how_far_a_look_narrows_is_said_to_five_minutes() -> None:
    hour = timedelta(hours=1)
    assert narrowed(1.16 * hour, 0.42 * hour) == "± 70 min becomes ± 25 min"
    assert narrowed(4.33 * hour, 2 * hour) == "± 4 h 20 becomes ± 2 h"
    assert narrowed(0.1 * hour, 0.01 * hour) == "± 5 min becomes ± 5 min"
