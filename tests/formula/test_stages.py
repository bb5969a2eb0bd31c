"""Stages that take from one another: builds, parts, old dough, additions; loops refused."""

from __future__ import annotations

from fractions import Fraction

import pytest

from pointage.errors import InputError
from pointage.formula.file.read import read_formula
from pointage.formula.formula import StageKind
from pointage.formula.scale import AS_THE_LEVAIN, FineScale, scale

TWO_BUILDS = """
name = "Loaf"
pieces = 2
piece = "900g"
[total]
wheat-white = 70
rye-whole = 20
spelt-whole = 10
water = 75
salt = 2
raisins = 10
[[stage]]
name = "Dough"
kind = "dough"
[[stage]]
name = "Levain"
kind = "levain"
flour = 20
flours = { wheat-white = 100 }
water = 70
parts_of = { "First build" = 100 }
[[stage]]
name = "Fruit"
kind = "addition"
takes = { raisins = 10 }
when = "fold 2"
[[stage]]
name = "First build"
kind = "levain"
flour = 5
flours = { rye-whole = 100 }
water = 100
seed = 20
[[stage]]
name = "Scald"
kind = "scald"
takes = { rye-whole = 8, water = 16 }
"""

# By hand, of 500 g flour: build 10 + 10; levain 40 + 18 fresh with all of the build (50 flour, 28
# water); old dough 20 + 12 + 0.4; dough 430 + 290 and salt.
FROM_FOUR_SIDES = {
    "total": """
[total]
wheat-white = 100
water = 66
salt = 2
[[stage]]
name = "Build"
kind = "levain"
flour = 2
water = 100
[[stage]]
name = "Levain"
kind = "levain"
flour = 10
water = 56
parts_of = { Build = 100 }
[[stage]]
name = "Old dough"
kind = "old dough"
takes = { wheat-white = 4, water = 2.4, salt = 0.08 }
[[stage]]
name = "Dough"
kind = "dough"
""",
    "total in grams": """
[total]
wheat-white = "0.5kg"
water = "330g"
salt = "10g"
[[stage]]
name = "Build"
kind = "levain"
flour = "10g"
water = 100
[[stage]]
name = "Levain"
kind = "levain"
takes = { wheat-white = "40g", water = "18g" }
parts_of = { Build = 100 }
[[stage]]
name = "Old dough"
kind = "old dough"
takes = { wheat-white = "20g", water = "12g", salt = "0.4g" }
[[stage]]
name = "Dough"
kind = "dough"
""",
    "grams": """
[[stage]]
name = "Build"
kind = "levain"
grams = { wheat-white = 10, water = 10 }
[[stage]]
name = "Levain"
kind = "levain"
grams = { wheat-white = 40, water = 18 }
parts_of = { Build = 100 }
[[stage]]
name = "Old dough"
kind = "old dough"
grams = { wheat-white = 20, water = 12, salt = 0.4 }
[[stage]]
name = "Dough"
kind = "dough"
grams = { wheat-white = 430, water = 290, salt = 9.6 }
""",
    "percent": """
[[stage]]
name = "Build"
kind = "levain"
percent = { wheat-white = 100, water = 100 }
[[stage]]
name = "Levain"
kind = "levain"
percent = { wheat-white = 100, water = 45, Build = 50 }
[[stage]]
name = "Old dough"
kind = "old dough"
percent = { wheat-white = 100, water = 60, salt = 2 }
[[stage]]
name = "Dough"
kind = "dough"

[stage.percent]
wheat-white = 100
water = "67 19/43"
salt = "2 10/43"
Levain = "18 6/43"
"Old dough" = "7 23/43"
""",
}


def changed(old: str, new: str) -> str:
    assert old in TWO_BUILDS
    return TWO_BUILDS.replace(old, new, 1)


def test_the_order_in_the_file_is_free() -> None:
    formula = read_formula(TWO_BUILDS)
    names = [each.name for each in formula.stages]
    assert names == ["First build", "Levain", "Scald", "Dough", "Fruit"]
    assert [each.name for each in formula.builds] == ["First build", "Levain"]
    assert formula.dough.parts_of == {"Levain": 1, "Fruit": 1, "Scald": 1}


def test_a_build_counts_in_the_next() -> None:
    formula = read_formula(TWO_BUILDS)
    first, levain = formula.builds
    assert first.ingredients == {"rye-whole": 5, "water": 5}
    # 20 % flour in all, 5 of it from the first build; water 70 % of 20, less the 5 it brings.
    assert levain.ingredients == {"wheat-white": 15, "water": 9}
    assert formula.whole(levain).hydration == Fraction("0.7")
    assert formula.prefermented_flour == Fraction("0.2")
    assert formula.hydration == Fraction("0.75")
    assert formula.additions[0].fold == 2


def test_four_sides_of_one_formula() -> None:
    head = 'name = "Loaf"\npieces = 1\npiece = "840g"\n'
    one, *others = [read_formula(head + text) for text in FROM_FOUR_SIDES.values()]
    assert one.prefermented_flour == Fraction("0.14")
    assert one.total == {"wheat-white": 100, "water": 66, "salt": 2}
    assert all(each == one for each in others)


