"""`pointage scale --volumes`: cups and spoons beside the grams, for those who ask."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest

from pointage.cli.app import run

ROLLS = Path(__file__).parents[2] / "examples" / "formulas" / "seeded-rolls.toml"
COMMAND = ["scale", str(ROLLS), "--pieces", "12", "--piece", "90g"]


def test_cups_stand_below_the_grams(capsys: pytest.CaptureFixture[str]) -> None:
    # By hand: 12 × 90 g over 214.2 parts is 5.042 g a part; 84 parts of water are 423.5 g, and
    # a cup of it 237 g: 1.787 cups, told as 1 3/4, which is 2 % less, and the cup may be 1 % off.
    assert run([*COMMAND, "--volumes"]) == 0
    printed = capsys.readouterr().out
    assert " ".join(printed.split()).count("water 1 3/4 cups 3 % USDA SR, from memory") == 1
    assert printed.endswith(
        "Go by the grams: a cup holds more or less, depending on how it is filled.\n"
    )
    assert run(COMMAND) == 0
    assert "cup" not in capsys.readouterr().out


def test_json_has_them_when_asked(capsys: pytest.CaptureFixture[str]) -> None:
    assert run([*COMMAND, "--volumes", "--json"]) == 0
    rows = {row["name"]: row for row in json.loads(capsys.readouterr().out)["volumes"]}
    assert (
        rows["honey"]["measure"].endswith("teaspoons") or "tablespoon" in rows["honey"]["measure"]
    )
    assert rows["linseed"]["off_percent"] >= 8
    assert set(rows["salt"]) == {"name", "measure", "off_percent", "density_source"}


def test_what_has_no_density_wants_weighing(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    text = ROLLS.read_text("utf-8").replace("wheat-whole = 15", "spelt-whole = 15")
    path = tmp_path / "rolls.toml"
    path.write_text(text, "utf-8")
    assert run(["scale", str(path), "--pieces", "12", "--piece", "90g", "--volumes"]) == 0
    assert re.search(r"^spelt-whole +weigh it$", capsys.readouterr().out, re.M)
