"""A store in which nobody has kept anything yet takes an archive whole."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from uuid import uuid4

import pytest
from sqlalchemy import delete
from tests.daybook.archives import NOON, exported, fill, records

from pointage.daybook.entry import Entry, EntryKind, KitchenRecord
from pointage.daybook.errors import MergeError, StoreError
from pointage.daybook.store import tables
from pointage.daybook.store.store import Store, open_store
from pointage.desk.kitchen.begin import UNNAMED
from pointage.desk.records.exchange import ExchangeDesk
from pointage.errors import InputError


def test_a_kitchen_that_is_nobody_s_yet_makes_room_for_an_archive(
    store: Store, new_url: Callable[[], str], tmp_path: Path
) -> None:
    fill(store)
    archive = exported(store, tmp_path / "a.zip")
    with open_store(new_url()) as other:
        begun = other.put_kitchen(_called(store, UNNAMED))
        assert begun == 1
        ExchangeDesk(other, lambda: NOON).import_from(archive)
        assert records(other) == records(store)
        again = ExchangeDesk(other, lambda: NOON).import_from(archive)
        assert set(dict(again.new).values()) == {0}
        with pytest.raises((StoreError, InputError)), other.writing("x") as connection:
            connection.execute(delete(tables.kitchen_text))  # the triggers are back


@pytest.mark.parametrize("used", ["renamed", "named", "written in"])
@pytest.mark.soon(2)
def test_a_kitchen_that_somebody_has_begun_does_not(
    store: Store, new_url: Callable[[], str], tmp_path: Path, used: str
) -> None:
    fill(store)
    archive = exported(store, tmp_path / "a.zip")
    with open_store(new_url()) as other:
        mine = _called(store, "Mine" if used == "named" else UNNAMED)
        other.put_kitchen(mine)
        if used == "renamed":
            other.put_kitchen(replace(mine, text=mine.text + "# mine\n"), after=1)
        if used == "written in":
            other.append(
                Entry(str(uuid4()), mine.id, EntryKind.NOTE, NOON, NOON, "x", {"text": "y"})
            )
        before = records(other)
        with pytest.raises(MergeError, match="another kitchen"):
            ExchangeDesk(other, lambda: NOON).import_from(archive)
        assert records(other) == before


def _called(store: Store, name: str) -> KitchenRecord:
    return replace(store.kitchens()[0], id=str(uuid4()), name=name)
