"""Every writing route under every fault, on both stores: `scripts/faults.py` runs many more."""

from __future__ import annotations

import json
import subprocess
import sys
from collections.abc import Iterator
from datetime import timedelta
from pathlib import Path
from random import Random

import pytest
from starlette.routing import Route
from tests.conftest import PostgreSQL
from tests.faults.injector import FAULTS, Outcome, apply, begun, refused_while, stopped
from tests.faults.killed import SLOW
from tests.faults.writing import CASES, WRITES_NOTHING
from tests.timetable.hall import NOW
from tests.whole.hall import Hall

from pointage.daybook.entry import EntryKind

ROOT = Path(__file__).parents[2]
HARMLESS = {"GET", "HEAD", "OPTIONS"}


@pytest.fixture
def kitchen(url: str) -> Iterator[Hall]:
    with Hall(begun(url), NOW) as hall:
        yield hall


def test_every_writing_route_has_its_fault_cases(kitchen: Hall) -> None:
    writing = {
        each.path
        for each in kitchen.app.routes
        if isinstance(each, Route) and (each.methods or set()) - HARMLESS
    }
    assert writing == set(CASES) | WRITES_NOTHING
    assert not set(CASES) & WRITES_NOTHING


TABS = ("two tabs", "two tabs for the same", "two tabs at once")
TURNS = 3


def on_sqlite(kitchen: Hall) -> bool:
    """There everything is tried; on PostgreSQL what the database itself decides, and a third."""
    return kitchen.url.startswith("sqlite")


@pytest.mark.long
def test_two_tabs_of_one_document_lose_nothing(kitchen: Hall) -> None:
    """Each route that writes a document, by what its form adds; see the faults' own words."""
    tried: set[str] = set()
    wrong: list[tuple[str, str, Outcome]] = []
    for path, case in CASES.items():
        form = None if path in SLOW else case(kitchen)
        if form is None or not form.writes_a_document:
            continue
        assert form.against is not None, f"{path} writes a document: say what two tabs do to it"
        tried.add(path)
        for fault in TABS if on_sqlite(kitchen) else TABS[-1:]:
            outcome = apply(kitchen, case, fault)
            if outcome.wrong:
                wrong.append((path, fault, outcome))
    assert wrong == []
    assert tried == {
        "/kitchen/file", "/kitchen/log", "/kitchen/{kind}/add", "/kitchen/{kind}/change",
        "/kitchen/{kind}/remove", "/formulas/new", "/formulas/{slug}/edit", "/formulas/import",
        "/begin/culture", "/formulas/{slug}/put-away",
    }  # fmt: skip


@pytest.mark.long
def test_what_was_acknowledged_is_there_once_and_in_effect(kitchen: Hall) -> None:
    """Each route under a few faults, so that each fault meets many."""
    faults = list(FAULTS)
    Random(12).shuffle(faults)
    rounds = [
        (path, faults[(number + turn * 4) % len(faults)])
        for number, path in enumerate(CASES)
        if path not in SLOW
        for turn in range(TURNS if on_sqlite(kitchen) else 1)
    ]
    Random(12).shuffle(rounds)
    # These first: what other rounds make up may leave a culture that nothing can be planned with.
    planned = [(path, fault) for path in sorted(SLOW) for fault in ("none", "answer lost")]
    rounds = [*planned, *rounds]
    assert {fault for _, fault in rounds} == set(FAULTS)
    wrong: list[tuple[str, str, Outcome]] = []
    for path, fault in rounds:
        outcome = apply(kitchen, CASES[path], fault)
        if outcome.wrong:
            wrong.append((path, fault, outcome))
    assert wrong == []


@pytest.mark.postgresql
def test_postgresql_stopped_and_started_again(own_postgresql: PostgreSQL) -> None:
    away = refused_while(lambda hall: stopped(own_postgresql))
    with Hall(begun(own_postgresql.new_database()), NOW) as hall:
        for path in ("/bench/done", "/daybook/told/{key}", "/kitchen/file", "/larder/buy"):
            assert away(hall, CASES[path](hall)) == Outcome("503"), path


def test_a_finger_that_comes_down_twice_without_a_script_says_it_once(kitchen: Hall) -> None:
    form = CASES["/bench/done"](kitchen)
    answers = []
    for second in (0, 1):
        kitchen.now = NOW + timedelta(seconds=second)
        answers.append(kitchen.post(form.path, form.fields).status_code)
    assert answers == [303, 303]
    said = kitchen.store.entries(kitchen.kitchen, {EntryKind.DONE})
    assert [each.happened for each in said] == [NOW]


@pytest.mark.long
def test_a_server_killed_during_a_write(url: str) -> None:
    done = subprocess.run(
        [sys.executable, "-m", "tests.faults.killed", "--rounds", "10", "--seed", "3", url],
        cwd=ROOT, capture_output=True, text=True, timeout=300, check=False,
    )  # fmt: skip
    assert done.returncode == 0, done.stderr[-2000:]
    told = json.loads(done.stdout)
    assert told["wrong"] == []
    assert sum(told["counts"].values()) == 10
