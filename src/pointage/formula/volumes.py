"""Cups and spoons for those who ask. Grams are the truth; a cup of flour is a guess."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from math import ceil, floor

from pointage.errors import At, InputError
from pointage.formula.file.measures import ML_PER, Spoken
from pointage.formula.ingredients import Ingredient, Volume, ingredient
from pointage.language import say, say_many

# A cup has quarters and thirds, a spoon quarters: what a set of measures holds.
CUP_PARTS = (Fraction(0), Fraction(1, 4), Fraction(1, 3), Fraction(1, 2), Fraction(2, 3),
             Fraction(3, 4), Fraction(1))  # fmt: skip
SPOON_PART = Fraction(1, 4)
# The least that is still shown in each.
LEAST = {"cup": Fraction(1, 4), "tablespoon": Fraction(1), "teaspoon": Fraction(0)}


@dataclass(frozen=True, slots=True)
class CookMeasure:
    """Grams as a measure: "2 1/3 cups". off: how far a cook's measure can be wrong, percent.

    It is the measure's own doubt and what rounding to a real cup or spoon adds. source: of the
    density.
    """

    text: str
    off: float
    source: str


def grams_per_cup(name: str) -> Fraction:
    """Grams of a US cup of an ingredient. Raises InputError when no table gives its density."""
    return _mass(_volume(ingredient(name), "volume"), "cup")


def in_measures(name: str, grams: Fraction) -> CookMeasure:
    """`grams` of an ingredient in cups or spoons, to the nearest that a set of measures has.

    Raises InputError when its density is not known or there is nothing to measure.
    """
    it = ingredient(name)
    if grams <= 0:
        raise InputError(
            At(say(it.label), (it.label,)), f"{float(grams):g} g", say("a mass above 0 g")
        )
    volume = _volume(it, "volume")
    unit = next(unit for unit, least in LEAST.items() if grams >= least * _mass(volume, unit))
    exact = grams / _mass(volume, unit)
    number = _nearest_cups(exact) if unit == "cup" else _nearest_spoons(exact)
    if not number:
        return CookMeasure(say("less than 1/4 teaspoon"), 100.0, volume.source)
    rounding = abs(float(number / exact) - 1) * 100
    return CookMeasure(_written(number, unit), round(volume.off + rounding, 1), volume.source)


def in_grams(name: str, amount: Spoken, field: str = "amount") -> Fraction:
    """Grams of an amount as it was spoken: a mass as it is, a volume by the ingredient's density.

    Raises InputError for a unit that is neither, and for a volume of what has no known density.
    """
    if amount.grams is not None:
        return amount.grams
    it = ingredient(name, field)
    if amount.millilitres is None:
        raise InputError(
            field, repr(str(amount)), say("a mass or a volume, such as 250 g or 2 cups")
        )
    volume = _volume(it, field, str(amount))
    return amount.mid * _mass(volume, amount.unit)


def _volume(it: Ingredient, field: str, given: str = "") -> Volume:
    if it.volume is None:
        raise InputError(
            field,
            given or say(it.label),
            say(
                "grams, because no table gives the weight of a cup of {ingredient}",
                ingredient=say(it.label),
            ),
        )
    return it.volume


def _mass(volume: Volume, unit: str) -> Fraction:
    """Grams of a measure: as it was weighed, else its share of the measure that was."""
    if unit in volume.grams:
        return volume.grams[unit]
    weighed, grams = next(iter(volume.grams.items()))
    return grams * ML_PER[unit] / ML_PER[weighed]


def _nearest_cups(cups: Fraction) -> Fraction:
    whole = floor(cups)
    return whole + min(CUP_PARTS, key=lambda part: (abs(cups - whole - part), part))


def _nearest_spoons(spoons: Fraction) -> Fraction:
    return floor(spoons / SPOON_PART + Fraction(1, 2)) * SPOON_PART


def _written(number: Fraction, unit: str) -> str:
    whole, part = divmod(number, 1)
    pieces = [str(whole)] if whole else []
    pieces += [str(part)] if part else []
    words = " ".join(pieces)
    if unit == "cup":
        return say_many("{number} cup", "{number} cups", ceil(number), number=words)
    if unit == "tablespoon":
        return say_many("{number} tablespoon", "{number} tablespoons", ceil(number), number=words)
    return say_many("{number} teaspoon", "{number} teaspoons", ceil(number), number=words)
