"""Two formulas side by side: what changed in percent, and what follows."""

from __future__ import annotations

import json
from dataclasses import replace
from fractions import Fraction
from pathlib import Path

import pytest

from pointage.cli.app import run
from pointage.formula.adjust import with_salt
from pointage.formula.compare import AskedConsequence, compare
from pointage.formula.file.read import read_formula

FOLDER = Path(__file__).parents[2] / "examples" / "formulas"
TEXT = (FOLDER / "harbour-loaf.toml").read_text(encoding="utf-8")
HARBOUR = read_formula(TEXT)


def test_the_same_is_the_same() -> None:
    assert compare(HARBOUR, replace(HARBOUR, name="Another name")).is_same


def test_what_changed_and_where() -> None:
    salted = with_salt(HARBOUR, Fraction("2.2"))
    found = compare(
        HARBOUR, salted, [AskedConsequence("cost", "EUR", lambda each: float(each.total["salt"]))]
    )
    changed = [(each.name, each.difference) for each in found.total if each.difference]
    assert changed == [("salt", Fraction("0.2"))]
    assert [(each.stage, each.name) for each in found.stages] == [("Dough", "salt")]
    consequences = {each.name: (each.before, each.after) for each in found.consequences}
    assert consequences["salt"] == (2.0, 2.2)
    assert consequences["cost"] == (2.0, 2.2)
    assert consequences["hydration"] == (72.0, 72.0)
    assert not found.is_same


def test_an_ingredient_that_one_of_them_has_not() -> None:
    rolls = read_formula((FOLDER / "seeded-rolls.toml").read_text(encoding="utf-8"))
    rows = {each.name: each for each in compare(HARBOUR, rolls).total}
    assert rows["oats"].before is None
    assert rows["oats"].after == 10
    assert rows["wheat-white"].difference == 5


def test_by_the_engine(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    cooler = tmp_path / "cooler.toml"
    cooler.write_text(TEXT.replace('dough_temperature = "25C"', 'dough_temperature = "21C"'))
    kitchen = ["--kitchen", "examples/kitchen.toml"]
    assert run(["compare", str(FOLDER / "harbour-loaf.toml"), str(cooler), *kitchen, "--json"]) == 0
    answer = json.loads(capsys.readouterr().out)
    told = {each["name"]: (each["before"], each["after"]) for each in answer["consequences"]}
    assert told["dough temperature"] == (25, 21)
    assert told["dough after mixing"] == pytest.approx((25, 21), abs=0.1)
    # A dough four degrees cooler takes longer in the same place: common practice, no source.
    assert told["bulk"][1] > told["bulk"][0] + 0.2
    assert run(["compare", str(FOLDER / "harbour-loaf.toml"), str(cooler), *kitchen]) == 0
    assert "dough temperature °C" in capsys.readouterr().out


def test_a_file_that_is_not_there(capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["compare", str(FOLDER / "harbour-loaf.toml"), "none.toml"]) == 2
    assert capsys.readouterr().err == (
        "pointage: AFTER.toml: none.toml cannot be used; expected a file that exists\n"
    )
