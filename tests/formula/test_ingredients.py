"""Ingredients: compositions that add up, and the engine's own kinds of flour among them."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from pointage.errors import InputError
from pointage.formula.ingredients import Ingredient, ingredient, ingredients, split
from pointage.mixture.flours import flour_kinds

DOCS = Path(__file__).parents[2] / "docs" / "formulas.md"


@pytest.mark.parametrize("each", ingredients().values(), ids=lambda each: each.name)
def test_a_composition_is_of_100_g(each: Ingredient) -> None:
    # Carbohydrate is by difference, so all comes to 100 but for rounding to two digits and alcohol.
    parts = (each.water, each.protein, each.fat, each.carbohydrate, each.ash)
    assert sum(parts) == pytest.approx(100.0, abs=0.1)
    assert min(parts) >= 0
    assert each.fibre <= each.carbohydrate
    assert each.source
    assert sum(split(each.name)) == 1


def test_the_flours_are_those_that_the_engine_knows() -> None:
    flours = [each.name for each in ingredients().values() if each.kind == "flour"]
    assert sorted(flours) == sorted(flour_kinds())


def test_what_an_ingredient_is_to_a_mixture() -> None:
    assert split("wheat-white").flour == 1
    assert split("water").water == 1
    assert split("salt").salt == 1
    assert split("oats").other == 1
    assert float(split("milk").water) == pytest.approx(0.88, abs=0.005)  # whole milk is 88 % water


def test_an_unknown_one_is_told_with_its_neighbours() -> None:
    with pytest.raises(InputError, match=r"'rye-hole' will not do; give an .* rye-whole"):
        ingredient("rye-hole")


def test_the_page_lists_them_all() -> None:
    rows = re.findall(r"^\| `([a-z-]+)` \| (.+) \|$", DOCS.read_text(encoding="utf-8"), re.M)
    listed = dict(rows[-len(ingredients()) :])
    assert listed == {each.name: each.label for each in ingredients().values()}
