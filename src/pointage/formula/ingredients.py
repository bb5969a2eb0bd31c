"""What goes into bread: names, labels, composition, and what each is to a fermenting mixture."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from difflib import get_close_matches
from fractions import Fraction
from functools import cache
from typing import NamedTuple

from pointage.data import load
from pointage.errors import InputError


@dataclass(frozen=True, slots=True)
class Ingredient:
    """One ingredient, in grams per 100 g; carbohydrate has the fibre in it.

    source: where the figures are from, as data/ingredients.toml says.
    """

    name: str
    label: str
    kind: str
    water: float
    protein: float
    fat: float
    carbohydrate: float
    fibre: float
    ash: float
    source: str


class Split(NamedTuple):
    """Shares of an ingredient's mass, as a mixture counts them; they sum to 1."""

    flour: Fraction
    water: Fraction
    salt: Fraction
    other: Fraction


@cache
def ingredients() -> Mapping[str, Ingredient]:
    """Every ingredient by name: flours, then water, salt and the rest."""
    table = load("ingredients.toml")
    return {name: Ingredient(name=name, **fields) for name, fields in table.items()}


def ingredient(name: str, field: str = "ingredient") -> Ingredient:
    """The ingredient called `name`. Raises InputError with the nearest names."""
    known = ingredients()
    if name not in known:
        near = get_close_matches(name.casefold(), known, n=3, cutoff=0.5)
        raise InputError(
            field,
            repr(name),
            "an ingredient such as " + " or ".join(near) if near else "one of " + ", ".join(known),
        )
    return known[name]


@cache
def split(name: str) -> Split:
    """How the mass of an ingredient divides into flour, water, salt and other.

    Flour is flour, its own moisture with it. The water of liquids (milk, egg) counts as water; what
    little there is in oats, butter or honey does not, as bakers reckon. Raises InputError.
    """
    it = ingredient(name)
    whole, none = Fraction(1), Fraction(0)
    match it.kind:
        case "flour":
            return Split(whole, none, none, none)
        case "salt":
            return Split(none, none, whole, none)
        case "water":
            return Split(none, whole, none, none)
    water = Fraction(str(it.water)) / 100 if it.kind == "liquid" else none
    return Split(none, water, none, whole - water)
