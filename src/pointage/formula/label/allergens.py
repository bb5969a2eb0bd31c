"""Allergens of a bread, by the words of data/label/allergens.toml, as each law groups them."""

from __future__ import annotations

from collections.abc import Iterable
from difflib import get_close_matches

from pointage.data import load
from pointage.errors import Complaint, Faults, InputError
from pointage.formula.ingredients import Ingredient, ingredient
from pointage.formula.label.rounding import Style
from pointage.language import say

GLUTEN = "cereals containing gluten"


def allergens_of(names: Iterable[str]) -> tuple[str, ...]:
    """The words for what the ingredients called `names` bring, in the table's order.

    Raises InputError, field "allergens", for one of which nobody said them.
    """
    names = tuple(names)
    makes = [say(it.label) for it in map(ingredient, names) if _by_make(it)]
    if makes:
        given = Complaint(say("not known of {names}", names=say(" and ").join(makes)))
        expected = say("an ingredient of your own like it, with what stands on its packet")
        raise InputError("allergens", given, expected)
    if unsaid := unsaid_allergens(names):
        given = Complaint(say("not known of {names}", names=say(" and ").join(unsaid)))
        raise InputError("allergens", given, say("its allergens, or “none”, in your ingredients"))
    brought = {word for name in names for word in ingredient(name).allergens}
    return tuple(word for word in load("label/allergens.toml") if word in brought)


def _by_make(it: Ingredient) -> bool:
    """Whether it comes with the program and has other allergens from make to make."""
    return not it.allergens_known and not it.like


def unsaid_allergens(names: Iterable[str]) -> tuple[str, ...]:
    """The labels of those of which nobody said what allergens they have."""
    return tuple(say(it.label) for it in map(ingredient, names) if not it.allergens_known)


def checked(words: Iterable[str], field: str) -> tuple[str, ...]:
    """`words` as the table has them. Raises InputError with the nearest for each it has not."""
    table, faults = load("label/allergens.toml"), Faults()
    for word in words:
        if word not in table:
            near = get_close_matches(word.casefold(), table, n=3, cutoff=0.5) or list(table)
            expected = say("an allergen such as {names}", names=say(" or ").join(near))
            faults.found.append(InputError(field, repr(word), expected))
    faults.check()
    return tuple(word for word in table if word in set(words))


def declared(words: Iterable[str], style: Style) -> tuple[str, ...]:
    """What the law of `style` wants named for `words`: "wheat (spelt)", "milk"; each once."""
    table = load("label/allergens.toml")
    return tuple(dict.fromkeys(table[word]["name"] for word in words if style in table[word]))


def named(words: Iterable[str]) -> tuple[str, ...]:
    """The names of `words`, whatever the law wants: for what the baker states unasked."""
    table = load("label/allergens.toml")
    return tuple(dict.fromkeys(table[word]["name"] for word in words))


def with_gluten(words: Iterable[str]) -> bool:
    """Whether a cereal containing gluten is among them; oats count, as European law has it."""
    table = load("label/allergens.toml")
    return any(table[word].get("eu") == GLUTEN for word in words)
