"""The formula file: the examples are read, and each thing that can be wrong is one clear line."""

from __future__ import annotations

import re
from fractions import Fraction
from pathlib import Path

import pytest

from pointage.errors import InputError, InputErrors
from pointage.formula.file.read import read_formula
from pointage.formula.file.shape import FormulaTable, ProcessTable, StageTable
from pointage.formula.formula import StageKind
from pointage.quantities import Temperature
from pointage.toml import TomlTable

FOLDER = Path(__file__).parents[2] / "examples" / "formulas"
HARBOUR = (FOLDER / "harbour-loaf.toml").read_text(encoding="utf-8")
ROLLS = (FOLDER / "seeded-rolls.toml").read_text(encoding="utf-8")

GRAMS = """
name = "Small loaf"
pieces = 2
[[stage]]
name = "Levain"
kind = "levain"
seed = 20
grams = { wheat-white = 100, water = 60 }
[[stage]]
name = "Dough"
kind = "dough"
grams = { wheat-white = "0.4kg", water = 290, salt = 10 }
"""


def changed(text: str, old: str, new: str) -> str:
    assert old in text, f"the example no longer has {old!r}"
    return text.replace(old, new, 1)


def test_the_harbour_loaf() -> None:
    formula = read_formula(HARBOUR, "harbour-loaf.toml")
    assert formula.slug == "harbour-loaf"
    assert (formula.pieces, formula.culture) == (8, "Plover")
    assert formula.piece_g == 900
    assert list(formula.total) == ["wheat-white", "wheat-whole", "water", "salt"]
    assert list(formula.total.values()) == [80, 20, 72, 2]
    levain = formula.levain
    assert levain is not None
    assert levain.ingredients == {"wheat-white": 18, "water": Fraction("10.8")}
    assert levain.hydration == Fraction("0.6")
    assert levain.seed is None
    assert levain.temperature == Temperature(25.0)
    assert formula.dough.water == Fraction("61.2")
    process = formula.process
    assert process is not None
    assert process.retard_rise == (1.3, 1.5, 1.8)
    assert process.cool_minutes == 90


def test_the_rye_is_never_retarded() -> None:
    formula = read_formula((FOLDER / "tinned-rye.toml").read_text(encoding="utf-8"))
    assert formula.process is not None
    assert formula.process.retard_place is None
    assert formula.prefermented_flour == Fraction("0.35")
    assert formula.hydration == Fraction("0.82")


def test_a_soaker_takes_its_part() -> None:
    formula = read_formula(ROLLS)
    (soaker,) = formula.soakers
    assert soaker.kind is StageKind.SOAKER
    assert (soaker.least_hours, soaker.most_hours) == (2.0, 16.0)
    assert "oats" not in formula.dough.ingredients
    assert sum(stage.mass for stage in formula.stages) == sum(formula.total.values())


def test_grams_and_percents_say_the_same() -> None:
    by_grams = read_formula(GRAMS)
    # 500 g flour in all, of which 100 g is in the levain; 860 g for two pieces.
    assert by_grams.piece_g == 430
    assert by_grams.total == {"wheat-white": 100, "water": 70, "salt": 2}
    by_percent = read_formula(
        """
        name = "Small loaf"
        pieces = 2
        piece = 430
        [total]
        wheat-white = 100
        water = 70
        salt = 2
        [[stage]]
        name = "Levain"
        kind = "levain"
        flour = 20
        water = 60
        seed = 20
        [[stage]]
        name = "Dough"
        kind = "dough"
        """
    )
    assert by_grams == by_percent


