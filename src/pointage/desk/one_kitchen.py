"""One kitchen, as the desks of its subjects are given it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime

from pointage.daybook.store.store import Store
from pointage.desk.jobs import Jobs
from pointage.desk.now.present import Present
from pointage.desk.records.records import RecordDesk


@dataclass(frozen=True, eq=False)
class OneKitchen:
    """A stored kitchen: where it lies, what time it is, how it stands, who records and works.

    since: as of `StoredDesk`.
    """

    store: Store
    id: str
    since: datetime
    clock: Callable[[], datetime]
    present: Callable[[], Present]
    records: RecordDesk
    jobs: Jobs
