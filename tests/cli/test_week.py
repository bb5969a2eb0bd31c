"""`pointage week` on a store of nothing, in this process."""

from __future__ import annotations

import json
import re
from datetime import datetime
from itertools import pairwise
from pathlib import Path
from typing import Any

import pytest
from tests.whole.hall import Said, command

NOW = ("--now", "2026-12-01T08:00")
ONE = '[[wish]]\nformula = "tinned-rye"\nready = 2026-12-04T15:00:00\n'


def pointage(home: Path, *words: str) -> Said:
    return command(f"sqlite:///{home}/daybook.sqlite3", *words)


@pytest.fixture(scope="module")
def answer(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Any]:
    home = tmp_path_factory.mktemp("home")
    kitchen = ("--kitchen", "examples/kitchen.toml")
    ran = pointage(home, "week", "examples/week.toml", *kitchen, *NOW, "--json")
    assert ran.status == 0, ran.err
    found: dict[str, Any] = json.loads(ran.out)
    return found


def test_the_example_answers_with_every_wish_and_step(answer: dict[str, Any]) -> None:
    assert answer["status"] in ("optimal", "feasible")
    assert 0 <= answer["bound"] <= answer["penalty"]
    assert answer["seconds"] > 0
    assert [wish["kept"] for wish in answer["wishes"]] == [True] * 4
    for wish in answer["wishes"]:
        assert {"formula", "wanted", "ready", "kept", "odds"} <= set(wish)
        assert 0 <= wish["odds_by_clock"] <= wish["odds"] <= 1
    assert answer["conflicts"] == []


def test_its_steps_are_those_of_a_plan_with_wish_and_hands(answer: dict[str, Any]) -> None:
    steps = answer["steps"]
    assert {step["wish"] for step in steps} == {1, 2, 3, 4, None}
    assert {step["culture"] for step in steps if step["wish"] is None} == {"Gannet", "Plover"}
    hands = [step for step in steps if step["hands"]]
    for first, second in pairwise(hands):
        assert datetime.fromisoformat(first["end"]) <= datetime.fromisoformat(second["start"])
    assert {"start", "end", "kind", "place", "grams", "temperatures"} <= set(steps[0])


def written(folder: Path, text: str) -> str:
    path = folder / "week.toml"
    path.write_text(text)
    return str(path)


@pytest.mark.long
def test_bad_wishes_are_named_all_at_once_and_the_others_planned(tmp_path: Path) -> None:
    bad = """
[[wish]]
formula = "tinned-rye"
ready = 2026-11-30T15:00:00
[[wish]]
formula = "harbor-loaf"
stage = "risen"
earliest = true
between = [2026-12-05T10:00:00, 2026-12-05T12:00:00]
[[wish]]
formula = "bread.toml"
pieces = 0
ready = 2027-01-05T10:00:00
[[wish]]
formula = "harbour-loaf"
pieces = 40
ready = 2026-12-05T10:00:00
"""
    (tmp_path / "bread.toml").write_text(
        'name = "Soda bread"\npieces = 2\npiece = "800g"\n[total]\nwheat-white = 100\nwater = 70\n'
        '[[stage]]\nname = "Dough"\nkind = "dough"\n'
    )
    ran = pointage(tmp_path, "week", written(tmp_path, bad + ONE), *NOW, "--json")
    assert ran.status == 2
    told = json.loads(ran.out)
    assert [wish["kept"] for wish in told["wishes"]] == [False] * 4 + [True]
    lines = ran.err.splitlines()
    for part in (
        "wish 1, ready: 2026-11-30T15:00:00",
        "wish 2, formula: 'harbor-loaf'",
        "wish 2, stage: 'risen'",
        "wish 2, between",
        "no levain",
        "wish 3, ready: 2027-01-05T10:00:00 cannot be used; expected a time within 14 days",
        "wish 4, pieces: 40 cannot be used; expected at most 13",
    ):
        assert any(part in line for line in lines), part


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("[[wish]]\nformula = 1\n", "formula: 1 cannot be used"),
        ('[[wish]]\nformula = "x"\nwhen = 1\n', "'when' cannot be used"),
        ("[[wish]", "cannot be used; expected TOML"),
        ('[[wish]]\nformula = "tinned-rye"\n', "wish 1, ready: missing; expected one of"),
        (
            '[[wish]]\nformula = "tinned-rye"\nready = 2027-03-28T01:30:00\n',
            "the clocks go forward then",
        ),
    ],
)
def test_a_file_of_no_use_is_refused(text: str, said: str, tmp_path: Path) -> None:
    ran = pointage(tmp_path, "week", written(tmp_path, text), "--now", "2027-03-20T08:00")
    assert ran.status == 2
    assert said in ran.err
    assert "Traceback" not in ran.err
    assert not ran.out


