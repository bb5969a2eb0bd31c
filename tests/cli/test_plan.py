"""`pointage plan` as a stranger runs it: an empty home, one JSON object.

The first plan is made in a process of its own, the others in this one.
"""

from __future__ import annotations

import json
import os
import re
import subprocess
import sys
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

import pytest

from pointage.cli.app import run

DUBLIN = ZoneInfo("Europe/Dublin")
ROOT = Path(__file__).parents[2]
LOAF = "examples/formulas/harbour-loaf.toml"
CACHE = os.environ.get("XDG_CACHE_HOME") or str(Path.home() / ".cache")
COMMAND = [sys.executable, "-c", "from pointage.cli.app import main; main()"]


def pointage(home: Path, *arguments: str) -> subprocess.CompletedProcess[str]:
    environ = {name: value for name, value in os.environ.items() if name != "POINTAGE_STORE"}
    environ |= {"HOME": str(home), "XDG_DATA_HOME": "", "PYTHONIOENCODING": "utf-8"}
    environ["XDG_CACHE_HOME"] = CACHE  # so that each does not compile the kernel anew
    return subprocess.run(
        [*COMMAND, *arguments], capture_output=True, text=True, check=False, cwd=ROOT, env=environ
    )


@pytest.fixture
def home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.delenv("POINTAGE_STORE", raising=False)
    monkeypatch.setenv("XDG_DATA_HOME", "")
    monkeypatch.setenv("HOME", str(tmp_path))
    monkeypatch.chdir(ROOT)
    return tmp_path


def coming_saturday() -> str:
    """Nine o'clock on a Saturday, with time to wake a culture."""
    day = (datetime.now(DUBLIN) + timedelta(days=3)).date()
    return f"{day + timedelta(days=(5 - day.weekday()) % 7)}T09:00"


@pytest.fixture(scope="module")
def answer(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Any]:
    home = tmp_path_factory.mktemp("home")
    asked = ("plan", LOAF, "--ready", coming_saturday(), "--zone", "Europe/Dublin", "--json")
    done = pointage(home, *asked)
    assert done.returncode == 0, done.stderr
    assert done.stderr == ""
    found: dict[str, Any] = json.loads(done.stdout)
    return found


def test_the_object_has_the_promised_fields(answer: dict[str, Any]) -> None:
    assert {"steps", "status", "bound", "conflicts"} <= set(answer)
    assert answer["status"] == "best"
    assert answer["conflicts"] == []
    assert answer["penalty"] >= answer["bound"]
    for step in answer["steps"]:
        assert {"start", "end", "kind", "place", "grams", "temperatures"} <= set(step)
        assert {"water_c", "mixture_c", "oven_c"} == set(step["temperatures"])


def test_instants_are_iso_with_their_offset_and_bread_is_out_in_time(
    answer: dict[str, Any],
) -> None:
    ends = []
    for step in answer["steps"]:
        start, end = (datetime.fromisoformat(step[key]) for key in ("start", "end"))
        assert start.utcoffset() == start.astimezone(DUBLIN).utcoffset()
        assert start < end
        if step["hands"]:
            assert 6 <= start.astimezone(DUBLIN).hour < 23
        if step["kind"] == "bake":
            ends.append(end)
    assert max(ends) <= datetime.fromisoformat(f"{coming_saturday()}").replace(tzinfo=DUBLIN)


def test_the_levain_is_ripe_at_the_mix_and_the_grams_add_up(answer: dict[str, Any]) -> None:
    steps = {step["key"]: step for step in answer["steps"]}
    build = next(step for step in answer["steps"] if step["kind"] == "build")
    mixed = datetime.fromisoformat(steps["mix"]["start"])
    ripe_from, ripe_until = (
        datetime.fromisoformat(build[key]["p50"]) for key in ("ripe_from", "ripe_until")
    )
    assert ripe_from <= mixed <= ripe_until
    assert build["ripe_odds"] >= 0.3  # of a culture of which nothing was seen
    poured = sum(pour["grams"] for pour in steps["mix"]["ladder"]["pours"])
    assert poured == 8 * 900  # the formula's own pieces
    levain = next(p for p in steps["mix"]["ladder"]["pours"] if p["name"].startswith("Levain"))
    assert levain["grams"] == build["grams"]
    assert steps["preheat"]["temperatures"]["oven_c"] == 240


def test_the_same_for_people(home: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["plan", LOAF, "--ready", coming_saturday(), "--pieces", "2"]) == 0
    first, *rest = capsys.readouterr().out.splitlines()
    assert first.startswith("Harbour loaf, 2 of 900 g, ready Sat 09:00")
    text = "\n".join(rest)
    for word in ("Build the levain", "Mix the dough", "Shape", "Bake", "Cool", "Warning:"):
        assert word in text
    assert re.search(r"Mixing bowl +1180 g", text)
    assert not (home / ".local").exists()  # asking leaves nothing behind


@pytest.mark.usefixtures("home")
def test_what_cannot_be_is_an_answer_and_no_error(capsys: pytest.CaptureFixture[str]) -> None:
    wednesday = ("--now", "2026-11-25T09:00", "--ready", "2026-11-25T14:00")
    assert run(["plan", LOAF, *wednesday, "--json"]) == 0
    found = json.loads(capsys.readouterr().out)
    assert (found["status"], found["steps"]) == ("impossible", [])
    for conflict in found["conflicts"]:
        assert set(conflict) == {"name", "sentence", "relaxed"}
        assert all(conflict.values())


@pytest.mark.long
def test_another_zone_and_kitchen(home: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """The clock of --zone is that of --ready and of the answer's steps; the bread is the same."""
    kitchen = (ROOT / "examples/kitchen.toml").read_text("utf-8")
    file = home / "kitchen.toml"
    file.write_text(kitchen.replace("loaves = 8", "loaves = 4"), "utf-8")
    asked = ("--now", "2026-11-25T09:00+00:00", "--kitchen", str(file), "--json")
    there = ("--ready", "2026-11-29T12:00", "--zone", "Europe/Berlin")
    assert run(["plan", LOAF, *asked, *there]) == 0
    found = json.loads(capsys.readouterr().out)
    assert datetime.fromisoformat(found["ready"]) == datetime(2026, 11, 29, 11, tzinfo=UTC)
    if found["status"] == "best":
        assert len([step for step in found["steps"] if step["kind"] == "bake"]) == 2
    else:
        assert "oven" in {conflict["name"] for conflict in found["conflicts"]}
