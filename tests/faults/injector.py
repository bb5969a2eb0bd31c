"""Faults on the way to the store and back, and a round: one form, one fault, and what holds then.

After each round all that was acknowledged is there once and in effect; what was not acknowledged is
absent, or its answer was lost, and sending it again acknowledges it.
"""

from __future__ import annotations

import resource
from collections.abc import Callable, Iterator, Mapping
from concurrent.futures import ThreadPoolExecutor
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import timedelta
from fractions import Fraction
from functools import cache
from html import unescape
from pathlib import Path
from re import sub
from threading import Barrier
from typing import Any

import httpx
from sqlalchemy import Connection, event, func, select, text
from tests.conftest import PostgreSQL
from tests.faults.form import Form
from tests.timetable.hall import NOW, SATURDAY, planned
from tests.whole.hall import ORIGIN, Hall

from pointage.daybook.entry import Entry, EntryKind
from pointage.daybook.store import tables
from pointage.daybook.store.store import open_store
from pointage.desk.answers import Wished
from pointage.desk.kitchen.kitchens import demonstration_formulas, demonstration_text
from pointage.desk.opening import take_in
from pointage.desk.plans import write_plan

HOUR = timedelta(hours=1)
SHOWN_AGAIN = {"text", "name", "temperature", "tare", "about"}
"""What a person types into the forms that write a document."""
COUNTED = ("entry", "kitchen_text", "formula", "photo", "sample")


@cache
def _plan() -> dict[str, Any]:
    formulas, kitchen = demonstration_formulas(), demonstration_text()
    wished = Wished(formulas["harbour-loaf"], kitchen, NOW, Fraction(900))
    return write_plan(planned("harbour-loaf", SATURDAY), wished)


def begun(url: str) -> str:
    """An empty store with the demonstration kitchen in it and one bake planned: its URL."""
    with open_store(url) as store:
        record = take_in(store, demonstration_text(), demonstration_formulas(), NOW)
        key = "5e0c3a51-8f6c-4e0c-9a8a-0d6f3f1b7a10"
        store.append(Entry(key, record.id, EntryKind.PLAN, NOW, NOW, "baker", _plan()))
    return url


def counts(hall: Hall) -> dict[str, int]:
    """How many records of each sort there are."""
    with hall.store.reading() as connection:
        return {
            name: connection.execute(
                select(func.count()).select_from(tables.metadata.tables[name])
            ).scalar_one()
            for name in COUNTED
        }


def send(hall: Hall, form: Form, happened: str = "") -> httpx.Response | None:
    """The answer to a form; None where the server broke off."""
    fields = dict(form.fields) | ({"happened": happened} if happened else {})
    headers = {"Origin": ORIGIN, **form.headers}
    rest = {} if form.files is None else {"files": form.files}
    try:
        return hall._ask("POST", form.path, data=fields, headers=headers, **rest)
    except OSError:
        return None


def is_acknowledged(answer: httpx.Response | None, form: Form) -> bool:
    """Whether an answer says that it is kept; to a form without an identifier, that it is there."""
    return answer is not None and (answer.status_code < 400 or answer.status_code in form.again)


Undo = Callable[[], None]


@contextmanager
def _on_each_connection(hall: Hall, statement: str, back: str) -> Iterator[None]:
    """Every connection of the store's is put under `statement` until the end."""
    engine = hall.store._engine

    def under(dbapi: Any, *_: object) -> None:
        cursor = dbapi.cursor()
        cursor.execute(statement)
        cursor.close()
        dbapi.commit()  # PostgreSQL begins a transaction with any statement

    event.listen(engine, "checkout", under)
    try:
        yield
    finally:
        event.remove(engine, "checkout", under)
        with engine.connect() as connection:
            connection.execute(text(back))
        engine.dispose()


@contextmanager
def full_disk(hall: Hall) -> Iterator[None]:
    """No file of this process takes another byte, as on a disk that is full."""
    soft, hard = resource.getrlimit(resource.RLIMIT_FSIZE)
    resource.setrlimit(resource.RLIMIT_FSIZE, (0, hard))
    try:
        yield
    finally:
        resource.setrlimit(resource.RLIMIT_FSIZE, (soft, hard))


