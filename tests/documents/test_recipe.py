"""Recipes as linked data, against a schema of our own that follows schema.org's vocabulary.

The schema is ours, written from the published definitions of Recipe, HowToStep,
NutritionInformation, MediaObject and Person (from memory); jsonschema is what applies it.
"""

from __future__ import annotations

import json
from datetime import timedelta
from html.parser import HTMLParser
from pathlib import Path
from typing import Any

import jsonschema
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.examples import some

from pointage.cli.app import run
from pointage.desk.kitchen.kitchens import demonstration_formulas
from pointage.documents.recipe import LinkedRecipe, RecipeStep, iso_duration
from pointage.formula.file.read import read_formula

DURATION = r"^P(?!$)(\d+D)?(T(?=\d)(\d+H)?(\d+M)?)?$"
AMOUNT = r"^\d+(\.\d+)? (g|mg|kcal)$"
TEXT = {"type": "string", "minLength": 1}
SHAPE = {
    "type": "object",
    "required": ["@context", "@type", "name", "recipeIngredient", "recipeInstructions"],
    "additionalProperties": False,
    "properties": {
        "@context": {"const": "https://schema.org"},
        "@type": {"const": "Recipe"},
        "name": TEXT, "description": TEXT, "url": {"type": "string", "format": "uri"},
        "inLanguage": TEXT, "recipeCategory": TEXT, "license": TEXT,
        "copyrightYear": {"type": "number"},
        "author": {
            "type": "object", "required": ["@type", "name"],
            "properties": {"@type": {"enum": ["Person", "Organization"]}, "name": TEXT},
        },
        "recipeYield": {"type": ["string", "array"], "items": TEXT},
        "recipeIngredient": {"type": "array", "minItems": 1, "items": TEXT},
        "recipeInstructions": {
            "type": "array",
            "items": {
                "type": "object", "required": ["@type", "text"], "additionalProperties": False,
                "properties": {
                    "@type": {"const": "HowToStep"}, "position": {"type": "integer", "minimum": 1},
                    "name": TEXT, "text": TEXT,
                },
            },
        },
        **{name: {"type": "string", "pattern": DURATION}
           for name in ("prepTime", "cookTime", "totalTime")},
        "nutrition": {
            "type": "object", "required": ["@type", "servingSize"], "additionalProperties": False,
            "properties": {
                "@type": {"const": "NutritionInformation"}, "servingSize": TEXT,
                **{name: {"type": "string", "pattern": AMOUNT}
                   for name in ("calories", "fatContent", "saturatedFatContent",
                                "carbohydrateContent", "sugarContent", "fiberContent",
                                "proteinContent", "sodiumContent")},
            },
        },
        "encoding": {
            "type": "object", "required": ["@type", "encodingFormat", "text"],
            "properties": {"@type": {"const": "MediaObject"}},
        },
    },
}  # fmt: skip


class Scripts(HTMLParser):
    """What a browser finds in a page's script elements, and the elements there are."""

    def __init__(self, page: str) -> None:
        super().__init__()
        self.found, self.tags = "", [""]
        self.feed(page)
        self.close()

    def handle_starttag(self, tag: str, attrs: object) -> None:
        self.tags.append(tag)

    def handle_data(self, data: str) -> None:
        self.found += data


def written(formula: str, folder: Path, *options: str) -> dict[str, Any]:
    path, out = folder / "loaf.toml", folder / "loaf.jsonld"
    path.write_text(formula, encoding="utf-8")
    assert run(["sheet", str(path), "-o", str(out), *options]) == 0
    found: dict[str, Any] = json.loads(out.read_text(encoding="utf-8"))
    return found


@pytest.mark.parametrize("slug", demonstration_formulas())
def test_every_formula_has_the_shape_of_a_recipe(slug: str, tmp_path: Path) -> None:
    text = demonstration_formulas()[slug]
    found = written(text, tmp_path)
    jsonschema.validate(found, SHAPE, format_checker=jsonschema.FormatChecker())
    assert read_formula(found["encoding"]["text"]).total == read_formula(text).total


def test_the_grams_are_those_of_the_scale(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    text = demonstration_formulas()["harbour-loaf"]
    found = written(text, tmp_path, "--pieces", "3")
    assert run(["scale", str(tmp_path / "loaf.toml"), "--pieces", "3", "--json"]) == 0
    scaled = json.loads(capsys.readouterr().out)
    wanted = [f"{row['grams']:.0f}" for row in scaled["ingredients"]]
    assert [each.partition(" g ")[0] for each in found["recipeIngredient"]] == wanted
    assert found["recipeYield"][0] == "3"


@settings(max_examples=some(60))
@given(
    st.text(max_size=80), st.sampled_from(["</script>", "<!--<script>", "]]>", "\u2028", "&lt;"])
)
def test_nothing_in_a_recipe_ends_the_script_it_stands_in(text: str, ending: str) -> None:
    text = (text + ending).encode("utf-16", "ignore").decode("utf-16")
    recipe = LinkedRecipe(
        text, text, 1, text, [text], [RecipeStep(text, text)], author=text, licence=text
    )
    page = f'<script type="application/ld+json">{recipe.as_script()}</script><b>'
    scripts = Scripts(page)
    assert scripts.tags == ["", "script", "b"]
    assert json.loads(scripts.found) == recipe.as_data()


@pytest.mark.parametrize(
    ("minutes", "text"), [(0, "PT0M"), (35, "PT35M"), (60, "PT1H"), (1535, "PT25H35M")]
)
def test_durations(minutes: int, text: str) -> None:
    assert iso_duration(timedelta(minutes=minutes)) == text
    assert iso_duration(None) is None
