"""Plans as version 1 wrote them, kept for ever: what they say now is what they said then."""

from __future__ import annotations

import copy
import json
import re
from datetime import datetime
from math import floor
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

import pytest

from pointage.cli.bakes.timetable import plan_lines
from pointage.desk.answers import Bake
from pointage.desk.now.takings import takings
from pointage.desk.plans import read_plan, write_plan
from pointage.desk.wording import (
    caution,
    cautions,
    note,
    pour_label,
    title,
)
from pointage.formula.ladder import PourKind
from pointage.kitchen.culture_state import remembered

FOLDER = Path(__file__).parents[1] / "fixtures/plans/v1"
FILES = sorted(FOLDER.glob("*.json"))
DUBLIN = ZoneInfo("Europe/Dublin")
SAME = (
    "key", "hands", "place", "mixture", "grams", "pieces", "ripe_odds", "water_temperature_c",
    "mixture_temperature_c", "oven_temperature_c",
)  # fmt: skip


SAID_SINCE = {"Take care: ": "Warning: ", "Light the oven": "Heat the oven", "Wake ": "Feed "}
"""Words that were found better since."""


def as_said_now(text: str) -> str:
    for before, now in SAID_SINCE.items():
        text = text.replace(before, now)
    return text


def written(path: Path) -> dict[str, Any]:
    found: dict[str, Any] = json.loads(path.read_text(encoding="utf-8"))
    return found


def instant(text: str) -> datetime:
    return datetime.fromisoformat(text)


def test_there_are_fixtures() -> None:
    assert len(FILES) >= 7


ODDS = re.compile(
    r", \d+ % likely ripe when used|; ripe when used: [^(]*\(\d+ in 100\)|"
    r"(?<=if it does)(: [^(]*)? ?\(\d+ in 100\)[:;]"
)


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)
def test_an_old_plan_says_the_same_figures_and_the_same_words(path: Path) -> None:
    body = written(path)["body"]
    old = body["plan"]
    plan, _ = read_plan(body)
    for name in ("formula", "culture", "zone", "pieces", "piece_g", "penalty", "bound"):
        assert getattr(plan, name) == old[name]
    assert plan.ready == instant(old["ready"])
    assert list(cautions(plan)) == old["cautions"]
    for step, was in zip(plan.steps, old["steps"], strict=True):
        assert title(step) == as_said_now(was["title"])
        assert note(step, DUBLIN) == was["note"]
        assert (step.start, step.end) == (instant(was["start"]), instant(was["end"]))
        for name in SAME:
            assert getattr(step, name) == was[name]
        assert (step.ladder is None) == (was["ladder"] is None)
        if step.ladder is not None:
            assert step.ladder.vessel == was["ladder"]["vessel"]
            assert step.ladder.tare_g == was["ladder"]["tare_g"]
            for pour, then in zip(step.ladder.pours, was["ladder"]["pours"], strict=True):
                assert pour_label(pour) == then["name"]
                assert pour.kind is not PourKind.UNKNOWN
                told = (pour.grams, pour.display_g, pour.temperature_c)
                assert told == (then["grams"], then["display_g"], then["temperature_c"])
        assert (step.standing is None) == (was["standing"] is None)
        if step.standing is not None:
            assert caution(step.standing, DUBLIN) == was["standing"]["caution"]
            for row, then in zip(step.standing.rows, was["standing"]["rows"], strict=True):
                assert row.at == instant(then["at"])
                assert row.rise == then["rise"]
                assert row.ph == then["ph"]


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)
def test_an_old_plan_prints_as_it_printed(path: Path) -> None:
    was = written(path)
    plan, _ = read_plan(was["body"])
    before = [as_said_now(line) for line in was["terminal"]]
    assert _without_odds(plan_lines(plan)) == _without_odds(before)


def _to_half_a_degree(line: str) -> str:
    """Temperatures were printed to tenths; they are to half a degree now."""
    return re.sub(r"\d+(\.\d)?(?= °C)", lambda it: f"{floor(float(it[0]) * 2 + 0.5) / 2:g}", line)


def _without_odds(lines: list[str]) -> list[str]:
    """Odds were numbers alone, up to "100 in 100"; they are words with a number now."""
    return [re.sub(" +", " ", ODDS.sub("", _to_half_a_degree(line))) for line in lines]


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)
def test_what_an_old_plan_was_made_from_is_there(path: Path) -> None:
    body = written(path)["body"]
    old = body["wished"]
    _, wished = read_plan(body)
    assert (wished.formula, wished.kitchen) == (old["formula"], old["kitchen"])
    assert wished.since == instant(old["since"])
    assert str(wished.piece_g) == old["piece_g"]
    assert wished.friction_k == old["friction_k"]
    assert (wished.culture is None) == (old["culture"] is None)
    if wished.culture is not None:
        feeds = [stand.fed.at for stand in remembered(wished.culture)]
        life = old["culture"]["life"]
        assert feeds == [instant(stand["fed"]["at"]) for stand in life["stands"]]


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)
def test_an_old_plan_takes_what_it_took(path: Path) -> None:
    """Every pour of flour, water, salt and the rest is found by its identifier."""
    plan, wished = read_plan(written(path)["body"])
    found = takings(Bake("x", plan, wished=wished), None)
    assert found.unknown == ()
    assert {"water", "salt"} <= {name for mix in found.mixes for name in mix.grams}


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)
def test_an_old_plan_written_anew_is_the_same_plan(path: Path) -> None:
    plan, wished = read_plan(written(path)["body"])
    assert read_plan(json.loads(json.dumps(write_plan(plan, wished)))) == (plan, wished)


def test_the_stages_of_an_old_fold_have_their_own_names() -> None:
    plan, _ = read_plan(written(FOLDER / "sunday-spelt.json")["body"])
    fold = next(step for step in plan.steps if step.key == "fold-1")
    assert fold.added == ("Salt and held-back water",)


def test_a_label_that_nobody_knows_is_carried_with_its_text() -> None:
    body = copy.deepcopy(written(FOLDER / "tinned-rye.json")["body"])
    mix = next(step for step in body["plan"]["steps"] if step["key"] == "mix")
    mix["ladder"]["pours"][-1]["name"] = "Grey sea salt"
    plan, wished = read_plan(body)
    found = next(step for step in plan.steps if step.key == "mix")
    assert found.ladder is not None
    last = found.ladder.pours[-1]
    assert (last.kind, last.name) == (PourKind.UNKNOWN, "Grey sea salt")
    assert pour_label(last) == "Grey sea salt"
    assert takings(Bake("x", plan), None).unknown == ("Grey sea salt",)
    assert read_plan(write_plan(plan, wished)) == (plan, wished)