@contextmanager
def read_only(hall: Hall) -> Iterator[None]:
    """The database takes no writes."""
    if hall.url.startswith("sqlite"):
        with _on_each_connection(hall, "PRAGMA query_only = ON", "PRAGMA query_only = OFF"):
            yield
        return
    only = "SET SESSION CHARACTERISTICS AS TRANSACTION READ ONLY"
    with _on_each_connection(hall, only, only.replace("ONLY", "WRITE")):
        yield


@contextmanager
def stopped(server: PostgreSQL) -> Iterator[None]:
    """PostgreSQL stops at once, and comes back."""
    server.stop()
    try:
        yield
    finally:
        server.start()


@contextmanager
def breaks_off_before_the_end(hall: Hall) -> Iterator[None]:
    """The connection to the database is lost as the transaction is to be ended."""
    engine = hall.store._engine

    def broken(connection: Connection) -> None:
        connection.invalidate()
        raise ConnectionResetError("the database is away")

    event.listen(engine, "commit", broken)
    try:
        yield
    finally:
        event.remove(engine, "commit", broken)


@dataclass(frozen=True, slots=True)
class Outcome:
    """What became of a round: the answer under the fault, and what is wrong, if anything is."""

    answer: str
    wrong: str = ""


Fault = Callable[[Hall, Form], Outcome]


def refused_while(fault: Callable[[Hall], Any], names: bool = True) -> Fault:
    """The store refuses writes: that is said so and nothing is written; later it is."""

    def round_(hall: Hall, form: Form) -> Outcome:
        before = counts(hall)
        with fault(hall):
            answer = send(hall, form)
        said = "broke off" if answer is None else str(answer.status_code)
        if is_acknowledged(answer, form):
            return _after(hall, form, before, said)  # it fitted in where there was room
        if names and (answer is None or answer.status_code != 503):
            return Outcome(said, "a store that refuses is not answered 503")
        if answer is not None and answer.status_code == 503 and "Retry-After" not in answer.headers:
            return Outcome(said, "no word of when to try again")
        if counts(hall) != before and form.adds.get("entry", 1) == 1 and "photo" not in form.adds:
            return Outcome(said, "something was written though it was refused")
        return _acknowledged_in_the_end(hall, form, before, said)

    return round_


def _clock(first: timedelta, then: timedelta) -> Fault:
    """The server's clock stands off; the answer is lost; the clock is put right, or further off."""

    def round_(hall: Hall, form: Form) -> Outcome:
        start, before = hall.now, counts(hall)
        try:
            hall.now = start + first
            answer = send(hall, form)
            said = "lost" if answer is None else f"lost {answer.status_code}"
            hall.now = start + then
            return _acknowledged_in_the_end(hall, form, before, said)
        finally:
            hall.now = start

    return round_


def _phone(ahead: timedelta) -> Fault:
    """The phone's clock is off, and the answer to the first sending is lost."""

    def round_(hall: Hall, form: Form) -> Outcome:
        start, before = hall.now, counts(hall)
        takes_instants = form.path.startswith("/bench/") or form.path == "/week/give-up"
        happened = (start + ahead).isoformat() if takes_instants else ""
        send(hall, form, happened)
        hall.now = start + timedelta(seconds=1)
        try:
            return _acknowledged_in_the_end(hall, form, before, "lost", happened)
        finally:
            hall.now = start

    return round_


def lost(hall: Hall, form: Form) -> Outcome:
    """The answer is lost after the write."""
    before = counts(hall)
    send(hall, form)
    return _acknowledged_in_the_end(hall, form, before, "lost")


def two_servers(hall: Hall, form: Form) -> Outcome:
    """Two servers on one store: sent to one, the answer lost, sent to the other."""
    before = counts(hall)
    with Hall(hall.url, hall.now + timedelta(seconds=2)) as other:
        other.get("/alive")
        send(other, form)
        wrong = _acknowledged_in_the_end(hall, form, before, "lost")
        if not wrong.wrong and not form.took_effect(other):
            return Outcome("lost", "the other server does not see it")
        return wrong


def two_tabs(hall: Hall, form: Form) -> Outcome:
    """Another tab was first, with something else in the document: both are in effect."""
    other = form.beside
    if other is None:
        return Outcome("not tried")
    send(hall, other)
    if not other.took_effect(hall):
        return Outcome("not tried", "the other tab is not in effect")
    mine = none(hall, form)
    return mine if mine.wrong or other.took_effect(hall) else Outcome(mine.answer, "theirs is gone")


