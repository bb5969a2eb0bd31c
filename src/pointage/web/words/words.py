"""Masses, shares and counts as words."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from datetime import timedelta
from decimal import Decimal
from fractions import Fraction

from pointage import shown
from pointage.language import say, say_many, within
from pointage.quantities import print_duration, print_number
from pointage.shown import FIXED, with_ounces

_COUNTED: Mapping[str, Callable[[int], str]] = {
    "bake": lambda n: say_many("{n} bake", "{n} bakes", n),
    "dough": lambda n: say_many("{n} dough", "{n} doughs", n),
    "feed": lambda n: say_many("{n} feed", "{n} feeds", n),
    "job": lambda n: say_many("{n} job", "{n} jobs", n),
    "piece": lambda n: say_many("{n} piece", "{n} pieces", n),
    "reading": lambda n: say_many("{n} reading", "{n} readings", n),
    "row": lambda n: say_many("{n} row", "{n} rows", n),
    "step": lambda n: say_many("{n} step", "{n} steps", n),
}
"""Each with both its forms in one text: languages differ in how many there are."""


def grams(value: float | Fraction, step: float | Fraction = 1) -> str:
    """A mass in the very digits of a scale with that step: "1612", "0.4", "10457"."""
    decimals = Decimal(str(float(step))).normalize().as_tuple().exponent
    places = max(0, -decimals) if isinstance(decimals, int) else 0
    return f"{float(value):.{places}f}"


def percent(share: float | Fraction, places: int = 0) -> str:
    """A fraction as "72 %"; with `places` decimals at most."""
    return say("{number}\u00a0%", number=print_number(float(share) * 100, places))


def count(number: int, what: str) -> str:
    """ "1 piece", "12 pieces"; what: one of those above."""
    return _COUNTED[what](number)


def mass(value: float | Fraction) -> str:
    """A mass to be read, not weighed: "850 g", "10.8 kg", "850 g (1 lb 14 oz)"."""
    number = float(value)
    if number >= 1000:
        kilograms = f"{number / 1000:.2f}".rstrip("0").rstrip(".")
        return with_ounces(say("{number}\u00a0kg", number=kilograms), value)
    return with_ounces(say("{number:.0f}\u00a0g", number=number), value)


def lower_first(text: str) -> str:
    """A name within a sentence: "Boiler cupboard" becomes "boiler cupboard"."""
    return within(text[:1]) + text[1:]


def upper_first(text: str) -> str:
    """What begins a line: "rise 1.6" becomes "Rise 1.6"."""
    return text[:1].upper() + text[1:]


def warmth(celsius: float, *, tenths: bool = False) -> str:
    """ "34.5 °C", "94 °F"; see `shown.warmth`."""
    return shown.warmth(celsius, tenths=tenths).replace(" ", FIXED)


def apart(kelvin: float, digits: int = 1) -> str:
    """How far two temperatures are apart: "2 °C", "3.6 °F"."""
    return shown.apart(kelvin, digits).replace(" ", FIXED)


def length(duration: timedelta) -> str:
    """ "1 h 35", kept on one line."""
    return print_duration(duration).replace(" ", FIXED)
