"""What `share` and `calendar` warn whoever sends something out of a kitchen of."""

from __future__ import annotations

import json
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any
from uuid import uuid4

import pytest
from tests.web.stored_desk import NOW, hall

from pointage.cli.app import run
from pointage.desk.sheets.parts.warnings import calendar_warnings

EXAMPLE = Path(__file__).parents[2] / "examples" / "formulas" / "harbour-loaf.toml"
CULTURE = 'culture = "Plover"'
DOUBTFUL = """
[[typed]]
line = "1 cup oat flakes"
taken = "oats"
doubts = [{ what = "no density", said = "a cup" }]
"""


@pytest.fixture
def said(capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> Any:
    """What a command prints with --json; the page, which takes seconds, is another's test."""
    monkeypatch.setattr("pointage.desk.formulas.share.share_formula", lambda *_: "a page")
    monkeypatch.setattr("pointage.desk.cultures.share_raising.share_raising", lambda *_: "a page")
    monkeypatch.setattr("pointage.desk.cultures.share_culture.share_culture", lambda *_: "a page")

    def of(*arguments: str) -> list[str]:
        assert run([*arguments, "--json"]) == 0
        found: list[str] = json.loads(capsys.readouterr().out)["warnings"]
        return found

    return of


def test_a_formula_at_home_here_has_none(said: Any, tmp_path: Path) -> None:
    assert said("share", str(EXAMPLE), "-o", str(tmp_path / "page.html")) == []


def test_a_formula_with_doubts_of_another_kitchen(said: Any, tmp_path: Path) -> None:
    text = EXAMPLE.read_text(encoding="utf-8")
    assert CULTURE in text
    text = text.replace(CULTURE, 'culture = "Nobody"').replace("water = 72", "water = 210")
    text = text.replace('bulk_place = "Boiler cupboard"', 'bulk_place = "Attic"')
    odd = tmp_path / "odd.toml"
    odd.write_text(text + DOUBTFUL, encoding="utf-8")
    found = said("share", str(odd), "-o", str(tmp_path / "page.html"))
    for words in (
        "“1 cup oat flakes” is in doubt: no table weighs a cup",
        "no “Attic”",
        "no culture “Nobody”",
        "hydration 210% is outside",
    ):
        assert sum(words in each for each in found) == 1, (words, found)


def test_a_page_with_nothing_of_a_kitchen_has_none(said: Any, tmp_path: Path) -> None:
    assert said("share", "--raise", "-o", str(tmp_path / "page.html")) == []


def test_a_calendar_of_what_is_past(said: Any, tmp_path: Path) -> None:
    # Of a kitchen's file its cultures were fed so many days before now: nothing is late.
    assert said("calendar", "-o", str(tmp_path / "a.ics")) == []
    desk = hall(tmp_path)
    assert calendar_warnings(desk.present(), NOW) == ()
    ready = datetime(2026, 12, 6, 9, tzinfo=UTC)
    bake = str(uuid4())
    plan = desk.wish(bake, "harbour-loaf", 8, ready, NOW)
    first = next(step for step in plan.steps if step.hands)
    late = calendar_warnings(desk.present(), first.start + timedelta(minutes=5))
    assert sum("Harbour loaf: " in each and "is not recorded" in each for each in late) == 1
    desk.give_up(str(uuid4()), bake, NOW)
    after = calendar_warnings(desk.present(), first.start + timedelta(minutes=5))
    assert not any("Harbour loaf" in each for each in after)
    weeks = calendar_warnings(desk.present(), NOW + timedelta(weeks=3))
    assert any("Gannet" in each and "is not recorded" in each for each in weeks)
