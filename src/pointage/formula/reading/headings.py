"""What a heading of a recipe stands over: a stage, all ingredients, the method, the outside."""

from __future__ import annotations

import re
from dataclasses import dataclass

from pointage.data import load
from pointage.formula.formula import StageKind
from pointage.formula.names import plain

METHOD, INGREDIENTS, OUTSIDE, UNKNOWN = "method", "ingredients", "outside", "unknown"
LONGEST_HEADING = 60
MOST_WORDS = 7

# In the order in which they are looked for: old dough is dough as well, and a rye sour a levain.
_KINDS: tuple[tuple[str, str], ...] = (
    (METHOD, r"method|instructions?|directions?|steps?|preparation|procedure|process|how to"
             r"|notes?|tips?|equipment"
             r"|zubereitung|anleitung|etapes?|preparazione|procedimento|recette|herstellung"
             r"|nutrition|schedule"),
    (StageKind.OLD_DOUGH, r"old dough|pate fermentee|altteig|alter teig|pasta di riporto"),
    (OUTSIDE, r"toppings?|glaze|egg ?wash|dusting|decoration|coating|finish(?:ing)?|filling"
              r"|streusel|belag"
              r"|dorure|garniture|fullung|ripieno|glassa|icing|frosting"),
    (StageKind.SCALD, r"scald(?:ed)?|bruhstuck|kochstuck|mehlkochstuck|tang ?zhong|yudane"
                      r"|water roux|porridge|mash"),
    (StageKind.SOAKER, r"soakers?|soak|quellstuck|trempage|ammollo"),
    (StageKind.ADDITION, r"additions?|add ?ins?|mix ?ins?|inclusions?|bassinage|second water"),
    (StageKind.LEVAIN, r"levain|leaven|starter|pre ?ferment|poolish|biga|sponge|builds?"
                       r"|(?:\w+)?sauerteig"
                       r"|vorteig|anstellgut|prefermento|lievito(?: madre)?|pasta madre"
                       r"|rinfresco|chef|refresh(?:ment)?"
                       r"|refreshed|feed(?:ing)?|(?:weizen|roggen|dinkel)sauer|(?:grund|voll"
                       r"|anfrisch)sauer"),
    (INGREDIENTS, r"ingredients?|zutaten|ingredienti|you(?: will|ll) need|what you need|formula"
                  r"|overall formula"),
    (StageKind.DOUGH, r"dough|final|main|(?:haupt)?teig|pate|impasto|petrissage|autolyse"
                      r"|for (?:the )?(?:bread|loaf|loaves|rolls?)"),
)  # fmt: skip
_BESIDE = frozenset(load("recipe-words.toml")["headings"].split())


@dataclass(frozen=True, slots=True)
class RecipeHeading:
    """A heading: what it stands over (a StageKind or a word of this module), and its name."""

    over: str
    name: str


def read_heading(line: str) -> RecipeHeading | None:
    """The heading that a line is, None for any other line."""
    text = line.strip()
    marked = bool(re.match(r"^(?:#{1,6}\s|\*\*.+\*\*:?$|__.+__:?$|==+)", text)) or text.endswith(
        ":"
    )
    bare = re.sub(r"\([^()]*\)?", " ", text.strip("#*_=: \t"))
    bare = re.sub(r"\s[-–—]?\s*\d+\s?g$", "", bare).strip(" -–—:.")
    words = plain(bare)
    if not words or len(bare) > LONGEST_HEADING or len(words.split()) > MOST_WORDS:
        return None
    marked = marked or (text.isupper() and len(words) > 3)
    for over, pattern in _KINDS:
        if re.search(rf"\b(?:{pattern})\b", words) is None:
            continue
        left = re.sub(rf"\b(?:{pattern})\b", " ", words).split()
        if marked or all(each in _BESIDE for each in left):
            return RecipeHeading(over, _name(bare))
    if marked and re.search(r"\b(?:sourdough|sour)\b", words):
        return RecipeHeading(StageKind.LEVAIN, _name(bare))
    return RecipeHeading(UNKNOWN, _name(bare)) if marked else None


def _name(text: str) -> str:
    """The name of a stage: "For the soaker" is "Soaker"."""
    bare = re.sub(
        r"^(?:for|für|pour|per)\s+(?:the\s+|den\s+|die\s+|das\s+|le\s+|la\s+|il\s+|l['’])?",
        "",
        text,
        flags=re.I,
    )
    bare = re.sub(r"^the\s+", "", bare.strip(), flags=re.I) or text
    bare = re.sub(r"\s+", " ", bare)
    return (bare.capitalize() if bare.isupper() else bare[:1].upper() + bare[1:])[:LONGEST_HEADING]