def tabs_against(hall: Hall, form: Form) -> Outcome:
    """Another tab was first with the same: the second is refused, and shown what it typed."""
    other = form.against
    if other is None:
        return Outcome("not tried")
    send(hall, other)
    if not other.took_effect(hall):
        return Outcome("not tried", "the other tab is not in effect")
    before = counts(hall)
    answer = send(hall, form)
    said = "broke off" if answer is None else str(answer.status_code)
    if answer is None or answer.status_code != form.refused:
        return Outcome(said, "the second tab is not refused by name")
    if counts(hall) != before or not other.took_effect(hall):
        return Outcome(said, "refused, and written all the same")
    page = unescape(answer.text)
    lost = [key for key, text in form.fields.items() if key in SHOWN_AGAIN and text not in page]
    return Outcome(said, f"typed, and not shown again: {lost}" if lost else "")


def at_once(hall: Hall, form: Form) -> Outcome:
    """Two tabs of two servers press in the same moment: one is kept, and that one alone."""
    other = form.against
    if other is None:
        return Outcome("not tried")
    with Hall(hall.url, hall.now) as second, ThreadPoolExecutor(2) as pool:
        second.desk.present()
        together = Barrier(2)

        def press(where: Hall, what: Form) -> httpx.Response | None:
            together.wait()
            return send(where, what)

        answers = list(pool.map(press, (hall, second), (form, other)))
    said = ", ".join(
        sorted("nothing" if each is None else str(each.status_code) for each in answers)
    )
    kept = [each is not None and each.status_code < 400 for each in answers]
    if sum(kept) != 1:
        return Outcome(said, f"{sum(kept)} were acknowledged")
    winner = form if kept[0] else other
    return Outcome(said, "" if winner.took_effect(hall) else "acknowledged, and not in effect")


def none(hall: Hall, form: Form) -> Outcome:
    """No fault: what is acknowledged takes effect."""
    before = counts(hall)
    answer = send(hall, form)
    said = "broke off" if answer is None else str(answer.status_code)
    if answer is None or answer.status_code >= 400:
        return Outcome(said, f"refused without a fault: {answer and answer.text[-400:]}")
    return _after(hall, form, before, said)


def _acknowledged_in_the_end(
    hall: Hall, form: Form, before: Mapping[str, int], said: str, happened: str = ""
) -> Outcome:
    answer = send(hall, form, happened)
    if not is_acknowledged(answer, form):
        status = "nothing" if answer is None else answer.status_code
        text = "" if answer is None else " ".join(sub("<[^>]+>", " ", answer.text).split())
        return Outcome(said, f"sent again it was answered {status}: {text[:1500]}")
    return _after(hall, form, before, said)


def _after(hall: Hall, form: Form, before: Mapping[str, int], said: str) -> Outcome:
    if not form.took_effect(hall):
        return Outcome(said, "acknowledged, and not in effect")
    added = {n: now - before[n] for n, now in counts(hall).items() if now != before[n]}
    if added != form.adds:
        return Outcome(said, f"acknowledged once, and added {added}")
    return Outcome(said)


FAULTS: dict[str, Fault] = {
    "none": none,
    "answer lost": lost,
    "two servers": two_servers,
    "two tabs": two_tabs,
    "two tabs for the same": tabs_against,
    "two tabs at once": at_once,
    "server an hour back": _clock(-HOUR, -HOUR),
    "server stepped back between": _clock(timedelta(0), -HOUR),
    "server stepped on between": _clock(timedelta(0), HOUR),
    "phone ahead": _phone(timedelta(seconds=1.5)),
    "phone behind": _phone(-timedelta(seconds=60)),
    "read only": refused_while(read_only),
    "broken off before the end": refused_while(breaks_off_before_the_end, names=False),
    "full disk": refused_while(full_disk),
}
ON_SQLITE_ALONE = {"full disk"}
KILLED, STOPPED = "server killed", "database stopped"
KINDS = (*FAULTS, KILLED, STOPPED)
"""Every kind of fault: those of FAULTS, and two that need a process of their own."""


def apply(hall: Hall, case: Callable[[Hall], Form], fault: str) -> Outcome:
    """One round."""
    if fault in ON_SQLITE_ALONE and not hall.url.startswith("sqlite"):
        return Outcome("not tried")
    return FAULTS[fault](hall, case(hall))


def sqlite_url(folder: Path, name: str) -> str:
    return f"sqlite:///{folder / name}.sqlite3"
