"""Each form that writes beside the store under each fault: `scripts/faults.py` runs many more."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from random import Random

import pytest
from tests.faults.beside import BESIDE, BESIDE_FAULTS, Door, beside_round
from tests.web.stored_desk import new_hall

from pointage.desk.sheets.feed import FeedKeys


@pytest.fixture
def door(tmp_path: Path) -> Iterator[Door]:
    made = Door(new_hall(tmp_path / "hall.db"), tmp_path)
    yield made
    made.close()


def test_what_was_acknowledged_is_in_effect_on_every_server(door: Door) -> None:
    chance, wrong = Random(5), []
    for path in BESIDE:
        for fault in BESIDE_FAULTS:
            answer, what = beside_round(door, path, fault, chance)
            if what:
                wrong.append((path, fault, answer, what))
    assert not wrong, wrong


def test_a_key_that_is_only_said_to_be_kept_is_found(
    door: Door, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(FeedKeys, "_write", lambda *_: None)
    monkeypatch.setattr(FeedKeys, "key", lambda *_: "x" * 32)
    _, what = beside_round(door, "/sheets/calendar/close", "none", Random(5))
    assert "not in effect" in what
