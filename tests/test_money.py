"""Money as people write it, and rounded once."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pointage.errors import InputError
from pointage.money import (
    parse_currency,
    parse_money,
    print_money,
    round_money,
)


@pytest.mark.parametrize(
    ("text", "amount", "currency"),
    [
        ("23.80", "23.80", "EUR"),
        ("23,80 €", "23.80", "EUR"),
        ("12 gbp", "12", "GBP"),
        ("0", "0", "EUR"),
        ("12 £", "12", "GBP"),
    ],
)
def test_prices_are_read(text: str, amount: str, currency: str) -> None:
    assert parse_money(text, "price", "EUR") == (Fraction(amount), currency)


@pytest.mark.parametrize("text", ["cheap", "-1", "1,200", "12 euros", "", "2000000", "nan"])
def test_what_is_no_price_is_refused(text: str) -> None:
    with pytest.raises(InputError) as refused:
        parse_money(text, "price", "EUR")
    assert refused.value.field == "price"


def test_a_currency_is_three_letters() -> None:
    assert parse_currency("CHF") == "CHF"
    with pytest.raises(InputError, match="three letters such as EUR"):
        parse_currency("Euro")


@pytest.mark.parametrize(
    ("amount", "currency", "printed"),
    [
        ("1.125", "EUR", "1.13 €"),
        ("0.004", "EUR", "0.00 €"),
        ("23.8", "CHF", "23.80 CHF"),
        ("120.5", "JPY", "121 JPY"),
        ("-0.5", "GBP", "−0.50 £"),
        ("1.0005", "KWD", "1.001 KWD"),
    ],
)
def test_money_is_printed_in_its_coins(amount: str, currency: str, printed: str) -> None:
    assert print_money(Fraction(amount), currency).replace("\u00a0", " ") == printed


@given(st.fractions(-1000, 1000))
def test_rounding_is_by_half_a_coin_at_most(amount: Fraction) -> None:
    assert abs(round_money(amount, "EUR") - amount) <= Fraction(1, 200)
