"""Ingredients as people name them: "all-purpose flour", "Roggenvollkornmehl", "T65", "eggs".

The names stand in data/names/, a file for each of data/ingredients/, by country. One name can mean
two things in two countries, and the reader's own country comes first.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from difflib import get_close_matches
from functools import cache, lru_cache
from unicodedata import combining, normalize

from pointage.data import listed, load
from pointage.data.records import until_changed
from pointage.errors import InputError
from pointage.formula.ingredients import Ingredient, ingredient, ingredients, offered
from pointage.language import say

COUNTRIES = ("us", "gb", "fr", "de", "it")
EVERYWHERE = "any"
LONGEST_NAME = 80
NO_FOOD = re.compile(
    r"\b(parchment|baking paper|greaseproof|paper|foil|cling ?film|plastic wrap|tins?|pans?|tray"
    r"|backpapier|papier|carta (?:da )?forno)\b"
)
"""What a list of ingredients may name that nobody eats."""

_FILLERS = frozenset(load("recipe-words.toml")["fillers"].split())


@dataclass(frozen=True, slots=True)
class NamedIngredient:
    """What a name is taken for. sure: whether it can be nothing else in that country."""

    name: str
    sure: bool


def resolve(text: str, country: str = "") -> NamedIngredient | None:
    """The ingredient that `text` names, None rather than a wrong one.

    country: one of COUNTRIES, whose sense of a name comes first; "" for none, where a name that
    means two things is no match. Capitals, accents, plurals, hyphens and the order of words do not
    matter, nor words such as "organic" or "melted".
    """
    words = _words(text[: LONGEST_NAME + 1])
    if not words or len(text) > LONGEST_NAME:
        return None
    for key in dict.fromkeys((_key(words), _key(_less(words)))):
        if key and (found := _look_up(key, country)) is not None:
            return found
    return None


def find_ingredient(text: str, field: str, country: str = "") -> Ingredient:
    """The ingredient of a name, as `resolve` takes it. Raises InputError with the nearest names."""
    if text.strip() in ingredients():
        return ingredient(text.strip())
    found = resolve(text, country)
    if found is not None:
        return ingredient(found.name)
    senses = _senses(_key(_words(text[:LONGEST_NAME])))
    if len(senses) > 1:
        kinds = say(" or ").join(f"{say(ingredient(each).label)} ({each})" for each in senses)
        raise InputError(field, repr(text), say("one of the two it can mean, {kinds}", kinds=kinds))
    near = _near(text.strip().casefold()[:LONGEST_NAME])
    if near:
        expected = say("an ingredient such as {names}", names=say(" or ").join(near))
        raise InputError(field, repr(text), expected)
    return ingredient(text.strip().casefold().replace(" ", "-"), field)


@until_changed
@lru_cache(maxsize=1024)
def _near(text: str) -> tuple[str, ...]:
    """The names most like it, of those with its first letter: a file may have a thousand slips."""
    likely = [each for each in _spelt() if each[:1] == text[:1]]
    return tuple(get_close_matches(text, likely, n=3, cutoff=0.75))


def common_name(name: str, country: str) -> str:
    """What an ingredient is called in a country; its label where no name of its own is known."""
    own = names_of(name).get(country, ())
    return next((each for each in own if each[-1] != "?"), ingredient(name).label)


def names_of(name: str) -> Mapping[str, Sequence[str]]:
    """What an ingredient is called, by country or EVERYWHERE; a "?" at its end leaves a doubt."""
    return _names().get(name, {})


@cache
def _names() -> Mapping[str, Mapping[str, Sequence[str]]]:
    return {name: names for path in listed("names") for name, names in load(path).items()}


def _look_up(key: str, country: str) -> NamedIngredient | None:
    table = _table()
    for place in (country, EVERYWHERE):
        if key in table.get(place, {}):
            return table[place][key]
    found = {table[place][key] for place in COUNTRIES if key in table[place]}
    if len({each.name for each in found}) != 1:
        return None
    return NamedIngredient(found.pop().name, all(each.sure for each in found))


def _senses(key: str) -> list[str]:
    return list(dict.fromkeys(names[key].name for names in _table().values() if key in names))


@until_changed
@cache
def _table() -> Mapping[str, Mapping[str, NamedIngredient]]:
    """By country, what each name means there; the records' own labels mean it everywhere."""
    found: dict[str, dict[str, NamedIngredient]] = {c: {} for c in (*COUNTRIES, EVERYWHERE)}
    for it in offered().values():
        for place, names in names_of(it.name).items():
            for each in _written_out(names):
                sure = not each.endswith("?")
                found[place].setdefault(_key(_words(each)), NamedIngredient(it.name, sure))
    for it in offered().values():  # "barley" is the record of its flour: not what all mean by it
        for each, sure in ((it.label, True), (it.name, False)):
            found[EVERYWHERE].setdefault(_key(_words(each)), NamedIngredient(it.name, sure))
    return found


@until_changed
@cache
def _spelt() -> tuple[str, ...]:
    every = (names_of(name).get(EVERYWHERE, ()) for name in ingredients())
    names = (each for names in every for each in _written_out(names))
    own = (it.label.casefold() for it in offered().values() if it.like)
    records = (name for name, it in ingredients().items() if not it.like)
    return (*records, *own, *(each.rstrip("?").casefold() for each in names))


def _written_out(names: Iterable[str]) -> Iterator[str]:
    """Each name; "einkorn (flour)" is two."""
    for name in names:
        short, bracket, rest = name.partition(" (")
        if bracket:
            yield short
        yield f"{short} {rest.rstrip(')')}".strip()


@lru_cache(maxsize=4096)
def plain(text: str) -> str:
    """Small letters without accents, everything but letters and digits as a space."""
    flat = "".join(each for each in normalize("NFKD", text.casefold()) if not combining(each))
    return re.sub(
        r"[\W_]+", " ", flat.replace("œ", "oe").replace("æ", "ae").replace("'", " ")
    ).strip()


def _words(text: str) -> tuple[str, ...]:
    return tuple(_one(each) for each in plain(text).split() if each not in _FILLERS)


def _one(word: str) -> str:
    """A word in the singular, as far as that can be said by its letters."""
    if len(word) < 4 or not word.endswith("s") or word.endswith("ss"):
        return word
    if word.endswith("ies"):
        return f"{word[:-3]}y"
    return word[:-2] if word.endswith("oes") else word[:-1]


@cache
def _harmless() -> frozenset[str]:
    words = plain(load("recipe-words.toml")["harmless"]).split()
    return frozenset(map(_one, words))


def less_harmless(words: Iterable[str]) -> list[str]:
    """The words that may change what an ingredient is."""
    return [each for each in words if _one(each) not in _harmless() and each not in _FILLERS]


def _less(words: tuple[str, ...]) -> tuple[str, ...]:
    return tuple(each for each in words if each not in _harmless())


def _key(words: Iterable[str]) -> str:
    return " ".join(sorted(words))
