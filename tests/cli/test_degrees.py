"""In which degrees a command answers: as asked, as the kitchen has it, or as they were typed."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from pointage.cli.app import run
from pointage.cli.degrees import degrees_first
from pointage.shown import PLAIN, shown

IN_C = ["water", "--target", "25C", "--water", "600g", "--part", "flour:600g@18C"]
IN_F = ["water", "--target", "77F", "--water", "600g", "--part", "flour:600g@64.4F"]


def said(arguments: list[str], capsys: pytest.CaptureFixture[str]) -> str:
    assert run(arguments) == 0
    assert shown() == PLAIN  # nothing of it is left behind
    return capsys.readouterr().out


def test_an_answer_is_in_the_degrees_that_were_typed(capsys: pytest.CaptureFixture[str]) -> None:
    assert "°F" not in said(IN_C, capsys)
    assert "°C" not in said(IN_F, capsys)
    mixed = [*IN_F[:-1], "flour:600g@18C"]
    assert "°F" not in said(mixed, capsys)


@pytest.mark.parametrize("asked", [["--degrees", "F"], ["--degrees=f"]])
def test_degrees_are_asked_for_anywhere(
    asked: list[str], capsys: pytest.CaptureFixture[str]
) -> None:
    first = said([*asked, *IN_C], capsys)
    assert first == said([*IN_C, *asked], capsys)
    assert "°C" not in first
    assert "°F" in first


def test_json_is_celsius_whatever_is_asked(capsys: pytest.CaptureFixture[str]) -> None:
    plain = json.loads(said([*IN_C, "--json"], capsys))
    assert plain == json.loads(said([*IN_C, "--json", "--degrees", "F"], capsys))
    in_f = json.loads(said([*IN_F, "--json"], capsys))
    assert in_f["water_temperature_c"] == plain["water_temperature_c"]
    assert in_f["why"] == plain["why"]


def test_other_degrees_there_are_none(capsys: pytest.CaptureFixture[str]) -> None:
    assert run([*IN_C, "--degrees", "K"]) == 2
    assert "--degrees: 'K'" in capsys.readouterr().err


def test_a_text_after_two_dashes_is_no_option() -> None:
    assert degrees_first(["scale", "--", "--degrees", "F"]) == ["scale", "--", "--degrees", "F"]


def test_the_kitchen_says_in_which(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path))
    before = said(["now"], capsys)
    assert "°C" in before
    text = Path("examples/kitchen.toml").read_text("utf-8")
    kitchen = tmp_path / "kitchen.toml"
    kitchen.write_text(f'{text}\n[shown]\ndegrees = "F"\nclock = 12\n', "utf-8")
    asked = [
        "plan", "examples/formulas/harbour-loaf.toml", "--ready", "2026-12-05T09:00",
        "--zone", "Europe/Dublin", "--now", "2026-12-03T12:00", "--kitchen", str(kitchen),
    ]  # fmt: skip
    found = said(asked, capsys)
    assert "°F" in found
    assert "°C" not in found
    assert "9:00\u00a0am" in found
    assert "°F" not in said([*asked, "--degrees", "C"], capsys)
