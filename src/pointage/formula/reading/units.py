"""Units as recipes write them, in English, German, French and Italian."""

from __future__ import annotations

import re
from collections.abc import Mapping
from fractions import Fraction
from functools import cache
from typing import NamedTuple

from pointage.formula.file.measures import CUP_ML, ML_PER
from pointage.quantities import GRAMS_PER

# The imperial pint is 568.26125 ml and its fluid ounce a twentieth of it, exact by definition. The
# metric spoons of Europe hold 15 and 5 ml: common practice, no source.
IMPERIAL_PINT_ML = Fraction("568.26125")
METRIC_ML: Mapping[str, Fraction] = {"tablespoon": Fraction(15), "teaspoon": Fraction(5)}
BRITISH_ML: Mapping[str, Fraction] = {
    **METRIC_ML, "pint": IMPERIAL_PINT_ML, "fluid ounce": IMPERIAL_PINT_ML / 20,
}  # fmt: skip

_MASSES: Mapping[str, tuple[Fraction, str]] = {
    "g": (GRAMS_PER["g"], "g gr gm gms gram grams gramm gramme grammes grammo grammi"),
    "kg": (
        GRAMS_PER["kg"],
        "kg kgs kilo kilos kilogram kilograms kilogramm kilogramme chilo chili",
    ),
    "mg": (GRAMS_PER["mg"], "mg"),
    "oz": (GRAMS_PER["oz"], "oz ounce ounces onces once"),
    "lb": (GRAMS_PER["lb"], "lb lbs pound pounds"),
    "Pfund": (Fraction(500), "Pfund livre livres"),
}
_VOLUMES: Mapping[str, tuple[Fraction, str]] = {
    "ml": (Fraction(1), "ml mls millilitre millilitres milliliter milliliters cc"),
    "cl": (Fraction(10), "cl centilitre centilitres"),
    "dl": (Fraction(100), "dl decilitre"),
    "l": (Fraction(1000), "l litre litres liter liters litro litri"),
    "cup": (CUP_ML, "cup cups c C tasse tassen tasses tazza tazze"),
    "tablespoon": (
        ML_PER["tablespoon"],
        "tablespoon tablespoons tablespoonful tbsp tbsps tbs tbl T EL Esslöffel|c. à soupe|c. à s."
        "|cuillère à soupe|cuillères à soupe|cuil. à soupe|càs cas cucchiaio cucchiai",
    ),
    "teaspoon": (
        ML_PER["teaspoon"],
        "teaspoon teaspoons teaspoonful tsp tsps t TL Teelöffel|c. à café|c. à c."
        "|cuillère à café|cuillères à café|cuil. à café|càc cac cucchiaino cucchiaini",
    ),
    "fluid ounce": (ML_PER["fluid ounce"], "floz|fl oz|fl. oz|fluid ounce|fluid ounces"),
    "pint": (ML_PER["pint"], "pint pints pt"),
    "quart": (ML_PER["quart"], "quart quarts qt"),
    "pinch": (ML_PER["pinch"], "pinch pinches Prise Prisen pincée pincées pizzico pizzichi"),
    "dash": (ML_PER["dash"], "dash dashes"),
}  # fmt: skip
_COUNTED: Mapping[str, str] = {
    "stick": "stick sticks",
    "packet": "packet packets sachet sachets package packages pack envelope envelopes Päckchen Pck."
    " bustina bustine sachets",
    "cube": "cube cubes Würfel cubetto panetto",
    "clove": "clove cloves Zehe Zehen gousse gousses spicchio spicchi",
    "piece": "piece pieces Stück",
    "large": "large grosse große gros grande grandi",
    "medium": "medium mittelgroße moyen medio medie",
    "small": "small kleine petit petits piccolo",
}


class RecipeUnit(NamedTuple):
    """A unit by its own name. kind: "mass", "volume" or "count"; size: grams or millilitres."""

    name: str
    kind: str
    size: Fraction


def unit_of(text: str, country: str = "") -> RecipeUnit | None:
    """The unit that a word names, in the size it has in a country; None for any other word."""
    word = text.strip().rstrip(".")
    found = _units().get(word) or _units().get(word.casefold())
    if found is None or found.kind != "volume" or country in ("", "us"):
        return found
    sizes = BRITISH_ML if country == "gb" else METRIC_ML
    return found._replace(size=sizes.get(found.name, found.size))


@cache
def _units() -> Mapping[str, RecipeUnit]:
    found: dict[str, RecipeUnit] = {}

    def put(unit: RecipeUnit, spellings: str) -> None:
        for part in spellings.split("|"):
            for each in part.split() if not {" "} <= set(part) or _is_list(part) else [part]:
                bare = each.rstrip(".")
                found[bare] = unit
                if len(bare) > 1:
                    found[bare.casefold()] = unit

    for name, (size, spellings) in _MASSES.items():
        put(RecipeUnit(name, "mass", size), spellings)
    for name, (size, spellings) in _VOLUMES.items():
        put(RecipeUnit(name, "volume", size), spellings)
    for name, spellings in _COUNTED.items():
        put(RecipeUnit(name, "count", Fraction(1)), spellings)
    return found


def _is_list(part: str) -> bool:
    """Whether a part of the spellings is several of one word, not one of several words."""
    return not part.startswith(("c. ", "cuil", "fl ", "fl. ", "fluid "))


@cache
def unit_pattern() -> str:
    """A regular expression of all units, the longest first. A single letter is as it is written."""
    single = {each for each in _units() if len(each) == 1}
    words = sorted({each for each in _units() if each not in single}, key=len, reverse=True)
    many = "|".join(re.escape(each) for each in words)
    return rf"(?:(?i:{many})|[TtgGlLcC])(?![^\W\d_])\.?"
