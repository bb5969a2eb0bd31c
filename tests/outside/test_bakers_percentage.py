"""A poolish bread whose grams are published, against the formula worked from them.

Source: the worked example of a published tutorial on baker's percentage, seen: poolish of 468 g
flour, 468 g water and 0.3 g yeast; final dough of 900 g flour, 468 g water, 9 g yeast, 27 g salt
and 936 g poolish, 2340 g in all. The percentages follow from those grams by hand:
flour 468 + 900 = 1368; water 936 / 1368; poolish flour 468 / 1368; salt 27 / 1368.
"""

from __future__ import annotations

from fractions import Fraction

import pytest

from pointage.formula.file.read import read_formula
from pointage.formula.file.write import WrittenSide, write_formula
from pointage.formula.scale import scale

POOLISH = """
name = "Poolish bread"
pieces = 3

[[stage]]
name = "Poolish"
kind = "levain"
grams = { wheat-white = 468, water = 468, yeast-fresh = 0.3 }

[[stage]]
name = "Dough"
kind = "dough"
grams = { wheat-white = 900, water = 468, yeast-fresh = 9, salt = 27 }
"""


def test_percentages_follow_from_the_grams() -> None:
    formula = read_formula(POOLISH)
    # Printed digits: to a tenth of a percent, salt to a hundredth.
    assert float(formula.hydration) == pytest.approx(0.684, abs=0.0005)
    assert float(formula.prefermented_flour) == pytest.approx(0.342, abs=0.0005)
    assert float(formula.total["salt"]) == pytest.approx(1.97, abs=0.005)
    assert float(formula.dough_yield) == pytest.approx(168.4, abs=0.05)


def test_the_printed_digits_from_every_side() -> None:
    sides = [read_formula(POOLISH)]
    sides += [read_formula(write_formula(sides[0], side)) for side in WrittenSide]
    for formula in sides:
        assert f"{100 * float(formula.hydration):.1f}" == "68.4"
        assert f"{100 * float(formula.prefermented_flour):.1f}" == "34.2"
        assert f"{float(formula.total['salt']):.2f}" == "1.97"
        flour = scale(formula, 1, Fraction("2340.3"), Fraction(1)).rows[0]
        assert flour.name == "wheat-white"
        assert flour.grams == 1368


def test_the_published_batch_comes_back_to_the_gram() -> None:
    formula = read_formula(POOLISH)
    whole = Fraction("2340.3")  # the tutorial leaves the 0.3 g of yeast out of its sum
    assert formula.pieces * formula.piece_g == whole
    batch = scale(formula, 3, whole / 3, Fraction(1, 10))
    assert {row.name: float(row.grams) for row in batch.rows} == {
        "wheat-white": 1368.0,
        "water": 936.0,
        "salt": 27.0,
        "yeast-fresh": 9.3,
    }
    poolish = batch.stages[0]
    assert [float(row.grams) for row in poolish.rows] == [468.0, 468.0, 0.3]
    assert poolish.hydration == 1
