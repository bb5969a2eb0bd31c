"""A recipe as linked data: schema.org's Recipe in JSON-LD.

The vocabulary is schema.org's, release 28 and later (from memory): Recipe, HowToStep,
NutritionInformation, CreativeWork. Durations are ISO 8601.
"""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import timedelta
from typing import Any

MEDIA_TYPE = "application/ld+json"
FORMULA_TYPE = "application/toml"
"""Of the formula's own file, which goes along: a CreativeWork has an encoding, a MediaObject."""


@dataclass(frozen=True, slots=True)
class RecipeStep:
    """One step: its name and what is done."""

    name: str
    text: str


@dataclass(frozen=True, slots=True)
class LinkedRecipe:
    """A recipe for other programs. Texts are as a person reads them.

    pieces: how many it makes; made: that in words. prep: of hands; cook: in the oven; total: from
    the first step to bread, which only a plan knows. source: the formula as its file has it, so
    that it comes back unchanged.
    nutrition: by schema.org's names, "170 kcal". serving: what those are of. author, year,
    licence: "" and None where the formula does not say.
    """

    name: str
    about: str
    pieces: int
    made: str
    ingredients: Sequence[str]
    steps: Sequence[RecipeStep]
    prep: timedelta | None = None
    cook: timedelta | None = None
    total: timedelta | None = None
    nutrition: dict[str, str] = field(default_factory=dict)
    serving: str = ""
    author: str = ""
    year: int | None = None
    licence: str = ""
    address: str = ""
    language: str = "en"
    source: str = ""

    def as_data(self) -> dict[str, Any]:
        """The object of the vocabulary; what is not known is left out."""
        nutrition: dict[str, Any] = {}
        if self.nutrition:
            nutrition = {
                "@type": "NutritionInformation",
                **({"servingSize": self.serving} if self.serving else {}),
                **self.nutrition,
            }
        found = {
            "@context": "https://schema.org",
            "@type": "Recipe",
            "name": self.name,
            "description": self.about,
            "url": self.address,
            "inLanguage": self.language,
            "author": {"@type": "Person", "name": self.author} if self.author else None,
            "copyrightYear": self.year,
            "license": self.licence,
            "recipeCategory": "Bread",
            "recipeYield": [str(self.pieces), self.made],
            "recipeIngredient": list(self.ingredients),
            "recipeInstructions": [
                {"@type": "HowToStep", "position": n, "name": step.name, "text": step.text}
                for n, step in enumerate(self.steps, start=1)
            ],
            "prepTime": iso_duration(self.prep),
            "cookTime": iso_duration(self.cook),
            "totalTime": iso_duration(self.total),
            "nutrition": nutrition,
            "encoding": {
                "@type": "MediaObject",
                "encodingFormat": FORMULA_TYPE,
                "text": self.source,
            }
            if self.source
            else None,
        }
        return {key: value for key, value in found.items() if value not in (None, "", [], {})}

    def as_text(self) -> str:
        """The same as a file."""
        return json.dumps(self.as_data(), ensure_ascii=False, indent=2) + "\n"

    def as_script(self) -> str:
        """The same for inside a script element of a page."""
        return as_script(self.as_data())


def as_script(data: Mapping[str, Any]) -> str:
    """Linked data for inside a script element of a page, which nothing in it can end.

    HTML (13.2.5.15) ends one at "</script", and reads on otherwise after "<!--": no "<" is
    written, nor the line ends that older scripts have (U+2028, U+2029).
    """
    text = json.dumps(data, ensure_ascii=False)
    for sign in "<>&\u2028\u2029":
        text = text.replace(sign, f"\\u{ord(sign):04x}")
    return text


def iso_duration(span: timedelta | None) -> str | None:
    """ "PT4H35M" (ISO 8601-1, 5.5.2); None where it is not known."""
    if span is None:
        return None
    hours, minutes = divmod(round(span / timedelta(minutes=1)), 60)
    if not hours:
        return f"PT{minutes}M"
    return f"PT{hours}H{minutes}M" if minutes else f"PT{hours}H"
