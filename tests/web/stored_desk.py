"""Skerry Hall in a store of its own, as the pages would find it: with nothing planned, and on the
Friday of `fixture_plan`, copied from a file that is made once in a process."""

from __future__ import annotations

import atexit
import shutil
from collections.abc import Callable
from datetime import datetime
from functools import cache
from pathlib import Path
from tempfile import mkdtemp
from uuid import uuid4

from sqlalchemy import event
from tests.web import fixture_plan as fixture

from pointage.daybook.store.store import open_store
from pointage.desk.answers import StepNews
from pointage.desk.desk import StoredDesk
from pointage.desk.jobs import Jobs
from pointage.desk.kitchen.kitchens import demonstration_formulas, demonstration_text
from pointage.desk.opening import take_in
from pointage.timetable.plan import Plan

NOW = fixture.PLANNED
ONLY_READ = "PRAGMA query_only = ON"


def hall(
    folder: Path,
    now: datetime = NOW,
    jobs: Jobs | None = None,
    clock: Callable[[], datetime] | None = None,
) -> StoredDesk:
    """The demonstration kitchen and its formulas in a SQLite file; nothing is planned."""
    file = shutil.copy(_taken_in(now), folder / "hall.db")
    return _opened(Path(file), clock or (lambda: now), now, jobs)


def new_hall(file: Path, now: datetime = NOW) -> str:
    """The URL of a store of that kitchen in a new file."""
    shutil.copy(_taken_in(now), file)
    return f"sqlite:///{file}"


def friday_desk(folder: Path, clock: Callable[[], datetime] = lambda: fixture.NOW) -> StoredDesk:
    """Friday 12:40: Plover is fed, the levain is built, and the harbour dough is mixed next."""
    file = shutil.copy(_with_harbour(), folder / f"{uuid4().hex}.db")
    return _opened(Path(file), clock)


def friday_url(folder: Path) -> str:
    """The URL of a store of that kitchen in a new file."""
    return f"sqlite:///{shutil.copy(_with_harbour(), folder / f'{uuid4().hex}.db')}"


@cache
def friday_to_read() -> StoredDesk:
    """The same, one for all that only read it: to write there is an error."""
    desk = _opened(_with_harbour(), lambda: fixture.NOW)
    engine = desk._store._engine
    event.listen(engine, "connect", lambda connection, _: connection.execute(ONLY_READ))
    engine.dispose()
    return desk


def in_hand(desk: StoredDesk, plan: Plan) -> str:
    """Put one more plan of the harbour loaf in hand; the name of its bake."""
    entry = fixture.put_in_hand(plan, str(uuid4()), desk._id)
    desk._store.append(entry)
    return entry.id


def news(desk: StoredDesk, step: str, bake: str = fixture.HARBOUR) -> StepNews:
    """What was done and seen of a step."""
    return desk.present().every_bake[bake].step_news(step)


def _opened(
    file: Path, clock: Callable[[], datetime], since: datetime = NOW, jobs: Jobs | None = None
) -> StoredDesk:
    store = open_store(f"sqlite:///{file}")
    (record,) = store.kitchens()
    return StoredDesk(store, record.id, since=since, clock=clock, jobs=jobs)


def _new_file() -> Path:
    folder = mkdtemp()
    atexit.register(shutil.rmtree, folder, ignore_errors=True)
    return Path(folder, "hall.db")


@cache
def _taken_in(now: datetime) -> Path:
    """A file to be copied: to make the tables and to read the formulas takes a moment."""
    file = _new_file()
    with open_store(f"sqlite:///{file}") as store:
        take_in(store, demonstration_text(), demonstration_formulas(), now)
    return file


@cache
def _with_harbour() -> Path:
    file = Path(shutil.copy(_taken_in(NOW), _new_file()))
    with open_store(f"sqlite:///{file}") as store:
        (record,) = store.kitchens()
        store.append_all(record.id, fixture.until_friday(record.id))
    return file
