"""Money: exact amounts in one currency, read as people write them, rounded once when printed."""

from __future__ import annotations

import re
from fractions import Fraction
from math import floor

from pointage.bounds import PRICE
from pointage.errors import InputError, UnitError
from pointage.language import say
from pointage.quantities import split_number
from pointage.shown import shown

# Currencies whose smallest coin is not a hundredth: ISO 4217, from memory.
DECIMALS = {
    **dict.fromkeys(("CLP", "ISK", "JPY", "KRW", "PYG", "UGX", "VND", "XAF", "XOF", "XPF"), 0),
    **dict.fromkeys(("BHD", "IQD", "JOD", "KWD", "LYD", "OMR", "TND"), 3),
}
USUAL_DECIMALS = 2
SYMBOLS = {"EUR": "€", "GBP": "£", "USD": "$"}
SPACE = "\u00a0"  # no line ends between a sum and its currency


def parse_currency(text: str, field: str = "currency") -> str:
    """A currency as its three letters of ISO 4217, such as EUR. Raises InputError."""
    if not re.fullmatch(r"[A-Z]{3}", text):
        raise InputError(field, repr(text), say("three letters such as EUR"))
    return text


def parse_money(text: str, field: str, currency: str) -> tuple[Fraction, str]:
    """The exact sum and the currency of "23.80", "23,80 €" or "23.80 GBP".

    currency: of a bare number. Raises InputError naming the field for what is no sum of money, a
    negative one, and one above a million, where a finger slipped.
    """
    expected = say("a price such as 23.80 or 23.80 {currency}", currency=currency)
    number, unit = split_number(text, field, expected)
    known = {symbol: code for code, symbol in SYMBOLS.items()}
    found = known.get(unit, unit.upper()) or currency
    if not re.fullmatch(r"[A-Z]{3}", found):
        raise UnitError(field, repr(text), expected)
    PRICE.check(number, field, repr(text))
    return number, found


def round_money(amount: Fraction, currency: str) -> Fraction:
    """`amount` to the currency's smallest coin; a half goes up."""
    coins = 10 ** DECIMALS.get(currency, USUAL_DECIMALS)
    return Fraction(floor(amount * coins + Fraction(1, 2)), coins)


def print_money(amount: Fraction, currency: str) -> str:
    """As "1.12 €" or "€1.12"; as "1.12 CHF" where the currency has no sign of its own here."""
    places = DECIMALS.get(currency, USUAL_DECIMALS)
    coins = int(round_money(amount, currency) * 10**places)
    sign, whole = ("−" if coins < 0 else ""), f"{abs(coins):0{places + 1}d}"
    number = f"{whole[:-places]}.{whole[-places:]}" if places else whole
    symbol = SYMBOLS.get(currency, currency)
    if shown().money == "after":
        return f"{sign}{number}{SPACE}{symbol}"
    return f"{sign}{symbol}{'' if currency in SYMBOLS else SPACE}{number}"
