"""What bread contains: the sum of what went in, over the mass that comes out of the oven.

What a culture eats is not taken off: of the flour about 1 to 3 % becomes acid, alcohol and gas, and
most of the alcohol leaves in the oven (common practice, no source). So sugars and energy are a
little too high, and no more is known of the vitamins that the oven destroys.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from fractions import Fraction

from pointage.data import load
from pointage.errors import InputError
from pointage.formula.flour.figures import with_figures
from pointage.formula.ingredients import Ingredient, ingredient
from pointage.language import say
from pointage.mixture.flours import Flours

UNITS = {
    "energy": "kcal", "energy_kj": "kJ", "water": "g", "protein": "g", "fat": "g",
    "saturated": "g", "trans": "g", "carbohydrate": "g", "available": "g", "fibre": "g",
    "sugars": "g", "added_sugars": "g", "ash": "g", "alcohol": "g", "organic_acids": "g",
    "salt": "g", "sodium": "mg", "potassium": "mg", "calcium": "mg", "iron": "mg",
    "cholesterol": "mg", "vitamin_d": "µg",
}  # fmt: skip
REPORTED = tuple(UNITS)
DERIVED = ("energy_kj", "available", "salt")

SALT_OF_SODIUM = Fraction(5, 2)  # Regulation (EU) No 1169/2011, Annex I
KJ_PER_KCAL = Fraction("4.184")

# Loss in the oven, percent of the dough, by the mass of a piece: common practice, no source, within
# the 8 to 15 % that the trade allows; a tin shelters its loaf. An oven model knows better.
USUAL_LOSS = ((150, 15), (500, 13), (1000, 12), (2000, 10))
LEAST_LOSS = 9
TIN_LOSES_LESS = 1


@dataclass(frozen=True, slots=True)
class Amount:
    """A sum. missing: ingredients whose figure is not known, so that it is at least `known`."""

    known: Fraction
    missing: tuple[str, ...] = ()

    def __mul__(self, factor: Fraction) -> Amount:
        return Amount(self.known * factor, self.missing)

    def __add__(self, other: Amount) -> Amount:
        missing = dict.fromkeys((*self.missing, *other.missing))
        return Amount(self.known + other.known, tuple(sorted(missing)))


@dataclass(frozen=True, slots=True)
class Nutrients:
    """Amounts by figure, in the units of UNITS, in `mass_g` grams."""

    mass_g: Fraction
    amounts: Mapping[str, Amount]

    def per(self, grams: Fraction) -> Nutrients:
        """The contents of `grams` of the same thing."""
        share = grams / self.mass_g
        return Nutrients(grams, {name: each * share for name, each in self.amounts.items()})


def contents(grams: Mapping[str, Fraction], flours: Flours | None = None) -> Nutrients:
    """What `grams` of each ingredient by name contain together.

    Exact in the tables' figures and linear in grams. flours: the own figures of flours, which stand
    before the tables'. Raises InputError for a name that is unknown
    and for no mass at all.
    """
    mass = sum(grams.values(), Fraction())
    if mass <= 0:
        raise InputError(
            "ingredients", f"{float(mass):g} g", say("more than 0 g of at least one ingredient")
        )
    own = flours or {}
    parts = [
        (with_figures(ingredient(name), own.get(name)), mass)
        for name, mass in sorted(grams.items())
        if mass
    ]
    amounts = {name: _sum(name, parts) for name in REPORTED if name not in DERIVED}
    amounts["energy_kj"] = amounts["energy"] * KJ_PER_KCAL
    carbohydrate, fibre = amounts["carbohydrate"], amounts["fibre"]
    amounts["available"] = carbohydrate + fibre * Fraction(-1)
    amounts["salt"] = amounts["sodium"] * (SALT_OF_SODIUM / 1000)
    return Nutrients(mass, amounts)


def _sum(figure: str, parts: Iterable[tuple[Ingredient, Fraction]]) -> Amount:
    total, missing = Fraction(), []
    for it, grams in parts:
        value = getattr(it, figure)
        if value is None:
            missing.append(it.name)
        else:
            total += Fraction(str(value)) * grams / 100
    return Amount(total, tuple(missing))


def baked(dough: Nutrients, loss: Fraction) -> Nutrients:
    """The bread of `dough` that loses `loss` of its mass as water in the oven, 0 to under 1.

    Raises InputError, field "loss", for more water than there is.
    """
    lost = loss * dough.mass_g
    water = dough.amounts["water"]
    if not 0 <= loss < 1 or lost > water.known:
        most = float(100 * water.known / dough.mass_g)
        raise InputError(
            "loss",
            f"{float(100 * loss):g} %",
            say("from 0 to the {most:.0f} % of water in the dough", most=most),
        )
    left = Amount(water.known - lost, water.missing)
    return Nutrients(dough.mass_g - lost, {**dough.amounts, "water": left})


def with_eu_energy(food: Nutrients) -> Nutrients:
    """`food` with its energy by the factors of Regulation (EU) No 1169/2011, Annex XIV."""
    factors: Mapping[str, tuple[int, int]] = load("label/eu.toml")["factors"]
    energies = []
    for unit in (0, 1):
        total = Amount(Fraction())
        for figure, values in factors.items():
            total = total + food.amounts[figure] * Fraction(values[unit])
        energies.append(total)
    kilojoules, kilocalories = energies
    return Nutrients(food.mass_g, {**food.amounts, "energy_kj": kilojoules, "energy": kilocalories})


def usual_loss(shape: str, piece_g: Fraction) -> Fraction:
    """The share of its mass that a piece of dough of `piece_g` grams loses in the oven, as a rule.

    By mass and for a tin one point less; between 8 and 15 %. Common practice, no source.
    """
    percent = next((loss for most, loss in USUAL_LOSS if piece_g < most), LEAST_LOSS)
    if shape == "tin":
        percent -= TIN_LOSES_LESS
    return Fraction(percent, 100)