@pytest.mark.parametrize(
    ("old", "new", "line"),
    [
        (
            "water = 84",
            "water = 20",
            "rolls.toml, water: 20 % cannot be used; expected at least 34 %, as "
            "stage 1 (Levain) and stage 2 (Soaker) take that much",
        ),
        (
            "\noats = 10",
            "\noatz = 10",
            "rolls.toml, total: 'oatz' cannot be used; expected an ingredient such as oats",
        ),
        (
            "water = 84",
            "water = 34",
            "rolls.toml, stage 'Dough', water: nothing left; expected some water: all "
            "there is goes to stage 1 (Levain) 12 % and stage 2 (Soaker) 22 %",
        ),
        (
            "wheat-whole = 15",
            "wheat-whole = 20",
            "rolls.toml, total: 105 % of flour cannot be used; expected flours that come to 100 %",
        ),
        (
            "salt = 2.2",
            "salt = -2",
            "rolls.toml, total, salt: -2 % cannot be used; expected a percent",
        ),
        (
            "salt = 2.2",
            "salt = nan",
            "rolls.toml, total, salt: 'nan' cannot be used; expected a percent",
        ),
        (
            "salt = 2.2",
            'salt = "2g"',
            "rolls.toml, total, salt: '2g' cannot be used; expected a percent",
        ),
        (
            'kind = "dough"',
            'kind = "soaker"',
            "rolls.toml, stage: no dough; expected one [[stage]] of kind dough",
        ),
        (
            'kind = "soaker"',
            'kind = "dough"',
            "rolls.toml, stage: 'Soaker' and 'Dough' cannot be used; expected one [[stage]] of",
        ),
        (
            'kind = "soaker"',
            'kind = "sponge"',
            "rolls.toml, stage 'Soaker', kind: 'sponge' cannot be used; expected levain, soaker,",
        ),
        ('name = "Soaker"', 'name = "levain"', "rolls.toml, stage 'levain': two stages have"),
        (
            "linseed = 4, water",
            "linseed = 5, water",
            "rolls.toml, linseed: 4 % cannot be used; expected at least 5 %, as stage",
        ),
        (
            'seed = "fit"',
            'seed = "some"',
            "rolls.toml, stage 'Levain', seed: 'some' cannot be used; expected percent of",
        ),
        ('seed = "fit"', "seed = 0", "rolls.toml, stage 'Levain', seed: '0' cannot be used"),
        ('least = "2h"', 'least = "20h"', "rolls.toml, stage 'Soaker', most: '16h' cannot be used"),
        (
            "pieces = 48",
            "pieces = 0",
            "rolls.toml, pieces: 0 cannot be used; expected a whole number",
        ),
        (
            'piece = "90g"',
            'piece = "90 ells"',
            "rolls.toml, piece: '90 ells' cannot be used; expected a",
        ),
        ('piece = "90g"', "piece = 0", "rolls.toml, piece: '0' cannot be used; expected a mass"),
        (
            "bake_note",
            "bake_notes",
            "rolls.toml, process: 'bake_notes' cannot be used; expected one of",
        ),
        (
            "bulk_rise = [1.35, 1.5, 1.7]",
            "bulk_rise = [1.5, 1.35, 1.7]",
            "rolls.toml, process, bulk_rise: [1.5, 1.35, 1.7] cannot be used; expected least,",
        ),
        (
            'retard_place = "Fridge"\n',
            "",
            "rolls.toml, process, retard_place: missing; expected both",
        ),
        (
            'oven = "230C"',
            'oven = "30C"',
            "rolls.toml, process, oven: '30C' cannot be used; expected",
        ),
        (
            'mix = "20min"',
            'mix = "20 winks"',
            "rolls.toml, process, mix: '20 winks' cannot be used",
        ),
        ("[total]", "[total", "rolls.toml, line "),
    ],
)
def test_what_is_wrong_is_one_line(old: str, new: str, line: str) -> None:
    with pytest.raises(InputError) as error:
        read_formula(changed(ROLLS, old, new), "rolls.toml")
    assert str(error.value).startswith(line)
    assert "\n" not in str(error.value)


