"""Skerry Hall in a store of its own, as the pages would find it."""

from __future__ import annotations

import atexit
import shutil
from datetime import UTC, datetime
from functools import cache
from pathlib import Path
from tempfile import mkdtemp

from pointage.daybook.store.store import open_store
from pointage.desk.desk import StoredDesk
from pointage.desk.jobs import Jobs
from pointage.desk.kitchen.kitchens import demonstration_formulas, demonstration_text
from pointage.desk.opening import take_in

NOW = datetime(2026, 12, 3, 17, 0, tzinfo=UTC)


def hall(folder: Path, now: datetime = NOW, jobs: Jobs | None = None) -> StoredDesk:
    """The demonstration kitchen and its formulas in a SQLite file; nothing is planned."""
    store = open_store(new_hall(folder / "hall.db", now))
    (record,) = store.kitchens()
    return StoredDesk(store, record.id, since=now, clock=lambda: now, jobs=jobs)


def new_hall(file: Path, now: datetime = NOW) -> str:
    """The URL of a store of that kitchen in a new file."""
    shutil.copy(_taken_in(now), file)
    return f"sqlite:///{file}"


@cache
def _taken_in(now: datetime) -> Path:
    """A file to be copied: to make the tables and to read the formulas takes a moment."""
    folder = mkdtemp()
    atexit.register(shutil.rmtree, folder, ignore_errors=True)
    file = Path(folder, "hall.db")
    with open_store(f"sqlite:///{file}") as store:
        take_in(store, demonstration_text(), demonstration_formulas(), now)
    return file
