"""`pointage scale`: what it asks of the desk, and how it prints the answer."""

from __future__ import annotations

import json
import sys
from fractions import Fraction
from pathlib import Path
from types import ModuleType, SimpleNamespace

import pytest

from pointage.cli.app import run

ANSWER = {
    "ingredients": [
        {"name": "wheat-white", "grams": 1000.0, "percent": 100.0},
        {"name": "salt", "grams": 20.5, "percent": 2.05},
    ],
    "stages": [
        {"name": "levain", "rows": [{"name": "water", "grams": 90.0, "percent": 9.0}]},
    ],
    "total_g": 1740.5,
    "hydration": 0.72,
    "prefermented_flour": 0.2,
    "dough_yield": 172.0,
}


@pytest.fixture
def asked(monkeypatch: pytest.MonkeyPatch) -> list[tuple[object, ...]]:
    """A desk that gives ANSWER; the list gathers what it was asked."""
    calls: list[tuple[object, ...]] = []

    def scale_formula(*arguments: object) -> SimpleNamespace:
        calls.append(arguments)
        return SimpleNamespace(as_json=lambda: ANSWER, warnings=("Too little salt to weigh",))

    desk = ModuleType("pointage.desk.scale")
    desk.__dict__["scale_formula"] = scale_formula
    monkeypatch.setitem(sys.modules, "pointage.desk.scale", desk)
    return calls


@pytest.fixture
def command(tmp_path: Path) -> list[str]:
    formula = tmp_path / "loaf.toml"
    formula.write_text("name = 'Crème'\n", encoding="utf-8-sig")  # as some editors save it
    return ["scale", str(formula), "--pieces", "12", "--piece", "0.9kg", "--step", "0.1g"]


def test_json(
    asked: list[tuple[object, ...]], command: list[str], capsys: pytest.CaptureFixture[str]
) -> None:
    assert run([*command, "--json"]) == 0
    assert json.loads(capsys.readouterr().out) == ANSWER
    assert asked == [("name = 'Crème'\n", command[1], 12, Fraction(900), Fraction(1, 10))]


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
        "total 1740.5 g",
        "hydration 72 %, dough yield 172, prefermented flour 20 %",
        "Take care: Too little salt to weigh.",
    ]
    assert len(asked) == 1
