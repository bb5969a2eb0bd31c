"""A flour's own figures in a formula: read, written, kept, and told by label and water."""

from __future__ import annotations

import json
from dataclasses import replace
from fractions import Fraction
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pointage.desk.calculators.water import water_for
from pointage.desk.calculators.water_page import Warmths, dough_mix, question
from pointage.desk.formulas.compare import comparison_json
from pointage.desk.formulas.draft import Draft, TypedCells
from pointage.desk.formulas.label import label
from pointage.errors import InputError
from pointage.formula.adjust import with_salt
from pointage.formula.compare import compare
from pointage.formula.file.read import read_formula
from pointage.formula.file.write import write_formula
from pointage.formula.flour.figures import more_water, read_figures, with_figures
from pointage.formula.ingredients import Ingredient, ingredient, ingredients
from pointage.formula.label.nutrition import contents
from pointage.formula.water import answer
from pointage.mixture.flours import FlourFigures, figures_of

FILE = Path(__file__).parents[2] / "examples" / "formulas" / "harbour-loaf.toml"
PLAIN = FILE.read_text(encoding="utf-8")
SHEET = """
[[flour]]
ingredient = "wheat-white"
ash = "0.62"
falling_number = 250
protein = 11.2
moisture = 14.8
label = "mill's sheet of the May sack"
"""
LOAF = read_formula(PLAIN)
OWN = FlourFigures(14.8, 11.2, 0.62, 250.0, None, "mill's sheet of the May sack")
FLOURS = [each for each in ingredients().values() if each.kind == "flour"]

own_figures = st.builds(
    FlourFigures,
    moisture=st.none() | st.floats(4, 20),
    protein=st.none() | st.floats(3, 40),
    ash=st.none() | st.floats(0.2, 4),
    falling_number=st.none() | st.floats(62, 600),
    absorption=st.none() | st.floats(40, 120),
    label=st.text(st.characters(codec="utf-8", exclude_categories=("Cc", "Cs"))).map(str.strip),
).filter(bool)


def test_a_formula_says_what_its_flour_is() -> None:
    assert LOAF.flours == {}
    assert read_formula(PLAIN + SHEET).flours == {"wheat-white": OWN}


@given(st.dictionaries(st.sampled_from([each.name for each in FLOURS]), own_figures, max_size=3))
def test_what_is_written_is_read_again(flours: dict[str, FlourFigures]) -> None:
    formula = replace(LOAF, flours=flours)
    assert read_formula(write_formula(formula)) == formula


def test_an_edit_keeps_them() -> None:
    formula = replace(LOAF, flours={"wheat-white": OWN})
    assert with_salt(formula, Fraction(3)).flours == formula.flours
    for side in TypedCells:
        draft = Draft(formula, side)
        assert draft.read({"about": "Another word"}).flours == formula.flours


def test_a_comparison_tells_of_them() -> None:
    found = compare(LOAF, replace(LOAF, flours={"wheat-white": OWN}))
    assert not found.is_same
    rows = {row["name"]: row for row in comparison_json(found)["consequences"]}
    row = rows["flours by their own figures"]
    assert row["before"] is None
    assert "ash 0.62 % of dry matter" in row["after"]
    assert json.dumps(row)


@pytest.mark.parametrize(
    ("typed", "figure", "expected"),
    [
        ({"ash": "0.62"}, "ash", 0.62),
        ({"ash": "0,62 %"}, "ash", 0.62),
        ({"ash": "0.62 dry"}, "ash", 0.62),
        # 0.53 × 100 / (100 − 14.8) = 0.622 of dry matter, by the flour's own moisture.
        ({"ash": "0.53 as bought", "moisture": "14.8"}, "ash", 0.622),
        # 0.53 × 100 / 86 = 0.616.
        ({"ash": "0.53 at 14"}, "ash", 0.616),
        ({"protein": "11.2"}, "protein", 11.2),
        # 13 × (100 − 15) / 100 = 11.05 as bought.
        ({"protein": "13 dry", "moisture": "15 %"}, "protein", 11.05),
        ({"falling_number": "250 s"}, "falling_number", 250.0),
        ({"absorption": "58.5%"}, "absorption", 58.5),
    ],
)
def test_figures_are_read_on_the_basis_that_is_said(
    typed: dict[str, str], figure: str, expected: float
) -> None:
    assert getattr(read_figures(typed, "wheat-white"), figure) == expected


@pytest.mark.parametrize(
    ("line", "told"),
    [
        (
            "ash = 12",
            "loaf.toml, flour 1, ash: 12 cannot be used; "
            "expected an ash in percent of the dry matter, from 0.2 to 4",
        ),
        (
            "falling_number = 20",
            "loaf.toml, flour 1, falling_number: 20 s cannot be used; "
            "expected a falling number from 62 to 600 s",
        ),
        (
            "moisture = 60",
            "loaf.toml, flour 1, moisture: 60 cannot be used; "
            "expected a moisture in percent of the flour as bought",
        ),
        (
            'ash = "0.6 wet"',
            "loaf.toml, flour 1, ash: '0.6 wet' cannot be used; "
            "expected an ash in percent of the dry matter, from 0.2 to 4",
        ),
        (
            'moisture = "14 g"',
            "loaf.toml, flour 1, moisture: '14 g' cannot be used; "
            "expected a moisture in percent of the flour as bought",
        ),
        ("", "loaf.toml, flour 1: no figure; expected at least one of moisture"),
        (
            'colour = "grey"',
            "loaf.toml, flour 1: 'colour' cannot be used; expected one of ingredient",
        ),
    ],
)
def test_what_no_flour_has_is_refused_in_one_line(line: str, told: str) -> None:
    text = f'{PLAIN}\n[[flour]]\ningredient = "wheat-white"\n{line}\n'
    with pytest.raises(InputError) as error:
        read_formula(text, "loaf.toml")
    assert str(error.value).startswith(told)
    assert "\n" not in str(error.value)


