"""The label of a demonstration bread: figures by hand, lists, allergens and cautions."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from pointage.cli.app import run
from pointage.desk.formulas.label import NOT_SAFE, LabelAnswer, label_formula
from pointage.errors import InputError
from pointage.formula.ingredients import ingredient

FOLDER = Path(__file__).parents[2] / "examples" / "formulas"
RYE = FOLDER / "tinned-rye.toml"
ROLLS = FOLDER / "seeded-rolls.toml"


def asked(path: Path, **options: object) -> LabelAnswer:
    return label_formula(path.read_text("utf-8"), path.name, **options)


def test_the_figures_of_a_rye_are_those_of_a_hand() -> None:
    # By hand, from USDA SR28 20062 and 02047: 100 rye, 82 water and 1.8 salt are 183.8; less 10 %
    # they are 165.42. Protein 10.34 / 1.6542 = 6.2508; sodium (2 + 1.8 × 387.58) / 1.6542 =
    # 422.95 mg; salt by 2.5 1.0574 g; energy 338 / 1.6542 = 204.33 kcal.
    found = asked(RYE, loss="10%", serving="50g").as_json()
    assert found["per_100_g"]["protein_g"] == pytest.approx(6.2508, abs=1e-4)
    assert found["per_100_g"]["sodium_mg"] == pytest.approx(422.95, abs=5e-3)
    assert found["per_100_g"]["salt_g"] == pytest.approx(1.0574, abs=1e-4)
    assert found["per_100_g"]["energy_kcal"] == pytest.approx(204.33, abs=5e-3)
    assert found["per_serving"]["protein_g"] == pytest.approx(6.2508 / 2, abs=1e-4)
    assert found["bread_g"] == 900
    assert found["per_piece"]["protein_g"] == pytest.approx(6.2508 * 9, abs=1e-3)
    assert found["per_100_g"]["at_least"] == {}
    sodium = next(row for row in found["panel"] if row["figure"] == "sodium")
    # 211.5 mg in 50 g: to the nearest 10, and 9.2 % of 2300 mg.
    assert (sodium["per_100_g"], sodium["per_serving"]) == ("420 mg", "210 mg")
    assert sodium["daily_value_percent"] == "9 %"


def test_rye_is_an_allergen_to_one_law_and_not_to_the_other() -> None:
    assert asked(RYE, style="us").contains == ()
    assert asked(RYE, style="eu").contains == ("rye",)
    assert NOT_SAFE in asked(RYE, style="us").cautions


def test_soda_is_salt_on_the_label_and_powder_waits_for_its_allergens() -> None:
    # Sodium is 22.990 of the 84.007 g in a mole of NaHCO3 (IUPAC's atomic masses).
    assert ingredient("baking-soda").sodium == pytest.approx(1e5 * 22.990 / 84.007, rel=1e-3)
    text = RYE.read_text("utf-8").replace("[total]", "[total]\n{} = 1\n", 1)
    with_soda = label_formula(text.format("baking-soda"), "a", loss="10%", style="eu")
    more = with_soda.as_json()["per_100_g"]["salt_g"] - 2.5 * 0.699632 / 1.6632
    assert more == pytest.approx(2.5 * 0.2736 / 1.6632, rel=1e-3)  # 184.8 less 10 %
    assert with_soda.contains == ("rye",)
    with pytest.raises(InputError, match="allergens: not known of Baking powder") as refused:
        label_formula(text.format("baking-powder"), "a")
    assert refused.value.faults[0].field == "allergens"


def test_ingredients_stand_by_weight() -> None:
    american = asked(ROLLS)
    assert [each.name for each in american.listed][:3] == ["wheat-white", "water", "wheat-whole"]
    percents = [each.percent for each in american.listed]
    assert percents == sorted(percents, reverse=True)
    assert sum(percents) == pytest.approx(100)
    # In Europe the water that the oven took is not in the bread: of 84 parts in 214.2, 15 % of
    # 214.2 are gone, and 51.87 parts of 182.07 are left.
    european = asked(ROLLS, style="eu", loss="15%")
    water = next(each for each in european.listed if each.name == "water")
    assert water.percent == pytest.approx(100 * 51.87 / 182.07, abs=1e-3)


def test_what_may_have_got_in_is_what_the_baker_says() -> None:
    found = asked(ROLLS, style="us", may_contain=("sesame", "wheat", "nuts", "mustard"))
    assert found.contains == ("wheat",)
    assert found.may_contain == ("sesame", "nuts", "mustard")  # wheat is in it, so it need not be
    with pytest.raises(InputError, match=r"may-contain: 'sesam' cannot be used; expected .*sesame"):
        asked(ROLLS, may_contain=("sesam",))


def test_a_figure_that_is_missing_is_told() -> None:
    text = ROLLS.read_text("utf-8").replace("olive-oil", "sunflower-oil")
    found = label_formula(text, ROLLS.name)
    trans = next(row for row in found.panel if row.line.figure == "trans")
    assert trans.per_100_g == "not known"
    assert "Trans fat in sunflower oil is not known" in " ".join(found.cautions)
    assert "rolled oats, sunflower oil" in " ".join(found.cautions)  # from memory


@pytest.mark.parametrize(
    ("option", "value", "line"),
    [
        ("--style", "uk", "--style: 'uk' cannot be used; expected us or eu"),
        ("--serving", "0g", "--serving: '0g' cannot be used; expected a mass of a serving above 0"),
        ("--loss", "120%", "--loss: '120%' cannot be used; expected what the oven takes"),
        (
            "--loss",
            "80%",
            "loss: 80 % cannot be used; expected from 0 to the 50 % of water in the dough",
        ),
        ("--piece", "nine", "--piece: 'nine' cannot be used; expected a mass such as"),
        (
            "--may-contain",
            "sesam",
            "--may-contain: 'sesam' cannot be used; expected an allergen such as",
        ),
    ],
)
def test_bad_input_is_one_line(
    option: str, value: str, line: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run(["label", str(RYE), option, value]) == 2
    told = capsys.readouterr()
    assert told.out == ""
    assert line in told.err
    assert told.err.count("\n") == 1


def test_the_command_prints_json_and_for_people(capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["label", str(ROLLS), "--style", "eu", "--json"]) == 0
    answer = json.loads(capsys.readouterr().out)
    assert {"per_100_g", "per_serving", "allergens", "cautions"} <= set(answer)
    assert answer["allergens"] == ["wheat", "oats"]
    assert run(["label", str(ROLLS), "--style", "eu", "--may-contain", "nuts"]) == 0
    printed, said = capsys.readouterr()
    assert said == "", "the invented kitchen has no sacks, and stands in for nothing"
    assert "Ingredients: WHITE WHEAT FLOUR, water" in printed
    assert "May contain: nuts." in printed
    assert printed.count(NOT_SAFE) == 1


def test_the_formula_may_say_what_may_have_got_in() -> None:
    text = RYE.read_text("utf-8")
    said = text.replace("pieces = 6", 'may_contain = ["nuts", "rye"]\npieces = 6')
    assert label_formula(said, "rye.toml", may_contain=("sesame",)).may_contain == (
        "nuts",
        "sesame",
    )
    wrong = text.replace("pieces = 6", 'may_contain = ["nut"]\npieces = 6')
    with pytest.raises(InputError, match=r"^rye.toml, may_contain: 'nut' cannot be used; .* nuts"):
        label_formula(wrong, "rye.toml")
