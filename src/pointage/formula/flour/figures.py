"""A flour's own figures: read as a mill's sheet says them, and what they change of a recipe."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import replace
from fractions import Fraction
from typing import Any

from pointage.errors import Faults, InputError
from pointage.formula.ingredients import Ingredient, ingredient
from pointage.language import mark, say
from pointage.mixture.flours import (
    FIGURES,
    LIMITS,
    FlourFigures,
    Flours,
    checked_figure,
    figures_of,
)
from pointage.quantities import print_number, split_number
from pointage.science.flour_analysis import DRY, on_basis

OWN_SOURCE = mark("its own figures")
KEPT_DECIMALS = 3  # of a percent that was said on another basis; sheets have two

# kcal per g: the general factors, for the protein that takes carbohydrate's place or leaves it.
KCAL_PER_G = 4
LEAST_SAID_G = 1.0

_OF_DRY = (
    "energy", "protein", "fat", "saturated", "trans", "carbohydrate", "fibre", "sugars",
    "added_sugars", "ash", "sodium", "potassium", "calcium", "iron", "cholesterol", "vitamin_d",
)  # fmt: skip
_AS_SAID = ("falling_number", "absorption")

_UNITS = {"falling_number": ("", "s"), "moisture": ("", "%"), "absorption": ("", "%")}
_BASES = re.compile(r"(?:%|percent)?\s*(dry|as bought|at\s+(\d+(?:\.\d+)?)\s*%?)?")
_WORDS = {
    "moisture": mark("moisture {number} %"),
    "protein": mark("protein {number} %"),
    "ash": mark("ash {number} % of dry matter"),
    "falling_number": mark("falling number {number} s"),
    "absorption": mark("absorption {number} %"),
}


def read_figures(
    said: Mapping[str, str], flour: str, field: Callable[[str], str] = str
) -> FlourFigures:
    """The figures of a flour from what a person types; what is empty is not known.

    said: moisture, protein, ash, falling_number, absorption as texts, and label. A bare ash is
    percent of the dry matter and a bare protein of the flour as bought; "0.53 as bought", "13 dry"
    and "0.47 at 14" say another basis, and are brought to that one by the flour's own moisture.
    field: the name of a figure's field in errors. Raises InputError for what cannot be.
    """
    texts = {figure: text for figure in FIGURES if (text := said.get(figure, "").strip())}
    known: dict[str, float] = {}
    faults = Faults()
    for figure, text in texts.items():
        if figure not in _UNITS:
            continue
        with faults:
            number, unit = split_number(text, field(figure), LIMITS[figure].expected)
            if unit not in _UNITS[figure]:
                raise InputError(field(figure), repr(text), LIMITS[figure].expected)
            known[figure] = checked_figure(figure, float(number), field(figure))
    moisture = known.get("moisture", ingredient(flour).water)
    for figure, usual in (("ash", DRY), ("protein", moisture)):
        if figure not in texts:
            continue
        with faults:
            percent = _percent(texts[figure], figure, field(figure), moisture, usual)
            known[figure] = checked_figure(figure, percent, field(figure))
    faults.check()
    return FlourFigures(**known, label=said.get("label", "").strip())


def _percent(text: str, figure: str, field: str, moisture: float, usual: float) -> float:
    expected = say(
        "{expected}; say the basis if it is another: dry, as bought, or at 14",
        expected=LIMITS[figure].expected,
    )
    number, unit = split_number(text, field, expected)
    basis = _BASES.fullmatch(unit.casefold())
    if basis is None:
        raise InputError(field, repr(text), expected)
    percent = float(number)
    at = {None: usual, "dry": DRY, "as bought": moisture}.get(basis[1], float(basis[2] or 0))
    if at == usual:
        return percent
    if at > 40 or not 0 <= percent <= 100:
        raise InputError(field, repr(text), expected)
    return round(on_basis(percent, at, usual), KEPT_DECIMALS)


def figures_words(own: FlourFigures) -> str:
    """As "moisture 14.8 %, ash 0.62 % of dry matter"."""
    return ", ".join(
        say(_WORDS[figure], number=print_number(value, 2))
        for figure in FIGURES
        if (value := getattr(own, figure)) is not None
    )


def with_figures(it: Ingredient, own: FlourFigures | None) -> Ingredient:
    """A flour as it is by its own figures, for the label and the larder.

    Another moisture w leaves the dry matter as it is, (100 − w)/(100 − w₀) of it in each 100 g.
    What there is more of protein or ash, there is less of carbohydrate, which is by difference;
    energy follows by 4 kcal per gram of protein or carbohydrate. Figures that are the record's
    change nothing.
    """
    if not own:
        return it
    record, moisture = figures_of(it.name), it.water if own.moisture is None else own.moisture
    dry = (100 - moisture) / (100 - it.water)
    more_protein = 0.0 if own.protein is None else own.protein - it.protein * dry
    more_ash = 0.0 if own.ash is None else (own.ash - record.ash) * (100 - moisture) / 100
    changed: dict[str, Any] = {
        name: None if (value := getattr(it, name)) is None else value * dry for name in _OF_DRY
    }
    changed["protein"] += more_protein
    changed["ash"] += more_ash
    changed["carbohydrate"] -= more_protein + more_ash
    if it.energy is not None:
        changed["energy"] -= KCAL_PER_G * more_ash
    said = {figure: own.label or OWN_SOURCE for figure in FIGURES if getattr(own, figure)}
    if "moisture" in said:
        said["water"] = said.pop("moisture")
    changed |= {name: v for name in _AS_SAID if (v := getattr(own, name)) is not None}
    return replace(it, water=moisture, sources={**it.sources, **said}, **changed)


def more_water(grams: Mapping[str, Fraction], flours: Flours) -> dict[str, float]:
    """By flour, how many grams of water more its own figures ask for than its record, less below 0.

    Its absorption says it outright, as water on flour at 14 % moisture: F·(a − a₀)/100. A flour
    whose sheet has none, but another moisture, keeps its dry matter's water: what it brings more is
    poured less, and the dry matter that is wanting takes less: F·(w₀ − w)·(1 + H)/(1 − w₀), with H
    the water poured on a gram of flour, so that water on dry matter stays (conservation of water).
    """
    flour = sum((mass for name, mass in grams.items() if _is_flour(name)), Fraction())
    poured = float(grams.get("water", Fraction()) / flour) if flour else 0.0
    found: dict[str, float] = {}
    for name, own in flours.items():
        mass = float(grams.get(name, Fraction()))
        if not mass or not own:
            continue
        record = ingredient(name)
        if own.absorption is not None and record.absorption is not None:
            found[name] = mass * (own.absorption - record.absorption) / 100
        elif own.moisture is not None:
            found[name] = mass * (record.water - own.moisture) * (1 + poured) / (100 - record.water)
    return found


def water_words(grams: Mapping[str, Fraction], flours: Flours) -> tuple[str, ...]:
    """By flour, what water its own figures ask for where that is a gram or more: a sentence
    without its end."""
    return tuple(
        say(
            _MORE_WATER if more > 0 else _LESS_WATER,
            flour=say(ingredient(name).label),
            grams=print_number(abs(more), 0),
            source=flours[name].label or say(OWN_SOURCE),
        )
        for name, more in more_water(grams, flours).items()
        if abs(more) >= LEAST_SAID_G
    )


_MORE_WATER = mark("{flour} asks for {grams} g more water, by {source}")
_LESS_WATER = mark("{flour} asks for {grams} g less water, by {source}")


def _is_flour(name: str) -> bool:
    return ingredient(name).kind == "flour"
