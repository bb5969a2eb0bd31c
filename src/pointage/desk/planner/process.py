"""The process that plans, from inside: it answers one question after another until its pipe ends.

It runs no thread, so that a week may be planned in it and a copy of it (`choice/beside.py`).
"""

from __future__ import annotations

import gc
import os
import pickle
import traceback
from collections import OrderedDict
from contextlib import suppress
from importlib import import_module
from multiprocessing.connection import Connection
from typing import TYPE_CHECKING, Any

from pointage.data.records import KitchenRecords
from pointage.desk.planner.crossing import STOP, STOPPED, Answered, Heard, Posed, Raised, Unsaid
from pointage.errors import PointageError

if TYPE_CHECKING:
    from pointage.timetable.choice.memo import Memo

NICER = 3
"""So much it gives way to the pages, as the system counts it."""
MOST_MEMOS = 4
"""Of so many kitchens' weeks what was worked out is kept."""
ASKED_SOON = (
    "pointage.desk.moves.offer",
    "pointage.timetable.timetable",
    "ortools.sat.python.cp_model_helper",
)
"""What the first question would else have to load."""


class StoppedError(Exception):
    """Nobody wants the answer any more."""


class GoneError(Exception):
    """There is nobody to answer any more."""


def work(descriptor: int, *, ready: bool) -> None:
    """Answer what comes through a socket of the process that began this one.

    ready: what plans is loaded before the first question.
    """
    with suppress(OSError):
        os.nice(NICER)
    connection = Connection(descriptor)
    if ready:
        _load()
    memos: OrderedDict[int, Memo] = OrderedDict()
    records = KitchenRecords()
    with suppress(GoneError, EOFError, OSError):
        while True:
            came = connection.recv_bytes()
            try:
                posed = pickle.loads(came)
            except Exception as error:  # of something this process has no part of
                _send(connection, Unsaid(f"{type(error).__name__}: {error}"))
                continue
            if posed != STOP:  # which came when the answer was on its way
                records = posed.asked_from.take(records)
                _send(connection, _answer(posed, connection, memos))
    os._exit(0)  # nobody is left, and nothing of it lasts


def _load() -> None:
    """Load what plans, so that the first plan need not wait for it."""
    from pointage.mixture.warm import warm

    for name in ASKED_SOON:
        import_module(name)
    warm()
    gc.collect()
    gc.freeze()  # a copy shares what nobody goes through


def _answer(posed: Posed, connection: Connection, memos: OrderedDict[int, Memo]) -> Any:
    hears = {name: _Hears(connection, name) for name in posed.hears}
    kept = {name: _memo(memos, number) for name, number in posed.memos.items()}
    try:
        return Answered(posed.solve(*posed.given, **posed.named, **hears, **kept))
    except StoppedError:
        return STOPPED
    except GoneError:
        raise
    except PointageError as error:
        return Raised(error)
    except Exception as error:
        error.add_note(f"In the process that plans:\n{traceback.format_exc()}")
        return Raised(error)


def _memo(memos: OrderedDict[int, Memo], number: int) -> Memo:
    from pointage.timetable.choice.memo import Memo

    memo = memos.setdefault(number, Memo())
    memos.move_to_end(number)
    while len(memos) > MOST_MEMOS:
        memos.popitem(last=False)
    return memo


def _send(connection: Connection, it: Any) -> None:
    """Raises GoneError."""
    try:
        written = pickle.dumps(it, protocol=pickle.HIGHEST_PROTOCOL)
    except Exception as error:
        written = pickle.dumps(Unsaid(f"{type(error).__name__}: {error}"))
    try:
        connection.send_bytes(written)
    except OSError:
        raise GoneError from None


class _Hears:
    """Says what is heard under a name to who asked, and stops the work where that is wanted."""

    def __init__(self, connection: Connection, name: str) -> None:
        self._connection, self._name, self._process = connection, name, os.getpid()

    def __call__(self, *said: Any) -> None:
        if os.getpid() != self._process:  # a copy has a pipe of its own
            return
        _send(self._connection, Heard(self._name, said))
        try:
            if self._connection.poll():
                self._connection.recv_bytes()
                raise StoppedError
        except (EOFError, OSError):
            raise GoneError from None
