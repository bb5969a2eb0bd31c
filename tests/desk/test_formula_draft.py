"""A formula's table as it is typed: from every side, back to the fields, and changed in shape."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import pytest

from pointage.desk.formulas.changes import (
    moved,
    with_hydration,
    with_new_stage,
    without_ingredient,
    without_stage,
)
from pointage.desk.formulas.draft import Draft, TypedCells
from pointage.desk.kitchen.kitchens import demonstration_formulas
from pointage.errors import InputError
from pointage.formula.file.read import read_formula
from pointage.formula.formula import Formula

FORMULAS = {slug: read_formula(text, slug) for slug, text in demonstration_formulas().items()}
LOAF = FORMULAS["harbour-loaf"]  # 72 % water, 18 % of the flour in a levain of 60 %

# Worked by hand: 500 g of flour, 350 g of water, 10 g of salt in two stages.
BY_HAND = read_formula(
    """
name = "By hand"
pieces = 2
[[stage]]
name = "Levain"
kind = "levain"
seed = 20
grams = { wheat-white = "100g", water = "60g" }
[[stage]]
name = "Dough"
kind = "dough"
grams = { wheat-white = "400g", water = "290g", salt = "10g" }
"""
)


@pytest.mark.parametrize("side", TypedCells)
@pytest.mark.parametrize("slug", FORMULAS)
def test_what_is_left_as_it_was_shown_changes_nothing(slug: str, side: TypedCells) -> None:
    assert Draft(FORMULAS[slug], side).read({}) == FORMULAS[slug]


@pytest.mark.parametrize("side", TypedCells)
def test_what_has_no_field_stays_when_the_rest_is_typed_anew(side: TypedCells) -> None:
    away = replace(LOAF, put_away=True, varies="Tide loaf", because="It rose too far.")
    assert Draft(away, side).read({"about": "A loaf."}) == replace(away, about="A loaf.")


def test_a_table_worked_by_hand_from_all_four_sides() -> None:
    cells = {side: Draft(BY_HAND, side).fields for side in TypedCells}
    assert cells[TypedCells.TOTAL]["cell-total-water"] == "70"
    assert cells[TypedCells.TOTAL]["cell-0-wheat-white"] == "20"
    assert "cell-1-water" not in cells[TypedCells.TOTAL]  # the dough has the rest
    assert cells[TypedCells.TOTAL_GRAMS]["cell-total-water"] == "350"
    assert cells[TypedCells.STAGES_GRAMS]["cell-1-water"] == "290"
    assert "cell-total-water" not in cells[TypedCells.STAGES_GRAMS]
    assert cells[TypedCells.STAGES]["cell-1-@0"] == "40"  # 160 g of levain on 400 g
    assert cells[TypedCells.STAGES]["cell-1-water"] == "72.5"


@pytest.mark.parametrize(
    ("side", "typed", "hydration"),
    [
        (TypedCells.TOTAL, {"cell-total-water": "75"}, Fraction(75, 100)),
        (TypedCells.TOTAL, {"cell-0-water": "12"}, Fraction(70, 100)),  # the dough gives it
        (TypedCells.TOTAL_GRAMS, {"cell-total-water": "400"}, Fraction(400, 500)),
        (TypedCells.STAGES_GRAMS, {"cell-1-water": "300 g"}, Fraction(360, 500)),
        (TypedCells.STAGES, {"cell-1-water": "70"}, Fraction(340, 500)),
    ],
)
def test_a_cell_changes_what_follows_from_it(
    side: TypedCells, typed: dict[str, str], hydration: Fraction
) -> None:
    assert Draft(BY_HAND, side).read(typed).hydration == hydration


@pytest.mark.parametrize(
    ("side", "typed", "field"),
    [
        (
            TypedCells.TOTAL,
            {"cell-total-water": "10"},
            "cell-total-water",
        ),  # less than the levain has
        (TypedCells.TOTAL, {"cell-total-wheat-white": "90"}, "total"),
        (TypedCells.TOTAL, {"cell-0-water": "much"}, "cell-0-water"),
        (TypedCells.TOTAL_GRAMS, {"cell-total-salt": "ten"}, "cell-total-salt"),
        (TypedCells.STAGES_GRAMS, {"cell-0-salt": "-1"}, "cell-0-salt"),
        (TypedCells.STAGES, {"cell-1-wheat-white": "90"}, "stage-1"),
        (TypedCells.TOTAL, {"stage-0-seed": "none"}, "stage-0-seed"),
        (TypedCells.TOTAL, {"stage-1-kind": "levain"}, "form"),  # no dough is left
        (TypedCells.TOTAL, {"pieces": "0"}, "pieces"),
        (TypedCells.TOTAL, {"piece": "heavy"}, "piece"),
        (TypedCells.TOTAL, {"name": ""}, "name"),
        (TypedCells.TOTAL, {"process-mix": "long"}, "process-mix"),
    ],
)
def test_an_error_names_its_field(side: TypedCells, typed: dict[str, str], field: str) -> None:
    formula = LOAF if "process-mix" in typed else BY_HAND
    with pytest.raises(InputError) as caught:
        Draft(formula, side).read(typed)
    assert caught.value.field == field


@pytest.mark.parametrize("text", ["1.4, 1.5, 1.7", "[1.4, 1.5, 1.7]"])
def test_rises_are_read_as_the_file_has_them_too(text: str) -> None:
    process = Draft(LOAF, TypedCells.TOTAL).read({"process-bulk_rise": text}).process
    assert process is not None
    assert process.bulk_rise == (1.4, 1.5, 1.7)


def test_a_new_ingredient_is_a_row_that_can_be_typed_in() -> None:
    draft = Draft(BY_HAND, TypedCells.STAGES_GRAMS, ["honey"])
    assert draft.read({"cell-1-honey": "15"}).total["honey"] == 3


def test_stages_in_a_circle_are_refused() -> None:
    rolls = FORMULAS["seeded-rolls"]
    with pytest.raises(InputError, match="takes from 'Soaker' takes from 'Levain'"):
        Draft(rolls, TypedCells.TOTAL).read({"cell-0-@1": "30", "cell-1-@0": "30"})


def soaked() -> Formula:
    told = {"name": "Soaker", "kind": "soaker", "takes": "Linseed 5, water 8", "place": "Hall"}
    return with_new_stage(BY_HAND, told)


def test_a_new_stage_takes_from_the_dough_and_adds_what_was_not_there() -> None:
    found = soaked()
    assert [each.name for each in found.stages] == ["Levain", "Soaker", "Dough"]
    assert found.total["linseed"] == 5
    assert found.total["water"] == 70
    assert found.dough.ingredients["water"] == 50


def test_a_new_build_takes_the_one_before() -> None:
    told = {"name": "Second", "kind": "levain", "flour": "30", "flours": "wheat-white",
            "water": "60", "parts_of": "levain"}  # fmt: skip
    found = with_new_stage(BY_HAND, told)
    assert [each.name for each in found.builds] == ["Levain", "Second"]
    assert found.prefermented_flour == Fraction(30, 100)


@pytest.mark.parametrize(
    ("told", "field"),
    [
        ({"name": "", "kind": "soaker", "takes": "water 2"}, "new-name"),
        ({"name": "S", "kind": "soaker", "takes": "unobtainium 2"}, "new-takes"),
        ({"name": "S", "kind": "levain", "flour": "999", "water": "60"}, "new-flour"),
        ({"name": "S", "kind": "levain", "flour": "9", "parts_of": "Nought"}, "new-parts_of"),
    ],
)
def test_a_new_stage_that_cannot_be_used(told: dict[str, str], field: str) -> None:
    with pytest.raises(InputError) as caught:
        with_new_stage(BY_HAND, told)
    assert caught.value.field == field


def test_what_was_in_a_stage_goes_into_the_dough() -> None:
    found = without_stage(soaked(), 1)
    assert found.dough.ingredients["linseed"] == 5
    assert found.total == soaked().total
    with pytest.raises(InputError, match="every formula needs its dough"):
        without_stage(BY_HAND, 1)


def test_stages_change_places_where_nothing_forbids_it() -> None:
    assert [each.name for each in moved(soaked(), 0, 1).stages] == ["Soaker", "Levain", "Dough"]
    with pytest.raises(InputError, match="before those that take from it"):
        moved(BY_HAND, 0, 1)


def test_without_a_flour_the_rest_is_all_of_it() -> None:
    found = without_ingredient(LOAF, "wheat-whole")
    assert found.total["wheat-white"] == 100
    assert found.total["water"] == 90  # 72 of water on 80 of flour
    assert found.piece_g == LOAF.piece_g
    with pytest.raises(InputError, match="flour"):
        without_ingredient(BY_HAND, "wheat-white")


def test_the_hydration_of_a_levain_and_of_the_whole() -> None:
    wet = with_hydration(BY_HAND, 0, "100")
    assert wet.stages[0].hydration == 1
    assert wet.hydration == Fraction(70, 100)
    assert with_hydration(BY_HAND, 1, "75").hydration == Fraction(75, 100)
    with pytest.raises(InputError) as caught:
        with_hydration(BY_HAND, 1, "12")
    assert caught.value.field == "stage-1-hydration"
