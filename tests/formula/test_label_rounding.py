"""Label rounding: what holds of any amount, and that every line of a panel has its rule."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pointage.data import load
from pointage.errors import RangeError
from pointage.formula.label.nutrition import UNITS
from pointage.formula.label.rounding import Style, label_lines, round_for_label

RULES = [(style, rule) for style in Style for rule in load(f"label/{style}.toml")["rules"]]

NOTHING = {"gram": Fraction(1, 2), "saturates": Fraction(1, 10), "salt": Fraction(1, 80)}
"""Up to this the European table prints 0."""
AMOUNTS = st.fractions(min_value=0, max_value=100_000, max_denominator=10_000)


@given(st.sampled_from(RULES), AMOUNTS)
def test_rounding_twice_changes_nothing(which: tuple[Style, str], amount: Fraction) -> None:
    """But for what the European table prints as no more than it calls nothing: 0.52 g of fat are
    0.5 g, of which it would print 0."""
    style, rule = which
    once = round_for_label(style, rule, amount)
    low = style is Style.EU and once.value is not None and once.value <= NOTHING.get(rule, 0)
    if once.value is not None and not low and not (rule == "cholesterol" and once.value == 5):
        assert round_for_label(style, rule, once.value) == once


@given(st.sampled_from(RULES), AMOUNTS, AMOUNTS)
def test_more_is_never_printed_as_less(
    which: tuple[Style, str], one: Fraction, other: Fraction
) -> None:
    low, high = (round_for_label(*which, each).value for each in sorted((one, other)))
    if low is not None and high is not None:
        assert low <= high


def test_less_than_nothing_is_refused() -> None:
    with pytest.raises(RangeError, match=r"-1 .* is outside 0"):
        round_for_label(Style.US, "fat", Fraction(-1))


@pytest.mark.parametrize("style", Style)
def test_every_line_has_a_figure_and_a_rule(style: Style) -> None:
    rules = load(f"label/{style}.toml")["rules"]
    for line in label_lines(style):
        assert UNITS[line.figure] == line.unit
        assert line.rule in rules
        assert (line.percent in rules) if line.daily else (line.percent is None)
