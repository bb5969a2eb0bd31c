"""What each part of a mix holds of heat: by what it is made of, fresh or frozen."""

from __future__ import annotations

from functools import cache

from pointage.data.records import until_changed
from pointage.errors import InputError
from pointage.formula.ingredients import Ingredient, ingredient, ingredients
from pointage.language import say
from pointage.science.composition import Composition, food_heat_capacity
from pointage.science.heat_balance import (
    HEAT_CAPACITY,
    LATENT_HEAT_OF_ICE,
    HeatPart,
    flour_heat_capacity,
    frozen_part,
    ice_heat_capacity,
)
from pointage.science.wetting import heat_of_wetting

WATER = HEAT_CAPACITY["water"]
ICE = "ice"

MIXTURES = ("seed", "levain", "soaker", "dough")
"""Parts that are flour and water already, in equal parts unless "levain/60" says otherwise."""

ALIVE = frozenset({"seed", "levain", "dough"})
HALF_AND_HALF = 1.0
DRIEST, WETTEST = 0.1, 10.0
DUST = "wheat-white"  # what "flour" is when nobody says which

# Water that dough does not give up to ice, over its protein, starch and fibre: the literature on
# frozen dough has 0.3 to 0.4 (from memory).
BOUND = 0.35

Curve = tuple[float, float, float]
"""A heat capacity in kJ/(kg·K) as a + b·t + d·t², t in °C."""


def kinds() -> tuple[str, ...]:
    """Every word for a part of a mix."""
    return ("flour", *MIXTURES, ICE, *ingredients())


@until_changed
@cache
def heat_capacity_curve(kind: str, moisture: float | None = None) -> Curve:
    """Heat capacity of a kind of part, thawed, in kJ/(kg·K).

    Flour, water and salt have measured values (science/heat_balance.py): by composition flour
    comes out up to 8 % high, for its water is bound, and salt a third high. All else is by
    composition (Choi & Okos). A mixture is the sum of its flour and water. moisture: of a flour,
    percent, where it is not that of its record.
    """
    name, hydration = _split(kind)
    if name in MIXTURES:
        mean = (HEAT_CAPACITY["flour"] + hydration * WATER) / (1.0 + hydration)
        return mean, 0.0, 0.0
    if name == ICE:
        return WATER, 0.0, 0.0
    if name == "flour" and moisture is None:
        return HEAT_CAPACITY["flour"], 0.0, 0.0  # the table's flour, for want of a better
    it = ingredient(DUST if name == "flour" else name)
    if it.kind == "flour":
        return flour_heat_capacity(_moisture(it, moisture)), 0.0, 0.0
    if it.kind in HEAT_CAPACITY:
        return HEAT_CAPACITY[it.kind], 0.0, 0.0
    low, middle, high = (food_heat_capacity(_composition(it), t) for t in (0.0, 50.0, 100.0))
    d = (high - 2.0 * middle + low) / (2.0 * 50.0**2)
    return low, (middle - low) / 50.0 - 50.0 * d, d


def heat_capacity(kind: str, celsius: float, moisture: float | None = None) -> float:
    """kJ/(kg·K) of a kind of part, thawed, at its temperature; below 0 °C as at 0."""
    a, b, d = heat_capacity_curve(kind, moisture)
    t = max(celsius, 0.0)
    return a + b * t + d * t**2


def part(kind: str, kilograms: float, celsius: float, moisture: float | None = None) -> HeatPart:
    """A part of a mix. What is wet and below 0 °C is frozen through, but for its bound water."""
    capacity = heat_capacity(kind, celsius, moisture)
    if kind == ICE:
        thaw = LATENT_HEAT_OF_ICE + (WATER - ice_heat_capacity(celsius / 2)) * celsius
        return HeatPart(kilograms, WATER, celsius, thaw)
    ice = freezable(kind) if celsius < 0.0 else 0.0
    if not ice:
        return HeatPart(kilograms, capacity, celsius)
    rest = (capacity - ice * WATER) / (1.0 - ice) if ice < 1.0 else 0.0
    return frozen_part(kilograms, capacity, celsius, ice, rest)


@until_changed
@cache
def freezable(kind: str) -> float:
    """Share of a part's mass that turns to ice in a freezer."""
    name, hydration = _split(kind)
    if name == ICE:
        return 1.0
    it = _composition(ingredient(DUST if name in ("flour", *MIXTURES) else name))
    water, holds = it.water / 100, (it.protein + it.carbohydrate + it.fibre) / 100
    if name in MIXTURES:
        water, holds = (water + hydration) / (1 + hydration), holds / (1 + hydration)
    return max(0.0, min(1.0, water - BOUND * holds))


def heat_of_wetting_flour(kind: str, kilograms: float, moisture: float | None = None) -> float:
    """kJ that a part gives off as it is wetted: of a flour; 0 of a mixture, whose has gone."""
    if not is_flour(kind):
        return 0.0
    it = ingredient(DUST if kind == "flour" else kind)
    return kilograms * heat_of_wetting(_moisture(it, moisture))


def _moisture(it: Ingredient, own: float | None) -> float:
    """A flour's water as a share of its mass."""
    return (it.water if own is None else own) / 100


def is_flour(kind: str) -> bool:
    """Whether a kind of part is flour as it comes out of the sack."""
    return kind == "flour" or (kind in ingredients() and ingredient(kind).kind == "flour")


def is_alive(kind: str) -> bool:
    """Whether a kind of part has yeast in it."""
    return _split(kind)[0] in ALIVE


def hydration_of(kind: str, field: str = "part") -> float:
    """Water over flour of "levain/60" (0.6), or of "levain" (1). Raises InputError, `field`."""
    name, slash, percent = kind.partition("/")
    if not slash:
        return HALF_AND_HALF
    expected = say("a mixture with its water in percent of its flour, such as levain/60")
    try:
        found = float(percent.strip().removesuffix("%")) / 100
    except ValueError:
        raise InputError(field, repr(kind), expected) from None
    if name not in MIXTURES or not DRIEST <= found <= WETTEST:
        raise InputError(field, repr(kind), say("{expected}, from 10 to 1000", expected=expected))
    return found


def _split(kind: str) -> tuple[str, float]:
    return kind.partition("/")[0], hydration_of(kind)


def _composition(it: Ingredient) -> Composition:
    starch = max(it.carbohydrate - it.fibre, 0.0)  # carbohydrate by difference has the fibre in it
    return Composition(it.water, it.protein, it.fat, starch, it.fibre, it.ash)
