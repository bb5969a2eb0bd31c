"""The benchmark of the pages, on a small store and in no hurry: what it prints, not how quick."""

from __future__ import annotations

import json
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any
from uuid import uuid4

import pytest
from benchmarks import pages
from benchmarks.pages_server import SINCE

from pointage.daybook.entry import Entry, EntryKind

SPREAD = {"p50", "p95"}
REMEMBERING = (
    "from tests.remembered import remembered; remembered.begin(); remembered.on = True; "
    "from pointage.desk.planner.beside import PlannerBeside; PlannerBeside.begin = lambda _: None; "
    "from benchmarks.pages_server import main; main()"
)
"""The same server, which does not work out again what the one before it has."""

PLAN, OPEN = str(uuid4()), str(uuid4())


def entry(kind: EntryKind, name: str = "", **body: Any) -> Entry:
    name = name or str(uuid4())
    return Entry(name, "hall", kind, SINCE, SINCE + timedelta(minutes=1), "baker", body)


def test_what_is_told_again_is_earlier_and_names_the_entries_of_then() -> None:
    ready = "2026-12-05T09:00:00+01:00"
    told = [
        entry(EntryKind.PLAN, PLAN, plan={"ready": ready, "steps": [{"start": ready}]}),
        entry(EntryKind.BAKED, bake=PLAN, step="bake-1"),
        entry(EntryKind.BOUGHT, item="rye-whole", best_before="2027-04-03"),
        entry(EntryKind.COUNTED, item="rye-whole", grams=3150.0),
        entry(EntryKind.PLAN, OPEN, plan={"ready": ready}),
        entry(EntryKind.DONE, bake=OPEN, step="mix"),
    ]
    again = list(pages.recorded_again(told, 2))
    assert [each.kind for each in again] == 2 * [
        EntryKind.PLAN,
        EntryKind.BAKED,
        EntryKind.BOUGHT,
        EntryKind.COUNTED,
    ]
    plan, baked, bought, used_up = again[4:]
    assert used_up.body == {"item": "rye-whole", "grams": 0}
    assert len({each.id for each in (*told, *again)}) == len(told) + len(again)
    assert plan.happened == SINCE - timedelta(weeks=24)
    steps = plan.body["plan"]["steps"]
    assert datetime.fromisoformat(steps[0]["start"]) == (
        datetime.fromisoformat(ready) - timedelta(weeks=24)
    )
    assert baked.body == {"bake": plan.id, "step": "bake-1"}
    assert bought.body["best_before"] == "2026-10-17"  # 168 days before the third of April


@pytest.mark.long
def test_it_prints_every_page_and_entry(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """Of one length of daybook, and how it grows from that to twice as much."""
    monkeypatch.setattr("pointage.desk.opening.demonstration_entries", lambda *told: [])
    monkeypatch.setenv("XDG_DATA_HOME", "")  # so that it is as it was afterwards
    monkeypatch.setattr(pages, "CLIENTS", 2)
    monkeypatch.setattr(pages, "SERVER", ("-c", REMEMBERING))
    least = pages.Effort(alone=1, alone_s=0.1, crowd=2, crowd_s=0.1)
    found = json.loads(json.dumps(pages.run((3,), least)))
    assert set(found) == {"machine", "months", "growth"}
    assert set(found["months"]) == {"3"}
    past = pages.tell_a_past(tmp_path)
    stores = {str(months): tmp_path / f"{months}.sqlite3" for months in (3, 6)}
    told = [pages.lengthened(past, int(months), store) for months, store in stores.items()]
    assert told[0] <= told[1]
    names = {"empty", *pages.PAGES, "insert", "done", "reading"}
    assert set(pages.growth(past, stores, least)["6/3"]) == names
    for each in found["months"].values():
        assert set(each["memory_mb"]) == {"before", "after"}
        for part in (*each["views"].values(), *each["entries"].values(), each["unchanged"]):
            assert part["alone"]["failed"] == 0
            for measured in ("server", "server_cpu", "client"):
                assert set(part["alone"][measured]) == SPREAD
            if part["crowd"] is not None:
                assert part["crowd"]["failed"] == 0
                assert part["crowd"]["per_second"] > 0
        assert 0 < each["unchanged"]["answered_304"] <= 1  # a minute may end meanwhile
        assert each["while_planning"]["seconds"] > 0
        assert all(not view["failed"] for view in each["while_planning"]["views"].values())
        assert each["bench_after_an_entry"]["failed"] == 0
