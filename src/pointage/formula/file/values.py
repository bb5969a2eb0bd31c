"""What the single values of a formula file can be, read as they stand in its tables."""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from fractions import Fraction

from pydantic_core import PydanticCustomError

from pointage.bounds import MIX_WANTED_C, PIECE_G, Bound
from pointage.errors import InputError
from pointage.formula.file.figures import mass, number
from pointage.formula.formula import Rise
from pointage.formula.label.allergens import checked
from pointage.language import say
from pointage.quantities import Temperature, parse_duration, parse_temperature
from pointage.shown import warmth_span
from pointage.toml import refused

# Common practice, no source: outside these, and the usual temperatures, a unit was mistaken.
MOST_RISE = 5.0
MOST_MINUTES = 24 * 60
MIX = "mix"
FIT = Fraction()
"""A seed that is fitted to the hours."""


def minutes(text: str, field: str) -> float:
    found = parse_duration(text, field, bare="min").total_seconds() / 60
    if found > MOST_MINUTES:
        raise InputError(field, repr(text), say("a duration of a day at most"))
    return found


def hours(text: str, field: str) -> float:
    return parse_duration(text, field).total_seconds() / 3600


def mixed(text: str, field: str) -> Temperature:
    """The temperature of a stage after mixing; a scald's is near boiling."""
    return Temperature(MIX_WANTED_C.read(text, field))


def usual(bound: Bound) -> Callable[[str, str], Temperature]:
    """Reads a temperature that is usual by `bound`."""

    def read(text: str, field: str) -> Temperature:
        found = parse_temperature(text, field)
        low, high = bound.usual_low, bound.usual_high
        if not low <= found.celsius <= high:
            raise InputError(
                field, repr(text), say("a temperature of {span}", span=warmth_span(low, high))
            )
        return found

    return read


def seed(text: str, field: str) -> Fraction:
    """The share of the stage's flour; `FIT` where it says so."""
    if text.strip().casefold() == "fit":
        return FIT
    expected = say('percent of the stage\'s flour, such as 20, or "fit"')
    share = number(text, field, expected, says_most=False) / 100
    if not share:
        raise InputError(field, repr(text), expected)
    return share


def fold(text: str, field: str) -> int:
    """The fold with which an addition goes in; 0 for the end of the mix."""
    words = text.strip().casefold()
    match = re.fullmatch(r"fold ([1-9]\d?)", words)
    if match is None and words != MIX:
        raise InputError(field, repr(text), say('"mix", or a fold such as "fold 2"'))
    return 0 if match is None else int(match[1])


def piece(text: str, field: str) -> Fraction:
    """Grams of a piece of dough."""
    grams = mass(text, field)
    PIECE_G.check(grams, field, repr(text))
    return grams


def rise(given: object) -> Rise:
    """The least, the wanted and the most rise."""
    numbers = [each for each in given if _is_number(each)] if isinstance(given, list) else []
    if not isinstance(given, list) or not len(numbers) == len(given) == 3:
        raise PydanticCustomError("no_rise", "no rise")
    least, wanted, most = numbers  # compared as they are: an endless whole number is no float
    if not 1.0 <= least <= wanted <= most <= MOST_RISE:
        expected = say(
            "least, wanted and most in that order, between 1 and {most:g}", most=MOST_RISE
        )
        raise refused(InputError("", repr(numbers), expected))
    return float(least), float(wanted), float(most)


def _is_number(value: object) -> bool:
    return isinstance(value, int | float) and not isinstance(value, bool)


def allergens(words: Sequence[str]) -> None:
    checked(words, "")
