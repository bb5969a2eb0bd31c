"""What goes into bread: names, labels, composition, and what each is to a fermenting mixture.

The figures are in data/ingredients/, one file for each sort; docs/ingredients.md describes a file.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from difflib import get_close_matches
from fractions import Fraction
from functools import cache
from typing import Any, NamedTuple

from pointage.data.records import Record, records, until_changed
from pointage.errors import InputError
from pointage.language import say

KINDS = (
    "flour", "water", "salt", "liquid", "dairy", "grain", "seed", "spice", "fruit", "sweetener",
    "malt", "fat", "yeast", "leavening",
)  # fmt: skip
FROM_MEMORY = "from memory"
OURS = "ours"


@dataclass(frozen=True, slots=True)
class Volume:
    """Grams of a measure by its name ("cup"); off: how far they can be wrong, percent."""

    grams: Mapping[str, Fraction]
    off: float
    source: str


@dataclass(frozen=True, slots=True)
class Ingredient:
    """One ingredient; figures are per 100 g as bought, and None where it is not known.

    Grams: water, protein, fat, saturated, trans, carbohydrate (with the fibre in it), fibre,
    sugars, added_sugars, ash, alcohol, organic_acids. Milligrams: sodium, potassium, calcium, iron,
    cholesterol. Micrograms: vitamin_d. energy: kcal. allergens: words of data/allergens.toml.
    absorption: farinograph water of a flour, percent at 14 % moisture; falling_number: seconds.
    source: where the figures are from; sources: of those that are from elsewhere, by figure.
    counted: grams of one ("piece", "stick"). like: of one's own (formula/own.py), the record whose
    figures it has where its own are not known; "" for one of the package. allergens_known: False
    where nobody said which it has. gone: it is no longer offered, and what has it keeps it.
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
    energy: float | None = None
    saturated: float | None = None
    trans: float | None = None
    sugars: float | None = None
    added_sugars: float | None = None
    alcohol: float | None = None
    organic_acids: float | None = None
    sodium: float | None = None
    potassium: float | None = None
    calcium: float | None = None
    iron: float | None = None
    cholesterol: float | None = None
    vitamin_d: float | None = None
    absorption: float | None = None
    falling_number: float | None = None
    allergens: tuple[str, ...] = ()
    allergens_known: bool = True
    like: str = ""
    gone: bool = False
    volume: Volume | None = None
    counted: Volume | None = None
    sources: Mapping[str, str] = field(default_factory=dict)

    def source_of(self, figure: str) -> str:
        """Where one figure is from, such as "protein"."""
        return self.sources.get(figure, self.source)

    @property
    def seen(self) -> bool:
        """Whether the figures were read in the table that is named, not remembered or ours."""
        return FROM_MEMORY not in self.source and not self.source.startswith(OURS)


class Split(NamedTuple):
    """Shares of an ingredient's mass, as a mixture counts them; they sum to 1."""

    flour: Fraction
    water: Fraction
    salt: Fraction
    other: Fraction


@until_changed
@cache
def ingredients() -> Mapping[str, Ingredient]:
    """Every ingredient by name: flours, then water, salt and the rest, in the order of KINDS."""
    found = [_read(name, record) for name, record in records().items()]
    return {each.name: each for each in sorted(found, key=lambda it: KINDS.index(it.kind))}


def offered() -> Mapping[str, Ingredient]:
    """Those that are offered where one is chosen: all but what was removed of one's own."""
    return {name: it for name, it in ingredients().items() if not it.gone}


def _read(name: str, given: Record) -> Ingredient:
    return Ingredient(
        name=name,
        label=given["label"],
        kind=given["kind"],
        source=given["source"],
        energy=given.get("energy"),
        allergens=tuple(given.get("allergens", ())),
        allergens_known=given.get("allergens_known", True),
        like=given.get("like", ""),
        gone=given.get("gone", False),
        volume=_volume(given.get("volume")),
        counted=_volume(given.get("counted")),
        sources=given["sources"],
        **given["grams"],
        **given["milligrams"],
        **given.get("micrograms", {}),
        **given.get("dough", {}),
    )


def _volume(given: Mapping[str, Any] | None) -> Volume | None:
    if given is None:
        return None
    grams = {key: Fraction(str(mass)) for key, mass in given.items() if key not in _NO_MEASURE}
    return Volume(grams, given["off"], given["source"])


_NO_MEASURE = ("off", "source")


def ingredient(name: str, field: str = "ingredient") -> Ingredient:
    """The ingredient called `name`. Raises InputError with the nearest names."""
    known = ingredients()
    if name not in known:
        near = get_close_matches(name.casefold(), known, n=3, cutoff=0.5)
        if near:
            expected = say("an ingredient such as {names}", names=say(" or ").join(near))
        else:
            expected = say("an ingredient that is known, such as wheat-white, or one of your own")
        raise InputError(field, repr(name), expected)
    return known[name]


@until_changed
@cache
def split(name: str) -> Split:
    """How the mass of an ingredient divides into flour, water, salt and other.

    Flour is flour, its own moisture with it. The water of liquids (milk, egg) counts as water; what
    little there is in oats, butter or honey does not, as bakers count. Raises InputError.
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
