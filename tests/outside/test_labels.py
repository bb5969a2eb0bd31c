"""What a label prints, against the tables of the laws and guides that say so.

United States: 21 CFR 101.9(c), as the FDA's Guide to Nutrition Labeling and Education Act
Requirements has it, attachment 7 (seen); servings, attachment 6 (seen); daily values, the rule of
May 2016, in a reprint of its table of November 2019 (seen). European Union: Regulation (EU) No
1169/2011, Annexes II, XIV and XV, and the Commission's guidance on tolerances of December 2012,
table 4 (from memory); of Annex XIV the factors of all but fibre also as the French order of
3 December 1993, annex II, has them (seen).
"""

from __future__ import annotations

from fractions import Fraction

import pytest

from pointage.data import load
from pointage.formula.label.nutrition import baked, contents, with_eu_energy
from pointage.formula.label.rounding import Style, label_lines, round_for_label

# Amount, what is printed; just under, at and just over each boundary, and at each half step.
US = {
    "energy": "0 0, 4.999 0, 5 5, 7.499 5, 7.5 10, 47.499 45, 47.5 50, 50 50, 50.001 50, "
    "54.999 50, 55 60, 264.9 260, 265 270",
    "fat": "0 0, 0.499 0, 0.5 0.5, 0.749 0.5, 0.75 1, 1.25 1.5, 4.749 4.5, 4.75 5, 4.999 5, 5 5, "
    "5.499 5, 5.5 6",
    "cholesterol": "0 0, 1.999 0, 2 less than 5, 5 less than 5, 5.001 5, 7.499 5, 7.5 10, 12.5 15",
    "sodium": "0 0, 4.999 0, 5 5, 7.499 5, 7.5 10, 137.5 140, 140 140, 140.001 140, 144.999 140, "
    "145 150, 504.9 500, 505 510",
    "gram": "0 0, 0.499 0, 0.5 less than 1, 0.999 less than 1, 1 1, 1.499 1, 1.5 2, 24.5 25",
    "percent": "0 0, 1.999 0, 2 2, 2.999 2, 3 4, 9 10, 10 10, 10.001 10, 12.499 10, 12.5 15, "
    "47.5 50, 50 50, 50.001 50, 54.999 50, 55 60",
    "servings": "1.499 1, 1.999 2, 2 2, 2.249 2, 2.25 2.5, 4.75 5, 5 5, 5.499 5, 5.5 6",
}
EU = {
    "energy": "0 0, 0.499 0, 0.5 1, 1046.5 1047",
    "gram": "0 0, 0.5 0, 0.5001 0.5, 0.549 0.5, 0.55 0.6, 9.949 9.9, 9.95 10, 9.999 10, 10 10, "
    "10.499 10, 10.5 11",
    "saturates": "0 0, 0.1 0, 0.1001 0.1, 0.149 0.1, 0.15 0.2, 9.95 10, 10 10, 10.5 11",
    "salt": "0 0, 0.0125 0, 0.01251 0.01, 0.0149 0.01, 0.015 0.02, 0.9949 0.99, 0.995 1, 1 1, "
    "1.049 1, 1.05 1.1",
}
ROWS = [
    (style, rule, *row.split(" ", 1))
    for style, table in ((Style.US, US), (Style.EU, EU))
    for rule, rows in table.items()
    for row in rows.split(", ")
]


@pytest.mark.parametrize(("style", "rule", "amount", "printed"), ROWS)
def test_it_is_printed_as_the_table_says(
    style: Style, rule: str, amount: str, printed: str
) -> None:
    assert round_for_label(style, rule, Fraction(amount)).text == printed


def test_daily_values_are_those_of_2016() -> None:
    # 21 CFR 101.9(c)(8)(iv) and (c)(9).
    daily = {line.figure: line.daily for line in label_lines(Style.US) if line.daily}
    assert daily == {
        "fat": 78, "saturated": 20, "cholesterol": 300, "sodium": 2300, "carbohydrate": 275,
        "fibre": 28, "added_sugars": 50, "vitamin_d": 20, "calcium": 1300, "iron": 18,
        "potassium": 4700,
    }  # fmt: skip


# Annex XIV: kJ and kcal for a gram.
FACTORS = {
    "available": (17, 4), "protein": (17, 4), "fat": (37, 9), "alcohol": (29, 7),
    "organic_acids": (13, 3), "fibre": (8, 2),
}  # fmt: skip


def test_energy_is_by_the_factors_of_annex_xiv() -> None:
    """Of 1000 g of white flour and 650 g of water that lose a tenth, by hand."""
    bread = baked(
        contents({"wheat-white": Fraction(1000), "water": Fraction(650)}), Fraction(1, 10)
    )
    found = with_eu_energy(bread).amounts
    for unit, figure in enumerate(("energy_kj", "energy")):
        by_hand = sum(bread.amounts[name].known * each[unit] for name, each in FACTORS.items())
        assert found[figure].known == by_hand
    assert {name: tuple(each) for name, each in load("label/eu.toml")["factors"].items()} == FACTORS


def test_salt_is_sodium_times_two_and_a_half() -> None:
    """Annex I, point 11: 400 mg of sodium are 1 g of salt."""
    found = contents({"salt": Fraction(100)}).amounts
    assert found["salt"].known == found["sodium"].known * Fraction(5, 2) / 1000


def test_the_european_panel_has_the_order_of_annex_xv() -> None:
    order = [line.figure for line in label_lines(Style.EU)]
    assert order == [
        "energy_kj", "energy", "fat", "saturated", "available", "sugars", "fibre", "protein",
        "salt",
    ]  # fmt: skip


def test_the_panel_of_2016_has_its_order() -> None:
    """21 CFR 101.9(c), (d): calories, fat and its parts, cholesterol, sodium, carbohydrate and its
    parts, protein; vitamin D, calcium, iron, potassium."""
    assert [line.figure for line in label_lines(Style.US)] == [
        "energy", "fat", "saturated", "trans", "cholesterol", "sodium", "carbohydrate", "fibre",
        "sugars", "added_sugars", "protein", "vitamin_d", "calcium", "iron", "potassium",
    ]  # fmt: skip


# Regulation (EU) No 1169/2011, Annex II, and the nine of the Federal Food, Drug, and Cosmetic Act,
# section 201(qq), with sesame since 2023; from memory.
ANNEX_II = {
    "cereals containing gluten", "crustaceans", "eggs", "fish", "peanuts", "soybeans", "milk",
    "nuts", "celery", "mustard", "sesame seeds", "sulphur dioxide and sulphites", "lupin",
    "molluscs",
}  # fmt: skip
NINE = {
    "wheat", "crustacean shellfish", "eggs", "fish", "peanuts", "soybeans", "milk",
    "tree nuts", "sesame",
}  # fmt: skip


def test_each_law_has_its_allergens() -> None:
    table = load("label/allergens.toml").values()
    assert {each["us"] for each in table if "us" in each} == NINE
    assert {each["eu"] for each in table} == ANNEX_II