def test_a_file_without_wishes_is_the_upkeep_of_the_cultures(tmp_path: Path) -> None:
    at = ("--now", "2026-11-25T09:00")  # Gannet was fed four days before
    ran = pointage(tmp_path, "week", written(tmp_path, ""), *at, "--json")
    assert ran.status == 0, ran.err
    told = json.loads(ran.out)
    assert told["wishes"] == []
    assert [(step["kind"], step["culture"]) for step in told["steps"]] == [
        ("refresh", "Gannet"),
        ("chill", "Gannet"),
    ]
    for step in told["steps"]:
        assert step["hands"] is True
        assert step["earliest"] <= step["start"] <= step["latest"]
    assert "Feed Gannet and chill it again" in pointage(
        tmp_path, "week", written(tmp_path, ""), *at
    ).out  # fmt: skip


def test_the_text_names_each_wish_and_what_to_do_for_it(tmp_path: Path) -> None:
    ran = pointage(tmp_path, "week", written(tmp_path, ONE), *NOW)
    assert ran.status == 0, ran.err
    assert re.search(
        r"^1\. Tinned rye, 6 of 1000 g, by Fri 4 Dec 15:00: out Fri 1[2-5]:\d\d$",
        ran.out,
        re.MULTILINE,
    )
    assert "[1: Tinned rye]" in ran.out
    assert "by the clock alone" in ran.out


def test_a_step_of_a_wish_is_where_it_is_wanted(tmp_path: Path) -> None:
    path = written(tmp_path, ONE + "at = { mix = 2026-12-04T07:30:00 }\n")
    ran = pointage(tmp_path, "week", path, *NOW, "--json")
    assert ran.status == 0, ran.err
    found = json.loads(ran.out)
    mix = next(step for step in found["steps"] if step["kind"] == "mix")
    assert mix["start"].startswith("2026-12-04T07:30")
    asked = found["wishes"][0]["at"]
    assert (asked["step"], asked["wanted"], asked["begins"]) == ("mix", mix["start"], mix["start"])


@pytest.mark.long
def test_a_step_that_would_be_at_night_is_as_near_as_it_can(tmp_path: Path) -> None:
    path = written(tmp_path, ONE + "at = { mix = 2026-12-04T03:00:00 }\n")
    ran = pointage(tmp_path, "week", path, *NOW)
    assert ran.status == 0, ran.err
    assert "Mix the dough at Fri 03:00 cannot be; the nearest is " in ran.out


def test_a_wish_that_is_not_firm_is_kept_where_nothing_hinders_it(tmp_path: Path) -> None:
    """Nor is it left out for a step that cannot be when it is wanted."""
    path = written(tmp_path, ONE + "firm = false\nat = { mix = 2026-12-04T03:00:00 }\n")
    ran = pointage(tmp_path, "week", path, *NOW)
    assert ran.status == 0, ran.err
    assert "Mix the dough at Fri 03:00 cannot be; the nearest is " in ran.out


@pytest.mark.parametrize(
    ("at", "what"),
    [
        ("{ mixx = 2026-12-04T07:30:00 }", "mix"),
        ("{ mix = 2026-11-04T07:30:00 }", "after now"),
        ("{ fold = 2026-12-04T07:30:00 }", "one of"),
        ("{ mix = 2026-12-04T07:30:00, bake = 2026-12-04T09:30:00 }", "one step"),
        ('{ "build none" = 2026-12-04T07:30:00 }', "of several"),
    ],
)
def test_a_step_that_cannot_be_wanted_is_named(tmp_path: Path, at: str, what: str) -> None:
    ran = pointage(tmp_path, "week", written(tmp_path, f"{ONE}at = {at}\n"), *NOW)
    assert ran.status == 2
    assert what in ran.err
    assert "wish" in ran.err
