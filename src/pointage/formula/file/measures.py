"""Read amounts as people write them: "1 1/2 cups", "½ tsp", "93-95 °F", "a pinch".

Reading is forgiving; what the product writes itself is strict and has one form.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from fractions import Fraction

from pointage.errors import UnitError
from pointage.language import mark, say
from pointage.quantities import GRAMS_PER, LITRES_PER, print_number

# US customary measures: the cup is 8 fluid ounces of 29.5735295625 ml, exact by definition.
CUP_ML = Fraction("236.5882365")
ML_PER = {
    "cup": CUP_ML,
    "tablespoon": CUP_ML / 16,
    "teaspoon": CUP_ML / 48,
    "fluid ounce": CUP_ML / 8,
    "pint": CUP_ML * 2,
    "quart": CUP_ML * 4,
    # Of a teaspoon, as measuring spoons so named hold: common practice, no source.
    "dash": CUP_ML / 48 / 8,
    "pinch": CUP_ML / 48 / 16,
    **{unit: 1000 * litres for unit, litres in LITRES_PER.items()},
}
WRITTEN = {
    "cup": ("cups", "c"),
    "tablespoon": ("tablespoons", "tbsp", "tbsps", "tbs", "T"),
    "teaspoon": ("teaspoons", "tsp", "tsps", "t"),
    "fluid ounce": ("fluid ounces", "fl oz", "floz"),
    "pint": ("pints", "pt"),
    "quart": ("quarts", "qt"),
    "dash": ("dashes",),
    "pinch": ("pinches",),
    "g": ("gram", "grams", "gr"),
    "kg": ("kilo", "kilos", "kilogram", "kilograms"),
    "oz": ("ounce", "ounces"),
    "lb": ("lbs", "pound", "pounds"),
    "l": ("litre", "litres", "liter", "liters"),
    "ml": ("millilitre", "millilitres", "milliliter", "milliliters"),
    "°C": ("C", "c°", "degC", "celsius", "degrees C"),
    "°F": ("F", "degF", "fahrenheit", "degrees F"),
    "piece": ("pieces",),
}
GLYPHS = {
    "½": "1/2", "⅓": "1/3", "⅔": "2/3", "¼": "1/4", "¾": "3/4", "⅕": "1/5", "⅖": "2/5",
    "⅗": "3/5", "⅘": "4/5", "⅙": "1/6", "⅚": "5/6", "⅛": "1/8", "⅜": "3/8", "⅝": "5/8", "⅞": "7/8",
}  # fmt: skip
WORDS = {"a": "1", "an": "1", "one": "1", "two": "2", "three": "3", "half": "1/2", "quarter": "1/4"}

EXPECTED = mark("an amount such as 1 1/2 cups, ½ tsp, 250 g or a pinch")
LONGEST = 60

_NUMBER = r"\d{1,9}(?:[.,]\d{1,9})?(?:\s*/\s*\d{1,9})?"
_MIXED = rf"(?:\d{{1,9}}\s+\d{{1,9}}\s*/\s*\d{{1,9}}|{_NUMBER})"
_AMOUNT = re.compile(rf"^({_MIXED})(?:\s*(?:-|–|to)\s*({_MIXED}))?\s*(.*)$")


@dataclass(frozen=True, slots=True)
class Spoken:
    """An amount with its range; unit is one of WRITTEN, or "" for a bare number."""

    low: Fraction
    high: Fraction
    unit: str

    @property
    def mid(self) -> Fraction:
        """The middle of the range, to work with."""
        return (self.low + self.high) / 2

    @property
    def grams(self) -> Fraction | None:
        """Grams of the middle when it is a mass, else None."""
        return self.mid * GRAMS_PER[self.unit] if self.unit in GRAMS_PER else None

    @property
    def millilitres(self) -> Fraction | None:
        """Millilitres of the middle when it is a volume, else None."""
        return self.mid * ML_PER[self.unit] if self.unit in ML_PER else None

    def __str__(self) -> str:
        """Written strictly: one number or a range, decimals with a point, the unit's one name."""
        ends = dict.fromkeys(print_number(float(each), 3) for each in (self.low, self.high))
        return f"{' to '.join(ends)} {self.unit}".strip()


def read_amount(text: str, field: str = "amount") -> Spoken:
    """The amount that `text` means.

    Whole numbers, decimals with a point or a comma, fractions, ½ and its kin, "a" and "half", a
    range with a dash or "to", and units in full or short, one or many. T is a tablespoon and t a
    teaspoon. Raises UnitError, one line, for anything else, such as a range that falls.
    """
    plain = text.strip()
    if len(plain) > LONGEST:
        raise UnitError(field, repr(plain[:20] + "…"), say(EXPECTED))
    for glyph, written in GLYPHS.items():
        plain = plain.replace(glyph, f" {written}")
    plain = re.sub(r"^half an?\b", "half", plain.strip(), flags=re.I)
    first, _, rest = plain.partition(" ")
    plain = f"{WORDS.get(first.casefold(), first)} {rest}".strip()
    match = _AMOUNT.match(plain)
    if match is None:
        raise UnitError(field, repr(text), say(EXPECTED))
    low = _number(match[1], text, field)
    high = _number(match[2], text, field) if match[2] else low
    if high < low:
        raise UnitError(field, repr(text), say("a range that rises, such as 93-95 °F"))
    return Spoken(low, high, _unit(match[3].strip(), text, field))


def _number(text: str, whole: str, field: str) -> Fraction:
    total = Fraction()
    for part in re.sub(r"\s*/\s*", "/", text).replace(",", ".").split():
        over, _, under = part.partition("/")
        if under and not int(under):
            raise UnitError(field, repr(whole), say("a fraction that is not over 0"))
        total += Fraction(over) / int(under or 1)
    return total


def _unit(text: str, whole: str, field: str) -> str:
    if not text:
        return ""
    bare = text.rstrip(".")
    for unit, others in WRITTEN.items():
        names = (unit, *others)
        if bare in names:
            return unit
    for unit, others in WRITTEN.items():
        if bare.casefold() in {each.casefold() for each in (unit, *others)} and len(bare) > 1:
            return unit
    if bare in LITRES_PER or bare in GRAMS_PER:
        return bare
    raise UnitError(field, repr(whole), say(EXPECTED))
