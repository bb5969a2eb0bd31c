"""What a newer version wrote is kept, shown as far as it is understood, and shuts nothing.

One thing at a time is looked at where it has a hand in, on both stores; all of it at once on every
page and by every command.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator
from datetime import timedelta
from pathlib import Path
from typing import Any
from uuid import UUID, uuid4

import pytest
from sqlalchemy import create_engine, text
from tests.daybook.archives import rewritten
from tests.whole.agreement import disagreements
from tests.whole.hall import Hall, command
from tests.whole.journey import Journey, begin
from tests.whole.pages import CORE

from pointage.daybook.entry import Entry, EntryKind

NEWER = str(UUID(int=77))
FED = {
    "culture": "Gannet", "seed_g": 20.0, "place": "Fridge", "mood": {"of": "the sea"},
    "parts": [
        {"ingredient": "rye-whole", "grams": 50.0, "milled": "2024-11-20"},
        {"ingredient": "water", "grams": 50.0},
    ],
}  # fmt: skip


@pytest.fixture
def journey(new_url: Callable[[], str]) -> Iterator[Journey]:
    journey = Journey(new_url, looks=None)
    yield journey
    journey.close()


def test_words_that_are_not_known_yet_stand_beside_those_that_are(journey: Journey) -> None:
    newer = _words(journey.hall)
    hall = journey.hall
    _look(journey, f"/daybook/entry/{NEWER}")
    assert next(each for each in hall.desk.lives() if each.name == "Gannet").mass_g == 120
    assert hall.store.entry(hall.kitchen, NEWER) == newer


def test_a_kind_that_is_not_known_yet_shuts_nothing(journey: Journey) -> None:
    _kind(journey.hall)
    _look(journey)
    journey.exchange()


@pytest.mark.long
def test_a_late_entry_of_another_clock_shuts_nothing(journey: Journey) -> None:
    """It says that it happens in three days: the other clock is ahead, or this one is behind."""
    _ahead(journey.hall)
    _look(journey)


@pytest.mark.long
def test_all_of_it_at_once_shuts_no_page_and_no_command(tmp_path: Path) -> None:
    journey = Journey(lambda: f"sqlite:///{tmp_path / uuid4().hex}.sqlite3", looks=None)
    try:
        _words(journey.hall)
        _kind(journey.hall)
        _ahead(journey.hall)
        journey.look()
    finally:
        journey.close()


def _look(journey: Journey, *more: str) -> None:
    """What everybody opens first, the culture that it is of, and what pages and commands say."""
    for path in (*CORE, "/cultures/Gannet", "/daybook/culture/Gannet", *more):
        journey.page(path, path)
    assert list(disagreements(journey.hall)) == []


def _words(hall: Hall) -> Entry:
    now = hall.now
    newer = Entry(NEWER, hall.kitchen, EntryKind.FED, now, now, "newer", FED)
    hall.store.append(newer)
    return newer


def _ahead(hall: Hall) -> None:
    ahead = hall.now + timedelta(days=3)
    hall.store.append(
        Entry(str(uuid4()), hall.kitchen, EntryKind.FED, ahead, hall.now, "ahead", FED)
    )


def _kind(hall: Hall) -> None:
    """It is there, in plain SQL as another program would leave it."""
    row = {
        "id": str(UUID(int=78)),
        "kitchen": hall.kitchen,
        "at": hall.now,
        "body": json.dumps({"why": 1}),
    }
    engine = create_engine(hall.url.replace("postgresql:", "postgresql+psycopg:"))
    with engine.begin() as connection:
        connection.execute(
            text(
                "INSERT INTO entry (id, kitchen, kind, happened, arrived, author, body) "
                "VALUES (:id, :kitchen, 'fermented', :at, :at, 'newer', :body)"
            ),
            row | {"at": f"{hall.now:%Y-%m-%d %H:%M:%S.%f}"},
        )
    engine.dispose()


def test_an_archive_with_a_kind_that_is_not_known_yet_goes_in_or_is_refused_whole(
    new_url: Callable[[], str], tmp_path: Path
) -> None:
    url, archive = new_url(), tmp_path / "all.zip"
    now = begin(url)
    assert command(url, "export", str(archive), "--store", url).status == 0
    rewritten(archive, {"entries.jsonl": lambda content: content + _line(content)})
    with Hall(url, now) as hall:
        before = len(hall.store.entries(hall.kitchen))
        said = command(url, "import", str(archive), "--store", url)
        assert said.status in (0, 2)
        assert said.status == 0 or said.err.startswith("pointage: ")
        assert len(hall.store.entries(hall.kitchen)) >= before
        assert hall.get("/").status_code == 200
        assert hall.get("/daybook").status_code == 200


def _line(content: bytes) -> bytes:
    last: dict[str, Any] = json.loads(content.splitlines()[-1])
    newer = last | {"id": NEWER, "kind": "fermented", "body": {"mood": "calm"}}
    return json.dumps(newer).encode() + b"\n"
