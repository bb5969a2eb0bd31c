"""Skerry Hall in a store of its own, as the pages would find it."""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path

from pointage.daybook.store.store import open_store
from pointage.desk.desk import StoredDesk
from pointage.desk.jobs import Jobs
from pointage.desk.kitchen.kitchens import demonstration_formulas, demonstration_text
from pointage.desk.opening import take_in

NOW = datetime(2026, 12, 3, 17, 0, tzinfo=UTC)


def hall(folder: Path, now: datetime = NOW, jobs: Jobs | None = None) -> StoredDesk:
    """The demonstration kitchen and its formulas in a fresh SQLite file; nothing is planned."""
    store = open_store(f"sqlite:///{folder / 'hall.db'}")
    record = take_in(store, demonstration_text(), demonstration_formulas(), now)
    return StoredDesk(store, record.id, since=now, clock=lambda: now, jobs=jobs)