@pytest.mark.parametrize(
    ("old", "new", "line"),
    [
        ("wheat-white = 100, ", "", "f.toml, stage 'Levain': a levain without flour"),
        ("water = 290", "watr = 290", "f.toml, stage 2, grams: 'watr' cannot be used; expected an"),
        (", water = 290", "", "f.toml, stage 'Dough', water: nothing left; expected some"),
        ('wheat-white = "0.4kg", ', "", "f.toml, stage 'Dough', flour: nothing left"),
        ("salt = 10", "salt = -10", "f.toml, stage 2, grams, salt: '-10' cannot be used"),
        ("seed = 20", "seed = 20\nwater = 60", "f.toml, stage 1, water: a percent beside grams"),
        (
            "pieces = 2",
            "pieces = 2\ntotal = { wheat-white = 100 }",
            "f.toml, stage 1, grams: grams",
        ),
    ],
)
def test_what_is_wrong_in_grams_is_one_line(old: str, new: str, line: str) -> None:
    with pytest.raises(InputError) as error:
        read_formula(changed(GRAMS, old, new), "f.toml")
    assert str(error.value).startswith(line)


@pytest.mark.parametrize("table", [FormulaTable, StageTable, ProcessTable])
def test_the_page_explains_every_key(table: type[TomlTable]) -> None:
    page = (FOLDER.parents[1] / "docs" / "formulas.md").read_text(encoding="utf-8")
    unexplained = {key for key in table.model_fields if not re.search(rf"[`\[]{key}[`\]]", page)}
    assert not unexplained


def test_no_flour_at_all_is_refused() -> None:
    text = """
    name = "Brine"
    pieces = 1
    [[stage]]
    name = "Dough"
    kind = "dough"
    grams = { water = 100, salt = 3 }
    """
    with pytest.raises(InputError, match="no flour; expected flour in at least one stage"):
        read_formula(text)


def test_every_fault_of_a_file_is_said_at_once_in_its_place() -> None:
    text = ROLLS
    for old, new in (
        ("salt = 2.2", 'salt = "a bit"'),
        ('least = "2h"', 'least = "20h"\nhold = "1h"'),
        ('seed = "fit"', "seed = 0"),
        ("pieces = 48", "pieces = 0"),
    ):
        assert old in text
        text = text.replace(old, new, 1)
    with pytest.raises(InputError) as caught:
        read_formula(text, "rolls.toml")
    assert {each.path for each in caught.value.faults} == {
        ("total", "salt"),
        ("stage", 1, "hold"),
        ("stage", 0, "seed"),
        ("pieces",),
    }
    assert len(str(caught.value).splitlines()) == 4


def test_what_does_not_fit_together_is_said_at_once() -> None:
    text = ROLLS
    for old, new in (
        ('least = "2h"', 'least = "20h"'),
        ("salt = 2.2", "salt = 2.2\nrye-whole = 7"),
    ):
        assert old in text
        text = text.replace(old, new, 1)
    with pytest.raises(InputError) as caught:
        read_formula(text, "rolls.toml")
    assert [each.path for each in caught.value.faults] == [("stage", 1, "most"), ("total",)]


def test_a_kind_that_is_a_list_is_named() -> None:
    with pytest.raises(InputErrors, match="kind"):
        read_formula('name = "Loaf"\n[[stage]]\nname = "Dough"\nkind = [[1]]\n')


NAMED = """
name = "Loaf"
pieces = 1
piece = "900g"
[total]
"bread flour" = 80
Roggenvollkornmehl = 20
water = 70
"sea salt" = 2
[[stage]]
name = "Levain"
kind = "levain"
flour = 20
flours = { "wholemeal rye" = 100 }
water = 100
[[stage]]
name = "Dough"
kind = "dough"
"""


def test_ingredients_go_by_the_names_that_people_give_them() -> None:
    found = read_formula(NAMED)
    assert set(found.total) == {"wheat-white", "rye-whole", "water", "salt"}
    assert set(found.stage("Levain").ingredients) == {"rye-whole", "water"}


@pytest.mark.parametrize(
    ("name", "said"),
    [
        ("white flour", "which one, such as wheat-white"),
        ("corn flour", "maize-flour"),
        ("bred flour", "an ingredient such as bread flour"),
        ("strong white flour", "wheat-white, which is there already"),
    ],
)
def test_a_name_that_could_be_another_is_refused(name: str, said: str) -> None:
    text = NAMED.replace("Roggenvollkornmehl", f'"{name}"').replace("wholemeal rye", "bread flour")
    with pytest.raises(InputError, match=said):
        read_formula(text)
