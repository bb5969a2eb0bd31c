"""Scaling: exact until rounded, the batch kept, stages that come to the total formula."""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pointage.desk.formulas.scale import scale_formula
from pointage.errors import InputError
from pointage.formula.file.read import read_formula
from pointage.formula.formula import Formula
from pointage.formula.scale import SEED, Scaled, scale

FOLDER = Path(__file__).parents[2] / "examples" / "formulas"
TEXTS = {each.stem: each.read_text(encoding="utf-8") for each in sorted(FOLDER.glob("*.toml"))}
FORMULAS = {name: read_formula(text, f"{name}.toml") for name, text in TEXTS.items()}
HARBOUR = FORMULAS["harbour-loaf"]
HYDRATION = {
    "Gannet": Fraction(1),
    "Plover": Fraction(3, 5),
}  # of the cultures in the example kitchen

any_formula = st.sampled_from(list(FORMULAS.values()))
any_step = st.sampled_from([Fraction(1, 10), Fraction(1), Fraction(2), Fraction(5)])


def in_stages(batch: Scaled, name: str) -> Fraction:
    return sum(
        (row.grams for stage in batch.stages for row in stage.rows if row.name == name), Fraction()
    )


@given(any_formula, st.integers(1, 200), st.integers(50, 2000), any_step)
def test_every_batch_adds_up(formula: Formula, pieces: int, piece: int, step: Fraction) -> None:
    batch = scale(formula, pieces, Fraction(piece), step)
    assert batch.total_g == round(pieces * piece / step) * step
    assert sum(stage.total_g for stage in batch.stages) == batch.total_g
    for row in batch.rows:
        assert abs(row.grams - row.exact) < step
        assert in_stages(batch, row.name) == row.grams
    for stage in batch.stages:
        assert all(abs(row.grams - row.exact) < step for row in stage.rows)


@given(any_formula, st.integers(1, 60), st.fractions(Fraction(1, 20), 1, max_denominator=100))
def test_a_seed_changes_no_total(formula: Formula, pieces: int, seed: Fraction) -> None:
    step = Fraction(1)
    bare = scale(formula, pieces, Fraction(900), step)
    assert formula.culture is not None
    hydration = HYDRATION[formula.culture]
    batch = scale(formula, pieces, Fraction(900), step, seed=seed, culture_hydration=hydration)
    assert batch.rows == bare.rows
    levain, plain = batch.stages[0], bare.stages[0]
    assert levain.total_g == plain.total_g
    first = levain.rows[0]
    assert first.name == SEED
    assert abs(first.grams - first.exact) <= step / 2
    # What is added fresh and what the seed brings come to the stage, for each ingredient.
    flour = first.exact / (1 + hydration)
    brought = {"water": first.exact - flour}
    for row, whole in zip(levain.rows[1:], plain.rows, strict=True):
        assert row.exact + brought.get(row.name, flour) == whole.exact
        assert row.grams >= 0


def test_a_seed_that_the_formula_fixes_is_weighed_apart() -> None:
    # The levain has 18 % of flour at 60 %, so a fifth of its flour is 3.6 % of seed: 2.25 % flour
    # and 1.35 % water. One percent of 1740 g is 10 g.
    text = TEXTS["harbour-loaf"].replace('seed = "fit"', "seed = 20")
    levain = scale_formula(read_formula(text), 2, Fraction(870), Fraction(1, 10)).batch.stages[0]
    assert [(row.name, float(row.grams)) for row in levain.rows] == [
        ("seed", 36.0),
        ("wheat-white", 157.5),
        ("water", 94.5),
    ]
    assert levain.total_g == 288


@given(any_formula, st.integers(1, 50), st.integers(2, 9))
def test_scaling_is_linear(formula: Formula, pieces: int, times: int) -> None:
    once = scale(formula, pieces, Fraction(437), Fraction(1))
    more = scale(formula, pieces * times, Fraction(437), Fraction(1))
    assert [row.exact * times for row in once.rows] == [row.exact for row in more.rows]


def test_the_harbour_loaf_by_hand() -> None:
    # 8 × 900 g over 174 % is 41.379 g for each percent: 80 % is 3310.3 g, 20 % 827.6, 72 % 2979.3,
    # 2 % 82.8.
    batch = scale(HARBOUR, 8, Fraction(900), Fraction(1))
    assert [(row.name, int(row.grams)) for row in batch.rows] == [
        ("wheat-white", 3310),
        ("wheat-whole", 828),
        ("water", 2979),
        ("salt", 83),
    ]
    assert batch.hydration == Fraction("0.72")
    assert batch.prefermented_flour == Fraction("0.18")
    assert batch.dough_yield == 172


def test_a_seed_that_brings_more_than_the_stage_has_is_refused() -> None:
    # Of a culture at 300 %, three quarters are water: a seed as heavy as the stage's flour brings
    # 75 % where the stage has 60 %.
    with pytest.raises(
        InputError, match=r"stage Levain, seed: 100 % cannot be used; expected less"
    ) as e:
        scale(
            HARBOUR, 8, Fraction(900), Fraction(1), seed=Fraction(1), culture_hydration=Fraction(3)
        )
    assert "water" in str(e.value)


@pytest.mark.parametrize(
    ("pieces", "piece", "step", "field"),
    [
        (0, 900, 1, "pieces"),
        (10_001, 900, 1, "pieces"),
        (8, 0, 1, "piece"),
        (8, 50_001, 1, "piece"),
        (8, 900, 0, "step"),
        (1, 900, 1000, "step"),
    ],
)
def test_no_batch_at_all_is_refused(pieces: int, piece: int, step: int, field: str) -> None:
    with pytest.raises(InputError) as error:
        scale(HARBOUR, pieces, Fraction(piece), Fraction(step))
    assert error.value.field == field


def test_what_rounds_to_nothing_is_told() -> None:
    answer = scale_formula(read_formula(TEXTS["harbour-loaf"]), 1, Fraction(40), Fraction(1))
    # 40 g over 174 % leaves 0.46 g of salt.
    assert answer.warnings == (
        "0.46 g of Salt in the Dough is too little for a scale in 1 g: weigh it on a finer one",
    )


def test_the_answer_as_json() -> None:
    formula = read_formula(TEXTS["harbour-loaf"])
    answer = scale_formula(formula, 12, Fraction(900), Fraction(1)).as_json()
    assert answer["total_g"] == 10800
    assert answer["hydration"] == 0.72
    assert answer["dough_yield"] == 172
    assert sum(row["grams"] for row in answer["ingredients"]) == 10800
    assert [stage["kind"] for stage in answer["stages"]] == ["levain", "dough"]
    assert answer["stages"][0]["hydration"] == 0.6
