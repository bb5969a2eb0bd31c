"""Percentages and masses of a formula file, exact: as decimals, or as "34 4/19" where none ends."""

from __future__ import annotations

from fractions import Fraction

from pointage.errors import InputError, UnitError
from pointage.language import say
from pointage.quantities import parse_mass, print_number, split_number

MOST_PERCENT = 500  # of any one ingredient: beyond it a unit was mistaken
LONGEST = 120  # of a number: beyond it somebody leant on the keys


def number(
    text: str, field: str, expected: str, most: int = MOST_PERCENT, *, says_most: bool = True
) -> Fraction:
    """A percentage from 0 to `most`; "34 4/19" is exact where a decimal would not be.

    says_most: whether `expected` names these limits itself.
    """
    whole, unit = exact(text, field, expected)
    if unit not in ("", "%"):
        raise UnitError(field, repr(text), expected)
    if not 0 <= whole <= most:
        if not says_most:
            expected = say("{expected}, 0 to {most}", expected=expected, most=most)
        raise InputError(field, f"{text} %", expected)
    return whole


def percent(value: Fraction) -> str:
    """A percentage in print."""
    return f"{print_number(float(value), 2)} %"


def mass(text: str, field: str) -> Fraction:
    """Exact grams of "430g" or "430 1/3"."""
    if "/" not in text:
        return parse_mass(text, field)
    return exact(text, field, say("a mass such as 600g"))[0]


def exact(text: str, field: str, expected: str) -> tuple[Fraction, str]:
    """The number and unit of "34.2" or "34 4/19"."""
    words = text.split()
    if words and "/" in words[-1]:
        top, _, bottom = words[-1].partition("/")
        plain = all(each.isdecimal() for each in (*words[:-1], top, bottom))
        if plain and len(words) <= 2 and len(text) <= LONGEST and int(bottom):
            return sum(map(Fraction, words), Fraction()), ""
        raise UnitError(field, repr(text), expected)
    return split_number(text, field, expected)