@pytest.mark.parametrize(
    ("tables", "told"),
    [
        (SHEET + SHEET, "flour 2, ingredient: 'wheat-white' twice"),
        (SHEET.replace("wheat-white", "salt"), "flour 1, ingredient: 'salt' cannot be used"),
        (SHEET.replace("wheat-white", "wheat-wite"), "flour 1, ingredient: 'wheat-wite'"),
    ],
)
def test_a_flour_is_one_and_is_there_once(tables: str, told: str) -> None:
    with pytest.raises(InputError, match=told):
        read_formula(PLAIN + tables)


@pytest.mark.parametrize("it", FLOURS, ids=lambda each: each.name)
def test_figures_that_are_the_record_s_change_no_label(it: Ingredient) -> None:
    known = figures_of(it.name)
    same = FlourFigures(known.moisture, known.protein, known.ash)
    assert contents({it.name: Fraction(100)}, {it.name: same}) == contents({it.name: Fraction(100)})


@given(st.sampled_from(FLOURS), own_figures)
def test_a_hundred_grams_stay_a_hundred(it: Ingredient, own: FlourFigures) -> None:
    found = with_figures(it, own)
    before, after = (
        each.water + each.protein + each.fat + each.carbohydrate + each.ash for each in (it, found)
    )
    # What the table's own rounding leaves over of the dry matter is scaled with it.
    assert after == pytest.approx(100, abs=abs(before - 100) * 1.2 + 1e-9)
    if own.protein is not None:
        assert found.protein == pytest.approx(own.protein)
    if own.ash is not None:
        assert found.ash == pytest.approx(own.ash * (100 - found.water) / 100)


def test_the_label_goes_by_the_flour_s_own_protein_and_ash() -> None:
    plain = label(LOAF)
    rich = label(replace(LOAF, flours={"wheat-white": FlourFigures(protein=14.0)}))
    sacked = label(LOAF, flours={"wheat-white": FlourFigures(protein=14.0, label="the sack")})
    assert rich.per_100_g == sacked.per_100_g
    assert rich.per_100_g.amounts["protein"].known > plain.per_100_g.amounts["protein"].known
    carbohydrate = [each.per_100_g.amounts["carbohydrate"].known for each in (plain, rich)]
    assert carbohydrate[1] < carbohydrate[0]
    white = next(each for each in sacked.listed if each.name == "wheat-white")
    assert white.source.endswith("; by the sack: protein 14 %")


def test_a_formula_s_own_figures_win_over_the_sack_s() -> None:
    own = replace(LOAF, flours={"wheat-white": FlourFigures(protein=14.0)})
    sack = {"wheat-white": FlourFigures(protein=9.0)}
    assert label(own, flours=sack).per_100_g == label(own).per_100_g


def test_a_damper_flour_asks_for_less_water() -> None:
    grams = {"wheat-white": Fraction(1000), "water": Fraction(650)}
    # By hand: 1000 g at 13.36 % have 866.4 g dry and 133.6 of water, 783.6 with what is poured; at
    # 15.5 %, 845 g dry want 783.6 × 845 / 866.4 = 764.24 in all and bring 155: 609.24, 40.76 less.
    damp = more_water(grams, {"wheat-white": FlourFigures(moisture=15.5)})
    assert damp["wheat-white"] == pytest.approx(-40.76, abs=0.01)
    # Its absorption says it outright: 58 for the usual 61 is 3 in the hundred less.
    weak = more_water(grams, {"wheat-white": FlourFigures(moisture=15.5, absorption=58)})
    assert weak["wheat-white"] == pytest.approx(-30.0)
    assert more_water(grams, {"rye-whole": FlourFigures(moisture=15.5)}) == {}


def test_the_water_of_a_dough_goes_by_its_flour() -> None:
    warmths = Warmths(wanted=25.0, flour=15.0, levain=24.0, room=20.0, tap=10.0, friction=0.0)
    sack = {"wheat-white": FlourFigures(moisture=15.5)}
    usual, damp = (dough_mix(LOAF, 10, flours) for flours in (None, sack))
    cold = [answer(question(each, warmths)).water_c for each in (usual, damp)]
    assert cold[1] > cold[0]  # damp flour holds more cold
    assert usual.advice == ()
    assert len(damp.advice) == 1
    assert "asks for" in damp.advice[0]
    assert "less water" in damp.advice[0]


def test_the_command_takes_a_moisture() -> None:
    plain, damp = (
        water_for("25C", "600g", ["wheat-white:1kg@15C"], moisture=each, mixing=["hand:10min"])
        for each in (None, "15.5")
    )
    same = water_for(
        "25C", "600g", ["wheat-white:1kg@15C"], moisture="13.36", mixing=["hand:10min"]
    )
    assert same == plain
    assert damp.wetting_k < plain.wetting_k
    with pytest.raises(
        InputError, match="--moisture: 60 cannot be used; expected a moisture in percent"
    ):
        water_for("25C", "600g", ["flour:1kg@15C"], moisture="60")


def test_the_usual_flour_is_the_record() -> None:
    assert with_figures(ingredient("wheat-white"), None) is ingredient("wheat-white")
