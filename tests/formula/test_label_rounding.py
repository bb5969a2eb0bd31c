"""Label rounding at every boundary of the regulation's own table, and what holds of any."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pointage.data import load
from pointage.errors import RangeError
from pointage.formula.label.nutrition import UNITS
from pointage.formula.label.rounding import Style, label_lines, round_for_label

# 21 CFR 101.9(c), as in the FDA's inspection guide to nutrition labelling, attachment 7 (seen):
# amount, what is printed; just under, at and just over each boundary, and at each half step.
US = {
    "energy": "0 0, 4.999 0, 5 5, 7.499 5, 7.5 10, 47.499 45, 47.5 50, 50 50, 50.001 50, "
    "54.999 50, 55 60, 264.9 260, 265 270",
    "fat": "0 0, 0.499 0, 0.5 0.5, 0.749 0.5, 0.75 1, 1.25 1.5, 4.749 4.5, 4.75 5, 4.999 5, 5 5, "
    "5.499 5, 5.5 6",
    "cholesterol": "0 0, 1.999 0, 2 less than 5, 5 less than 5, 5.001 5, 7.499 5, 7.5 10, 12.5 15",
    "sodium": "0 0, 4.999 0, 5 5, 7.499 5, 7.5 10, 137.5 140, 140 140, 140.001 140, 144.999 140, "
    "145 150, 504.9 500, 505 510",
    "gram": "0 0, 0.499 0, 0.5 less than 1, 0.999 less than 1, 1 1, 1.499 1, 1.5 2, 24.5 25",
    "percent": "0 0, 1.999 0, 2 2, 2.999 2, 3 4, 9 10, 10 10, 10.001 10, 12.499 10, 12.5 15, "
    "47.5 50, 50 50, 50.001 50, 54.999 50, 55 60",
    "servings": "1.499 1, 1.999 2, 2 2, 2.249 2, 2.25 2.5, 4.75 5, 5 5, 5.499 5, 5.5 6",
}
# The Commission's guidance of December 2012, table 4 (from memory).
EU = {
    "energy": "0 0, 0.499 0, 0.5 1, 1046.5 1047",
    "gram": "0 0, 0.5 0, 0.5001 0.5, 0.549 0.5, 0.55 0.6, 9.949 9.9, 9.95 10, 9.999 10, 10 10, "
    "10.499 10, 10.5 11",
    "saturates": "0 0, 0.1 0, 0.1001 0.1, 0.149 0.1, 0.15 0.2, 9.95 10, 10 10, 10.5 11",
    "salt": "0 0, 0.0125 0, 0.01251 0.01, 0.0149 0.01, 0.015 0.02, 0.9949 0.99, 0.995 1, 1 1, "
    "1.049 1, 1.05 1.1",
}
ROWS = [
    (style, rule, *row.split(" ", 1))
    for style, table in ((Style.US, US), (Style.EU, EU))
    for rule, rows in table.items()
    for row in rows.split(", ")
]
RULES = [(style, rule) for style in Style for rule in load(f"label/{style}.toml")["rules"]]


@pytest.mark.parametrize(("style", "rule", "amount", "printed"), ROWS)
def test_it_is_printed_as_the_table_says(
    style: Style, rule: str, amount: str, printed: str
) -> None:
    assert round_for_label(style, rule, Fraction(amount)).text == printed


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


def test_daily_values_are_those_of_2016() -> None:
    # 21 CFR 101.9(c)(8)(iv) and (c)(9), from memory.
    daily = {line.figure: line.daily for line in label_lines(Style.US) if line.daily}
    assert daily == {
        "fat": 78, "saturated": 20, "cholesterol": 300, "sodium": 2300, "carbohydrate": 275,
        "fibre": 28, "added_sugars": 50, "vitamin_d": 20, "calcium": 1300, "iron": 18,
        "potassium": 4700,
    }  # fmt: skip


@pytest.mark.parametrize("style", Style)
def test_every_line_has_a_figure_and_a_rule(style: Style) -> None:
    rules = load(f"label/{style}.toml")["rules"]
    for line in label_lines(style):
        assert UNITS[line.figure] == line.unit
        assert line.rule in rules
        assert (line.percent in rules) if line.daily else (line.percent is None)


def test_each_law_has_its_count_of_allergens() -> None:
    table = load("label/allergens.toml").values()
    assert len({each["us"] for each in table if "us" in each}) == 9
    assert len({each["eu"] for each in table}) == 14