def test_old_dough_is_a_piece_of_the_whole() -> None:
    text = changed('name = "Scald"\nkind = "scald"\ntakes = { rye-whole = 8, water = 16 }',
                   'name = "Old dough"\nkind = "old dough"\nflour = 8')  # fmt: skip
    formula = read_formula(text.replace("raisins = 10\n", "raisins = 11\n"))
    (old,) = formula.of_kind(StageKind.OLD_DOUGH)
    assert old.ingredients == {name: part * 8 / 100 for name, part in formula.total.items()}
    assert old.hydration == formula.hydration
    assert formula.prefermented_flour == Fraction("0.28")


def test_a_stage_in_two_parts() -> None:
    text = changed("takes = { raisins = 10 }", "parts_of = { Scald = 25 }")
    formula = read_formula(text)
    assert formula.dough.parts_of["Scald"] == Fraction(3, 4)
    batch = scale(formula, 7, Fraction(613), Fraction(1))
    made = batch.stage("Scald").whole_g
    assert batch.stage("Fruit").takes["Scald"] + batch.stage("Dough").takes["Scald"] == made
    assert batch.stage("Dough").whole_g == batch.total_g


def test_water_calculated_three_ways() -> None:
    # By hand: 700 water, 100 milk of 88.13 % water, 50 on seeds, over 1000 of flour.
    formula = read_formula("""
    name = "Milk loaf"
    pieces = 1
    [[stage]]
    name = "Soaker"
    kind = "soaker"
    grams = { linseed = 25, water = 50 }
    [[stage]]
    name = "Dough"
    kind = "dough"
    grams = { wheat-white = 1000, water = 650, milk = 100, honey = 30, salt = 20 }
    """)
    found = formula.hydrations
    assert found.poured == Fraction("0.7")
    assert found.counted == formula.hydration == Fraction("0.78813")
    assert found.loose == Fraction("0.73813")
    assert formula.dough_yield == Fraction("178.813")


@pytest.mark.parametrize(
    ("old", "new", "line"),
    [
        (
            'seed = 20',
            'parts_of = { Levain = 50 }',
            "f.toml, stage: 'Levain' takes from 'First build' takes from 'Levain' cannot be used",
        ),
        (
            '{ "First build" = 100 }',
            '{ "First bild" = 100 }',
            "f.toml, stage 'Levain': 'First bild' cannot be used; expected a stage, one of",
        ),
        (
            '{ "First build" = 100 }',
            '{ Dough = 10 }',
            "f.toml, stage 'Levain': 'Dough' cannot be used; expected a stage made before",
        ),
        (
            'takes = { raisins = 10 }',
            'parts_of = { "First build" = 10 }',
            "f.toml, stage 'First build': 110 % of it taken cannot be used; expected at most 100",
        ),
        (
            'water = 70',
            'water = 20',
            "f.toml, stage 2, water: 20 % cannot be used; expected at least 25 %",
        ),
        (
            'flour = 20',
            'flour = 4',
            "f.toml, stage 2, flour: 4 % cannot be used; expected at least 5 %, which",
        ),
        ('parts_of = { "First', 'seed = 20\nparts_of = { "First', "f.toml, stage 'Levain', seed: "),
        ('"fold 2"', '"later"', "f.toml, stage 'Fruit', when: 'later' cannot be used; expected"),
    ],
)  # fmt: skip
def test_what_is_wrong_is_one_line(old: str, new: str, line: str) -> None:
    with pytest.raises(InputError) as error:
        read_formula(changed(old, new), "f.toml")
    assert str(error.value).startswith(line)
    assert "\n" not in str(error.value)


def test_what_no_stage_takes_has_no_size_in_percent() -> None:
    text = FROM_FOUR_SIDES["percent"].replace('"Old dough" = "7 23/43"', "")
    with pytest.raises(InputError, match="no stage that takes 'Old dough'; expected one that does"):
        read_formula('name = "Loaf"\npieces = 1\npiece = 840\n' + text)


def test_two_scales_and_what_sticks_to_the_bowl() -> None:
    # By hand: 2 × 900 g over 0.99 is 1818.18 g of dough; salt is 2 of 187 parts of it, 19.446 g.
    formula = read_formula(TWO_BUILDS)
    fine = FineScale(Fraction(1, 10), Fraction(500))
    batch = scale(
        formula, 2, Fraction(900), Fraction(1), bowl_loss=Fraction(1, 100), fine=fine,
        culture_hydration=AS_THE_LEVAIN,
    )  # fmt: skip
    assert batch.exact_g == Fraction(1800 * 100, 99)
    assert abs(batch.drift_g) <= Fraction(1, 2)
    cells = {(stage.name, row.name): row for stage in batch.stages for row in stage.rows}
    assert float(cells["Dough", "salt"].grams) in (19.4, 19.5)
    assert cells["Dough", "wheat-white"].step_g == 1
    assert cells["First build", "seed"].step_g == Fraction(1, 10)
    for row in cells.values():
        assert row.step_g is not None
        assert row.grams % row.step_g == 0
        assert abs(row.grams - row.exact) < row.step_g
    assert sum(stage.total_g for stage in batch.stages) == batch.total_g
