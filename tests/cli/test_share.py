"""`pointage share`: what it refuses, and where it writes."""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path

import pytest

from pointage.cli.app import run
from pointage.desk.formulas import share
from pointage.desk.kitchen.kitchens import demonstration_text
from pointage.desk.now.texts import kitchen_of
from pointage.documents.page.write import size_words
from pointage.formula.file.read import read_formula
from pointage.formula.file.write import write_formula
from pointage.formula.ingredients import ingredients, split

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


MOST_OF_TABLES = 142_000
"""Bytes of the engine's tables, with a levain in four builds; those of a real page are looked at in
test_shared_page_in_a_browser.py."""


@pytest.mark.long
def test_200_ingredients_with_long_names_have_room_on_a_page(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(share, "grid_of", lambda *_: {"tables": "x" * MOST_OF_TABLES})
    monkeypatch.setattr(share, "against", lambda *_: {"tables": "x" * 400})
    text = EXAMPLE.read_text(encoding="utf-8")
    known = [name for name, each in ingredients().items() if each.kind not in ("water", "salt")]
    given = {name: 0.1 for name in known if split(name).flour in {0, 1} and name not in text}
    flour = sum(part for name, part in given.items() if split(name).flour)
    own = [f"own{n}" for n in range(60)]
    lines = [f"{name} = {part + n / 700:.3f}" for n, (name, part) in enumerate(given.items())
             if not split(name).flour]  # fmt: skip
    lines += [f"{name} = 0.1" for name in given if split(name).flour]
    lines += [f"{name} = 0.25" for name in own]
    text = text.replace("wheat-white = 80", f"wheat-white = {80 - flour:g}", 1)
    text = text.replace("salt = ", "\n".join([*lines, "salt = "]), 1)
    for n, name in enumerate(own):
        called = f"{n:02d}".ljust(80, "e")
        text += f'\n[[ingredient]]\nname = "{called}"\nid = "{name}"\nlike = "linseed"\n'
    formula = read_formula(text, "large.toml")
    assert len(formula.total) >= 200
    now = datetime(2026, 11, 27, 9, tzinfo=UTC)
    page = share.share_formula(formula, kitchen_of(demonstration_text(), now), now)
    assert size_words(page) == ""
    assert "has 301 kB, more than the usual 300" in size_words(page.ljust(300_001))


def test_rights_go_out_and_come_back_in() -> None:
    text = 'author = "A baker of Skerry Hall"\nyear = 2026\nlicence = "CC BY 4.0"\n'
    formula = read_formula(text + EXAMPLE.read_text(encoding="utf-8"), "harbour-loaf.toml")
    assert formula.rights.author == "A baker of Skerry Hall"
    assert read_formula(write_formula(formula), "again.toml") == formula
