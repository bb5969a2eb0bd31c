"""A recipe becomes a formula: by two ways the same, with what it was taken for beside each line."""

from __future__ import annotations

import json
from fractions import Fraction
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.desk.recipes import RECIPES
from tests.examples import some

from pointage.desk.formulas.doubts import WORDS, doubt_words
from pointage.desk.formulas.read import read_text_of_recipe
from pointage.desk.larder.recorded import item
from pointage.errors import InputError
from pointage.formula.file.read import read_formula
from pointage.formula.reading.typed import LineDoubt


@pytest.mark.parametrize("name", RECIPES)
def test_two_ways_of_printing_a_bread_agree(name: str) -> None:
    country, off, *ways = RECIPES[name]
    made = [read_text_of_recipe(text, country).formula for text in ways]
    if all(each.builds for each in made):  # else one way does not say what ferments before
        shares = [100 * float(each.prefermented_flour) for each in made]
        assert shares[0] == pytest.approx(shares[1], abs=off)
    one, other = (each.total for each in made)
    assert one.keys() == other.keys()
    for ingredient, percent in one.items():
        assert float(percent) == pytest.approx(float(other[ingredient]), abs=off), ingredient


def test_there_are_twenty_breads() -> None:
    assert len(RECIPES) == 20


def answer(text: str, country: str = "us") -> dict[str, Any]:
    found: dict[str, Any] = json.loads(json.dumps(read_text_of_recipe(text, country).as_json()))
    return found


def test_the_answer_has_each_line_as_typed_and_what_it_was_taken_for() -> None:
    found = answer("500 g bread flour\n350 g water at 80F\n100 g ripe starter\n10 g salt")
    rows = [(each["typed"], each["ingredient"], each["grams"]) for each in found["lines"]]
    assert rows == [
        ("500 g bread flour", "wheat-white", 500),
        ("350 g water at 80F", "water", 350),
        ("100 g ripe starter", "levain", 100),
        ("10 g salt", "salt", 10),
    ]
    assert found["lines"][1]["temperature_c"] == pytest.approx(26.67, abs=0.01)
    assert [bool(each["doubt"]) for each in found["lines"]] == [False, False, True, False]
    assert "equal flour and water" in found["lines"][2]["doubt"]
    formula = read_formula(found["formula"])
    # Of 550 g of flour, the starter's with it: (350 + 50) / 550.
    assert formula.dough_yield == pytest.approx(100 + 100 * 400 / 550)
    assert formula.pieces * formula.piece_g == 960
    assert found["lines"][0]["percent"] == pytest.approx(100 * 500 / 550, abs=1e-3)


def test_grams_stay_in_the_formula() -> None:
    text = answer("Levain\n50 g bread flour\n50 g water\n\nDough\n333.3 g T65\n212.1 g water")[
        "formula"
    ]
    assert "wheat-t65 = 333.3" in text
    assert "water = 212.1" in text


def test_a_stiff_starter_does_not_move_what_was_weighed() -> None:
    """A seed is as wet as its levain; one that is not is weighed as a stage of its own."""
    found = read_text_of_recipe(
        "Levain\n100 g bread flour\n50 g water\n20 g starter\nDough\n500 g bread flour\n300 g water"
    )
    levain = found.formula.stage("Levain")
    flour = sum(stage.flour for stage in found.formula.stages)
    whole = found.formula.pieces * found.formula.piece_g
    gram = whole / sum(found.formula.total.values(), Fraction())
    assert flour == 100
    assert levain.ingredients["wheat-white"] * gram == 100
    assert levain.ingredients["water"] * gram == 50


def test_what_is_left_over_is_said() -> None:
    text = RECIPES["levain that leaves a seed"][2]
    assert any("110 g and 100 g" in each for each in answer(text)["doubts"])


def test_what_is_left_out_is_said_beside_its_line() -> None:
    found = answer(
        "500 g bread flour\n350 g water\n30 g unicorn dust\nparchment paper\nsalt\n"
        "1 egg for egg wash"
    )
    doubts = [each["doubt"] for each in found["lines"]]
    assert doubts[:2] == [None, None]
    assert all("left out" in each for each in doubts[2:])


def test_a_formula_file_is_read_as_it_is() -> None:
    first = answer("500 g bread flour\n350 g water\n10 g salt")["formula"]
    assert answer(first)["formula"] == first


def test_every_doubt_has_words() -> None:
    about = {
        "each": Fraction(50), "off": 15, "celsius": 26.0, "said": "x", "name": "water",
        "makes": Fraction(1), "takes": Fraction(2), "piece": Fraction(900), "taken": Fraction(3),
        "flour": "wheat-white",
    }  # fmt: skip
    for what in WORDS:
        numbers = about | ({"said": Fraction(99)} if what == "flours" else {})
        words = doubt_words(LineDoubt(what, numbers))
        assert "{" not in words
        assert words


NAMES = ["bread flour", "whole wheat flour", "rye 1150", "T65"]
LOOSE = ["salt", "honey", "olive oil", "eggs", "linseed", "milk"]
GRAMS = st.integers(1, 9999).map(lambda tenths: Fraction(tenths, 10))


@settings(max_examples=some(30), deadline=None)
@given(
    st.dictionaries(st.sampled_from(NAMES), GRAMS, min_size=1),
    st.dictionaries(st.sampled_from(LOOSE), GRAMS),
    GRAMS,
    st.none() | GRAMS,
)
def test_entered_shown_and_entered_again_is_the_same(
    flours: dict[str, Fraction],
    loose: dict[str, Fraction],
    water: Fraction,
    starter: Fraction | None,
) -> None:
    rows = [f"{float(g):g} g {name}" for name, g in (flours | loose).items()]
    rows.append(f"{float(water):g} g water")
    if starter is not None:
        rows.append(f"{float(starter):g} g ripe starter")
    try:
        first = read_text_of_recipe("\n".join(rows), "us")
    except InputError:
        return  # five times the flour in honey is no bread
    again = read_text_of_recipe(first.text, "us")
    assert again.formula == first.formula
    assert again.text == first.text


def test_stock_goes_by_what_people_call_it() -> None:
    assert item("bread flour") == "wheat-white"
    assert item("Roggenvollkornmehl") == "rye-whole"
    with pytest.raises(InputError):
        item("corn flour")  # in a country it would mean one thing
