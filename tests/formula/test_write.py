"""Formulas written down and read again, from every side: the same formula, the same text."""

from __future__ import annotations

import re
from dataclasses import replace
from fractions import Fraction
from functools import cache
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pointage.formula.file.read import read_formula
from pointage.formula.file.write import WrittenSide, write_formula
from pointage.formula.formula import Formula, Stage, StageKind
from pointage.formula.ingredients import ingredients
from pointage.quantities import Temperature

FOLDER = Path(__file__).parents[2] / "examples" / "formulas"
EXAMPLES = [read_formula(each.read_text(encoding="utf-8")) for each in FOLDER.glob("*.toml")]
FLOURS = [name for name, each in ingredients().items() if each.kind == "flour"]
OTHERS = [name for name, each in ingredients().items() if each.kind not in ("flour", "water")]

# So much flour that nothing comes to more than 500 % of it, which would be refused.
# Hypothesis's own fractions take most of the time of a formula: these are two whole numbers each.
plenty = st.builds(
    lambda n, d: 100 + Fraction(n % (200 * d), d), st.integers(0, 12000), st.integers(1, 60)
)
amounts = st.builds(
    lambda n, d: Fraction(n % (60 * d) + 1, d), st.integers(0, 24000), st.integers(1, 400)
)
names = st.text(
    st.characters(codec="utf-8", exclude_categories=("Cc", "Cs")), min_size=1, max_size=12
).filter(lambda name: name not in ingredients())


@cache
def mixes(least: int = 1) -> st.SearchStrategy[dict[str, Fraction]]:
    """Flour and water, and a few other things."""
    flours = st.dictionaries(st.sampled_from(FLOURS), plenty, min_size=least, max_size=3)
    others = st.dictionaries(st.sampled_from(OTHERS), amounts, max_size=3)
    return st.builds(lambda f, w, o: {**f, "water": w, **o}, flours, amounts, others)


@st.composite
def formulas(draw: st.DrawFn) -> Formula:
    """A dough, up to five stages before it that take from one another, and an addition."""
    called = draw(st.lists(names, min_size=3, max_size=7, unique_by=str.casefold))
    dough, addition, *before = called
    process = draw(st.sampled_from([each.process for each in EXAMPLES]))
    stages: list[Stage] = []
    left: dict[str, Fraction] = {}

    def some(share: st.SearchStrategy[Fraction]) -> dict[str, Fraction]:
        found = {}
        for name in list(left):
            if draw(st.booleans()):
                found[name] = draw(share) * left[name]
                left[name] -= found[name]
        return {name: part for name, part in found.items() if part}

    shares = st.sampled_from([Fraction(1), Fraction(1, 2), Fraction(1, 3)])
    for name in before:
        kind = draw(st.sampled_from([*StageKind][:4]))
        stands = kind in (StageKind.SOAKER, StageKind.SCALD)
        least = draw(st.integers(0, 9)) / 2 if stands else 0.0
        parts_of = some(shares)
        has_levain = any(each.kind is StageKind.LEVAIN and each.name in parts_of for each in stages)
        seeded = kind is StageKind.LEVAIN and not has_levain
        stages.append(
            Stage(
                name=name,
                kind=kind,
                ingredients=draw(mixes(0 if stands else 1)),
                temperature=draw(st.none() | st.integers(1, 100).map(Temperature)),
                place=draw(st.none() | st.text(min_size=1, max_size=5)),
                seed=draw(st.none() | amounts.map(lambda n: n / 100)) if seeded else None,
                least_hours=least,
                most_hours=least + draw(st.integers(0, 20)) if stands else 0.0,
                parts_of=parts_of,
            )
        )
        left[name] = Fraction(1)
    folds = process.folds if process is not None else 9
    late = Stage(
        name=addition,
        kind=StageKind.ADDITION,
        ingredients=draw(mixes(0)),
        parts_of=some(shares),
        fold=draw(st.integers(0, folds)),
    )
    rest = {name: part for name, part in left.items() if part} | {addition: Fraction(1)}
    stages.append(Stage(name=dough, kind=StageKind.DOUGH, ingredients=draw(mixes()), parts_of=rest))
    stages.append(late)
    flour = sum((each.flour for each in stages), Fraction())
    stages = [
        replace(each, ingredients={n: 100 * p / flour for n, p in each.ingredients.items()})
        for each in stages
    ]
    name = draw(st.sampled_from(["Loaf", "Pain d’épeautre", "Nº 7"]))
    return Formula(
        name=name,
        slug={"Loaf": "loaf", "Nº 7": "no-7"}.get(name, "pain-depeautre"),
        about=draw(st.text(max_size=20)),
        culture=draw(st.none() | st.just("Plover")),
        pieces=draw(st.integers(1, 400)),
        piece_g=draw(st.fractions(1, 3000, max_denominator=300)),
        stages=tuple(stages),
        process=process,
        cautions=tuple(draw(st.lists(st.text(min_size=1, max_size=8), max_size=2))),
    )


@given(formulas(), st.sampled_from([None, *WrittenSide]))
def test_what_is_written_is_read_back(formula: Formula, side: WrittenSide | None) -> None:
    text = write_formula(formula, side)
    again = read_formula(text)
    assert again == formula
    assert write_formula(again, side) == text


@pytest.mark.parametrize("formula", EXAMPLES, ids=lambda each: each.slug)
@pytest.mark.parametrize("side", [None, *WrittenSide])
def test_every_example_from_every_side(formula: Formula, side: WrittenSide | None) -> None:
    assert read_formula(write_formula(formula, side)) == formula


def test_an_example_reads_as_a_baker_would_write_it() -> None:
    rolls = next(each for each in EXAMPLES if each.slug == "seeded-rolls")
    text = write_formula(rolls)
    assert "wheat-white = 85\n" in text
    assert 'flour = 20\nflours = { wheat-white = 100 }\nwater = 60\nseed = "fit"\n' in text
    assert "takes = { water = 22, oats = 10, sunflower = 8, linseed = 4 }\n" in text
    assert "/" not in text


def test_grams_that_are_round_stay_grams() -> None:
    text = """
    name = "Poolish bread"
    pieces = 3
    [[stage]]
    name = "Poolish"
    kind = "levain"
    grams = { wheat-white = 468, water = 468 }
    [[stage]]
    name = "Dough"
    kind = "dough"
    grams = { wheat-white = 900, water = 468, salt = 27 }
    """
    written = write_formula(read_formula(text))
    assert "grams = { wheat-white = 900, water = 468, salt = 27 }" in written


@pytest.mark.parametrize("degrees", ["76F", "24C", "24.5C", "77F", "475F", "230C"])
def test_a_temperature_is_written_in_the_degrees_in_which_it_is_round(degrees: str) -> None:
    """Typed 76F, it does not come back as 24.444444444444443C; 77F is 25C and may be either."""
    plain = (FOLDER / "harbour-loaf.toml").read_text(encoding="utf-8")
    key = "oven" if degrees in ("475F", "230C") else "dough_temperature"
    text = re.sub(rf'^{key} = "[^"]*"', f'{key} = "{degrees}"', plain, flags=re.M)
    formula = read_formula(text)
    written = write_formula(formula)
    assert f'{key} = "{degrees if degrees != "77F" else "25C"}"' in written
    assert read_formula(written) == formula
