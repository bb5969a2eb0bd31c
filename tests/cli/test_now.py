"""`pointage now`: its fields, its table, and what it says of what cannot be used."""

from __future__ import annotations

import json
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any
from uuid import uuid4

import pytest
from tests.web.stored_desk import NOW

from pointage.cli.app import run
from pointage.daybook.entry import Entry, EntryKind
from pointage.daybook.store.store import open_store
from pointage.desk.kitchen.kitchens import demonstration_formulas, demonstration_text
from pointage.desk.opening import take_in

AT = ("--now", "2026-12-03T17:00")


@pytest.fixture
def home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """An empty one."""
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path))
    monkeypatch.delenv("POINTAGE_STORE", raising=False)
    return tmp_path


def answer(capsys: pytest.CaptureFixture[str], *words: str) -> dict[str, Any]:
    capsys.readouterr()
    assert run([*words, "--json"]) == 0
    found: dict[str, Any] = json.loads(capsys.readouterr().out)
    return found


def store(home: Path, *entries: tuple[EntryKind, dict[str, Any]]) -> list[str]:
    """A store with these entries as an import would leave them; their ids."""
    (home / "pointage").mkdir()
    with open_store(f"sqlite:///{home / 'pointage' / 'daybook.sqlite3'}") as opened:
        kitchen = take_in(opened, demonstration_text(), demonstration_formulas(), NOW)
        ids = []
        for number, (kind, body) in enumerate(entries):
            at = NOW - timedelta(hours=3) + timedelta(minutes=number)
            ids.append(str(uuid4()))
            opened.append(Entry(ids[-1], kitchen.id, kind, at, at, "baker", body))
    return ids


def test_without_a_store_it_is_the_demonstration_kitchen_and_leaves_nothing(
    home: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    found = answer(capsys, "now", *AT)
    assert list(found) == [
        "kitchen", "zone", "now", "cultures", "bakes", "stock", "set_aside", "places",
    ]  # fmt: skip
    assert (found["kitchen"], found["zone"]) == ("Skerry Hall", "Europe/Dublin")
    assert datetime.fromisoformat(found["now"]) == datetime(2026, 12, 3, 17, tzinfo=UTC)
    fed = {each["name"]: datetime.fromisoformat(each["fed"]) for each in found["cultures"]}
    assert fed == {"Gannet": NOW - timedelta(days=4), "Plover": NOW - timedelta(days=3)}
    assert list(home.iterdir()) == []


def test_states_of_cultures(home: Path, capsys: pytest.CaptureFixture[str]) -> None:
    begun = {"event": "began", "culture": "Fulmar"}
    split = {"event": "split", "culture": "Tern", "origin": "Gannet", "grams": 30}
    store(
        home,
        (EntryKind.CULTURE, split),
        (EntryKind.CULTURE, begun),
        (EntryKind.CULTURE, {**split, "culture": "Skua"}),
        (EntryKind.CULTURE, {"event": "dried", "culture": "Skua"}),
        (EntryKind.CULTURE, {"event": "retired", "culture": "Tern"}),
        (EntryKind.POURED_OFF, {"culture": "Gannet", "grams": 90, "to": "waste"}),
    )
    rows = {each["name"]: each for each in answer(capsys, "now", *AT)["cultures"]}
    assert {name: each["state"] for name, each in rows.items()} == {
        "Gannet": "empty", "Plover": "living", "Tern": "retired", "Fulmar": "unfed",
        "Skua": "dried",
    }  # fmt: skip
    assert {name: each["grams"] for name, each in rows.items()} == {
        "Gannet": 0, "Plover": 120, "Tern": 0, "Fulmar": 0, "Skua": 30,
    }  # fmt: skip
    for name, row in rows.items():
        assert (row["rise"] is None) == (row["ph"] is None) == (name != "Plover")


def test_what_cannot_be_used_is_named_with_its_reason(
    home: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (odd,) = store(home, (EntryKind.POURED_OFF, {"culture": "Gannet", "grams": "a cup"}))
    (aside,) = answer(capsys, "now", *AT)["set_aside"]
    assert (aside["what"], aside["id"]) == ("entry", odd)
    assert "grams" in aside["reason"]
    assert run(["now", *AT]) == 0
    said = capsys.readouterr()
    assert f"Set aside: entry {odd}: {aside['reason']}\n" in said.out
    assert said.err == ""


def test_the_same_for_people(home: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["now", *AT]) == 0
    said = capsys.readouterr()
    assert said.err == (
        "pointage: Skerry Hall is an invented kitchen: it stands in until you have your own, which "
        "begins with pointage serve\n"
    )
    lines = said.out.splitlines()
    assert lines[0] == "Skerry Hall, Thu 3 Dec 2026 17:00, Europe/Dublin"
    head, gannet, plover = lines[2:5]
    for column, cell in (("where", "Fridge"), ("state", "living"), ("fed", "Sun 29 Nov 2026")):
        assert gannet[head.index(column) :].startswith(cell)
    assert gannet.split()[0] == "Gannet"
    assert "wheat-white 100 %, water 60 %" in plover
    assert "Fridge            4.5 °C" in lines


@pytest.mark.parametrize(
    ("text", "line"),
    [("soon", "--now: 'soon'"), ("1999-12-03T17:00", "--now: 1999-12-03T17:00 cannot be used")],
)
def test_a_time_that_is_none(
    home: Path, capsys: pytest.CaptureFixture[str], text: str, line: str
) -> None:
    assert run(["now", "--now", text]) == 2
    error = capsys.readouterr().err
    assert error.startswith(f"pointage: {line}")
    assert error.count("\n") == 1
