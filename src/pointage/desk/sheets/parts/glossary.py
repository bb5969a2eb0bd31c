"""The trade's words that a sheet uses, and what they mean."""

from __future__ import annotations

from collections.abc import Collection, Mapping

from pointage.language import mark, say

TERMS: Mapping[str, tuple[str, str]] = {
    "culture": (
        mark("Culture"),
        mark("Wild yeast and lactic acid bacteria living in flour and water, kept by feeding."),
    ),
    "levain": (
        mark("Levain"),
        mark("A part of the flour fermented ahead with the culture, to raise the dough."),
    ),
    "seed": (mark("Seed"), mark("What is carried over of the culture to start the next feed.")),
    "soaker": (mark("Soaker"), mark("Seeds, grains or flour left to drink before the mix.")),
    "scald": (mark("Scald"), mark("Flour or grain on which boiling water was poured.")),
    "old dough": (mark("Old dough"), mark("Dough kept from an earlier batch.")),
    "percent": (
        mark("Baker's percentage"),
        mark("Each ingredient in percent of all the flour, which is 100."),
    ),
    "hydration": (mark("Hydration"), mark("Water over flour.")),
    "yield": (mark("Dough yield"), mark("Flour and water together for 100 of flour.")),
    "prefermented": (
        mark("Prefermented flour"),
        mark("The share of the flour that has been in a levain."),
    ),
    "bulk": (mark("Bulk"), mark("The first rise, of the whole dough.")),
    "fold": (mark("Fold"), mark("Stretch a side of the dough and lay it over the rest.")),
    "rest": (mark("Bench rest"), mark("The wait between preshaping and shaping.")),
    "proof": (mark("Proof"), mark("The last rise, of the shaped piece.")),
    "retard": (mark("Retard"), mark("Proof in the cold, to slow it down.")),
    "rise": (mark("Rise"), mark("Volume over the volume just after mixing.")),
    "score": (mark("Score"), mark("Cut the skin so that it opens where it should.")),
    "boule": (mark("Boule"), mark("A round loaf.")),
    "bâtard": (mark("Bâtard"), mark("An oval loaf.")),
    "crumb": (mark("Crumb"), mark("The inside of the bread.")),
    "ripe": (mark("Ripe"), mark("Risen to near its height, and fit to be used.")),
}
"""By a key; the meanings are common practice in the trade."""


def glossary(used: Collection[str]) -> tuple[tuple[str, str], ...]:
    """The words of the keys that are used, as they stand in a dictionary."""
    found = ((say(word), say(meaning)) for key, (word, meaning) in TERMS.items() if key in used)
    return tuple(sorted(found, key=lambda row: row[0].casefold()))
