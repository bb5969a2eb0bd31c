"""`pointage ingredient`: the use cases of the page, on the stored kitchen."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
from tests.web.stored_desk import new_hall

from pointage.cli.app import run


@pytest.fixture
def command(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> Any:
    monkeypatch.setenv("POINTAGE_STORE", new_hall(tmp_path / "hall.db"))

    def carried_out(*words: str) -> Any:
        assert run(["ingredient", *words, "--json"]) == 0
        return json.loads(capsys.readouterr().out)

    return carried_out


def test_one_is_added_corrected_removed_and_brought_back(command: Any, tmp_path: Path) -> None:
    added = command("add", "Skerry bere", "--like", "barley flour", "--protein", "9.8",
                    "--price", "2,80")  # fmt: skip
    assert (added["like"], added["protein"], added["allergens"]) == ("barley", 9.8, None)
    now = command("correct", "skerry BERE", "--rename", "Bere", "--allergens", "same",
                  "--protein", "unknown")  # fmt: skip
    assert (now["id"], now["name"], now["protein"]) == (added["id"], "Bere", None)
    assert (now["allergens"], now["price_per_kg"]) == (["barley"], 2.8)
    assert command("remove", added["id"]) == {"removed": "Bere"}
    assert command("list") == {"ingredients": [], "removed": ["Bere"]}
    command("bring-back", "Bere")
    assert command("list") == {"ingredients": [now], "removed": []}


@pytest.mark.parametrize(
    ("words", "lines"),
    [
        (("add", "Grit", "--like", "gravel", "--ash", "wet", "--price", "lots"),
         ("--like: 'gravel'", "--ash: 'wet'", "--price: 'lots'")),
        (("add", "Grit", "--like", "barley", "--allergens", "stone"), ("--allergens: 'stone'",)),
        (("add", "Rye flour", "--like", "barley"), ("name: 'Rye flour' is",)),
        (("correct", "Grit", "--ash", "2"), ("NAME: 'Grit'",)),
        (("bring-back", "Grit"), ("NAME: 'Grit'",)),
    ],
)  # fmt: skip
def test_what_cannot_be_is_a_line_each(
    command: Any, capsys: pytest.CaptureFixture[str], words: tuple[str, ...], lines: tuple[str, ...]
) -> None:
    assert run(["ingredient", *words]) == 2
    said = capsys.readouterr().err.splitlines()
    assert len(said) == len(lines)
    for line, start in zip(said, lines, strict=True):
        assert line.startswith(f"pointage: {start}")
