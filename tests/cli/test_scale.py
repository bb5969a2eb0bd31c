"""`pointage scale`: what it asks of the desk, and how it prints the answer."""

from __future__ import annotations

import json
from fractions import Fraction
from pathlib import Path
from types import SimpleNamespace

import pytest

from pointage.cli.app import run
from pointage.desk.formulas.scale import Wants
from pointage.formula.file.read import read_formula

CREAM = """
name = "Crème"
pieces = 2
piece = "900g"
total = { wheat-white = 100, water = 70 }
stage = [{ name = "Dough", kind = "dough" }]
"""

ANSWER = {
    "ingredients": [
        {"name": "wheat-white", "grams": 1000.0, "percent": 100.0},
        {"name": "salt", "grams": 20.5, "percent": 2.05},
    ],
    "stages": [
        {"name": "levain", "rows": [{"name": "water", "grams": 90.0, "percent": 9.0}]},
    ],
    "pieces": 12,
    "piece_g": 145.0,
    "total_g": 1740.5,
    "drift_g": 0.5,
    "hydration": 0.72,
    "prefermented_flour": 0.2,
    "dough_yield": 172.0,
}


@pytest.fixture
def asked(monkeypatch: pytest.MonkeyPatch) -> list[tuple[object, ...]]:
    """A desk that gives ANSWER; the list gathers what it was asked."""
    calls: list[tuple[object, ...]] = []

    def scale_formula(*arguments: object, wants: Wants, **here: object) -> SimpleNamespace:
        calls.append((*arguments, wants))
        warnings = ("Too little salt to weigh",)
        return SimpleNamespace(as_json=lambda: ANSWER, warnings=warnings, notes=())

    monkeypatch.setattr("pointage.desk.formulas.scale.scale_formula", scale_formula)
    return calls


@pytest.fixture
def command(tmp_path: Path) -> list[str]:
    formula = tmp_path / "loaf.toml"
    formula.write_text(CREAM, encoding="utf-8-sig")  # as some editors save it
    return ["scale", str(formula), "--pieces", "12", "--piece", "0.9kg", "--step", "0.1g"]


def test_json(
    asked: list[tuple[object, ...]], command: list[str], capsys: pytest.CaptureFixture[str]
) -> None:
    assert run([*command, "--json"]) == 0
    assert json.loads(capsys.readouterr().out) == ANSWER
    assert asked == [(read_formula(CREAM), 12, Fraction(900), Fraction(1, 10), Wants())]


def test_printed_for_people(
    asked: list[tuple[object, ...]], command: list[str], capsys: pytest.CaptureFixture[str]
) -> None:
    assert run(command) == 0
    assert capsys.readouterr().out.splitlines() == [
        "total formula    mass  % of flour",
        "wheat-white    1000 g         100",
        "salt           20.5 g        2.05",
        "",
        "levain  mass  % of flour",
        "water   90 g           9",
        "",
        "total 1740.5 g, 12 of 145 g",
        "rounding makes it +0.50 g",
        "hydration 72 %, dough yield 172, prefermented flour 20 %",
        "Warning: Too little salt to weigh.",
    ]
    assert len(asked) == 1


FORMULA = "examples/formulas/harbour-loaf.toml"


def scaled(capsys: pytest.CaptureFixture[str], *options: str) -> dict[str, float]:
    assert run(["scale", FORMULA, *options, "--json"]) == 0
    answer: dict[str, float] = json.loads(capsys.readouterr().out)
    return answer


def test_to_what_there_is(capsys: pytest.CaptureFixture[str]) -> None:
    # By hand, of 174 parts of dough to 100 of flour: 5 kg of flour is 8.7 kg of dough, nine pieces
    # of 900 g; 12 pieces of it are 725 g each; a loaf of 800 g is 909.09 g of dough.
    by_flour = scaled(capsys, "--flour-on-hand", "5kg", "--piece", "900g")
    assert (by_flour["pieces"], by_flour["total_g"]) == (9, 8100)
    shared = scaled(capsys, "--flour-on-hand", "5kg", "--pieces", "12")
    assert (shared["piece_g"], shared["total_g"]) == (725, 8700)
    by_kind = scaled(capsys, "--flour-on-hand", "wheat-whole:1kg", "--pieces", "10")
    assert by_kind["total_g"] == 8700  # a fifth of the flour is whole
    baked = scaled(capsys, "--pieces", "11", "--baked", "800g", "--oven-loss", "12%")
    assert (baked["total_g"], baked["baked_g"]) == (10000, 800)
    sticky = scaled(capsys, "--pieces", "11", "--piece", "900g", "--bowl-loss", "1%")
    assert sticky["total_g"] == 10000
    oven = scaled(capsys, "--oven-loads", "2", "--kitchen", "examples/kitchen.toml")
    assert oven["pieces"] == 16


def test_to_the_vessel(capsys: pytest.CaptureFixture[str]) -> None:
    # A dough weighs 1.05 to 1.25 kg a litre just mixed: from memory.
    found = scaled(capsys, "--vessel", "12l", "--rise", "2", "--piece", "100g")
    assert 6000 < found["total_g"] < 7500
    less = scaled(capsys, "--vessel", "12l", "--rise", "3", "--piece", "100g")
    assert less["total_g"] == pytest.approx(found["total_g"] * 2 / 3, abs=100)


@pytest.mark.parametrize(
    ("options", "line"),
    [
        ((), "pieces: missing; expected a number of pieces, or what limits it"),
        (
            ("--flour-on-hand", "100g"),
            "--flour-on-hand: 100g cannot be used; expected enough for the 900",
        ),
        (("--flour-on-hand", "1kg", "--pieces", "9", "--piece", "1kg"), "--flour-on-hand: 1kg"),
        (
            ("--flour-on-hand", "rye-whole:1kg"),
            "--flour-on-hand: 'rye-whole' cannot be used; expected a",
        ),
        (
            ("--pieces", "1", "--bowl-loss", "60%"),
            "--bowl-loss: '60%' cannot be used; expected a loss",
        ),
        (
            ("--pieces", "1", "--baked", "1kg", "--oven-loss", "60%"),
            "--oven-loss: '60%' cannot be used",
        ),
        (
            ("--pieces", "1", "--fine-step", "1g"),
            "--fine-step: 1 g cannot be used; expected a step from",
        ),
        (("--pieces", "1", "--baked", "1kg", "--piece", "1kg"), "--baked: 1000 g cannot be used"),
        (("--pieces", "1", "--people", "4"), "--people: 4 people cannot be used"),
        (("--pieces", "1", "--discard", "9kg"), "--discard: 9000 g cannot be used; expected more"),
        (("--pieces", "1", "--levain-age", "99h"), "--levain-age: '99h' cannot be used"),
        (("--pieces", "1", "--levain-flour", "honey"), "--levain-flour: 'honey' cannot be used"),
    ],
)
def test_what_cannot_be_is_one_line(
    options: tuple[str, ...], line: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run(["scale", FORMULA, *options]) == 2
    error = capsys.readouterr().err
    assert error.startswith(f"pointage: {line}")
    assert error.count("\n") == 1
