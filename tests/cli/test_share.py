"""`pointage share`: what it refuses, and where it writes."""

from __future__ import annotations

from pathlib import Path

import pytest

from pointage.cli.app import run
from pointage.formula.file.read import read_formula
from pointage.formula.file.write import write_formula

EXAMPLE = Path(__file__).parents[2] / "examples" / "formulas" / "harbour-loaf.toml"


def test_a_formula_without_a_process_is_refused_by_that_field(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    bare = tmp_path / "bare.toml"
    bare.write_text(EXAMPLE.read_text(encoding="utf-8").split("[process]")[0], encoding="utf-8")
    out = tmp_path / "page.html"
    assert run(["share", str(bare), "-o", str(out)]) == 2
    said = capsys.readouterr()
    assert "Harbour loaf, process" in said.err
    assert said.err.count("\n") == 1
    assert not out.exists()


def test_a_formula_without_pieces_is_refused_by_that_field(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    bare = tmp_path / "bare.toml"
    text = EXAMPLE.read_text(encoding="utf-8").replace("pieces = 8\n", "")
    bare.write_text(text, encoding="utf-8")
    assert run(["share", str(bare), "-o", str(tmp_path / "page.html")]) == 2
    assert "pieces" in capsys.readouterr().err


def test_rights_go_out_and_come_back_in() -> None:
    text = 'author = "A baker of Skerry Hall"\nyear = 2026\nlicence = "CC BY 4.0"\n'
    formula = read_formula(text + EXAMPLE.read_text(encoding="utf-8"), "harbour-loaf.toml")
    assert formula.rights.author == "A baker of Skerry Hall"
    assert read_formula(write_formula(formula), "again.toml") == formula
