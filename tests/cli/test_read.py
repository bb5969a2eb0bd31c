"""`pointage read`: from a recipe's file to a formula that the other commands take."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from pointage.cli.app import run
from pointage.desk.kitchen.kitchens import demonstration_formulas
from pointage.formula.file.read import read_formula

RECIPE = "examples/recipes/country-loaf.txt"
SIMPLE = "500 g bread flour\n350 g water at 80F\n100 g ripe starter\n10 g salt\n"


def test_what_is_read_can_be_scaled(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    recipe, formula = tmp_path / "loaf.txt", tmp_path / "loaf.toml"
    recipe.write_text(SIMPLE, encoding="utf-8")
    assert run(["read", str(recipe), "--json", "-o", str(formula)]) == 0
    answer = json.loads(capsys.readouterr().out)
    assert answer["formula"] == formula.read_text("utf-8")
    assert [each["typed"] for each in answer["lines"]] == SIMPLE.splitlines()
    assert run(["scale", str(formula), "--pieces", "1", "--json"]) == 0
    scaled = json.loads(capsys.readouterr().out)
    # 500 + 50, 350 + 50 and 10 g, as they were typed.
    assert {each["name"]: each["grams"] for each in scaled["ingredients"]} == {
        "wheat-white": 550.0, "water": 400.0, "salt": 10.0,
    }  # fmt: skip


def test_a_baker_reads_each_line_as_typed_and_as_taken(capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["read", RECIPE, "--country", "us"]) == 0
    out = capsys.readouterr().out
    assert "800 g bread flour       White wheat flour    800 g        73.4" in out
    assert "200 g rye flour: “rye flour” can mean several things: taken as Medium rye flour" in out
    assert "Rice flour for dusting           left out" in out


def test_a_file_that_is_there_is_never_written_over(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    there = tmp_path / "mine.toml"
    there.write_text("mine", encoding="utf-8")
    assert run(["read", RECIPE, "-o", str(there)]) == 2
    assert there.read_text("utf-8") == "mine"
    assert "not there yet" in capsys.readouterr().err


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (b"\x89PNG\r\n\x1a\n\xff\xfe", "a text file in UTF-8"),
        (b"x" * 10_000_000, "at most"),
        (b"x" * 100_000, "characters"),
        ("לחם\n500 גרם קמח".encode(), "no flour"),
        (b"", "no flour"),
    ],
)
def test_what_is_no_recipe_is_one_line(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], content: bytes, said: str
) -> None:
    path = tmp_path / "what.txt"
    path.write_bytes(content)
    assert run(["read", str(path), "--json"]) == 2
    error = capsys.readouterr().err
    assert said in error
    assert error.count("\n") == 1


def test_a_country_that_is_not_read(capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["read", RECIPE, "--country", "es"]) == 2
    assert "one of us, gb, fr, de, it" in capsys.readouterr().err


def test_a_batch_is_made_for_the_levain_there_is(capsys: pytest.CaptureFixture[str]) -> None:
    loaf = "examples/formulas/harbour-loaf.toml"
    assert run(["scale", loaf, "--pieces", "1", "--levain-on-hand", "288g", "--json"]) == 0
    made = json.loads(capsys.readouterr().out)
    # Of 100 of flour 18 are in the levain, with 60 % of water: 28.8 of 174.
    assert made["total_g"] == 1740
    assert made["stages"][0]["whole_g"] == 288
    assert run(["scale", loaf, "--levain-on-hand", "0g"]) == 2
    assert "some levain" in capsys.readouterr().err


def test_what_is_written_as_linked_data_is_read_unchanged(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    rights = 'author = "Isla"\nyear = 2024\nlicence = "CC BY 4.0"\n'
    for slug, text in demonstration_formulas().items():
        formula = tmp_path / f"{slug}.toml"
        formula.write_text(rights + text, "utf-8")
        out = tmp_path / f"{slug}.jsonld"
        assert run(["sheet", str(formula), "-o", str(out)]) == 0
        data = json.loads(out.read_text("utf-8"))
        assert (data["author"]["name"], data["copyrightYear"]) == ("Isla", 2024)
        page = tmp_path / f"{slug}.html"
        script = f'<script type="application/ld+json">{json.dumps(data)}</script>'
        page.write_text(f"<!doctype html><html><head>{script}</head></html>", "utf-8")
        for file in (out, page):
            capsys.readouterr()
            assert run(["read", str(file), "--json"]) == 0
            back = read_formula(json.loads(capsys.readouterr().out)["formula"])
            assert back == read_formula(rights + text)
