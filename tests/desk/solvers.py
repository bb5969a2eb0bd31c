"""What is asked of a planner in its own process, where that is looked at and no plan is wanted."""

from __future__ import annotations

import os
import pickle
import threading
from collections.abc import Callable
from pathlib import Path
from time import sleep
from typing import Any

from pointage.data.records import own_record
from pointage.desk.planner.planner import PlannerHere
from pointage.errors import At, InputError, InputErrors
from pointage.shown import shown
from pointage.timetable.choice.memo import Memo

Hears = Callable[[float], None]
TURN_S = 0.005
LONGEST_S = 60.0


class PlannerPassing(PlannerHere):
    """Solves here what is passed as to another process: questions and answers are copies."""

    def ask(self, solve: Callable[..., Any], *given: Any, **named: Any) -> Any:
        stays = {n: each for n, each in named.items() if callable(each) or isinstance(each, Memo)}
        passes = {name: each for name, each in named.items() if name not in stays}
        given, passes = _copy((given, passes))
        return _copy(solve(*given, **passes, **stays))


def _copy(it: Any) -> Any:
    return pickle.loads(pickle.dumps(it, protocol=pickle.HIGHEST_PROTOCOL))


def where() -> tuple[int, int]:
    """The process, and its threads."""
    return os.getpid(), threading.active_count()


def around(name: str) -> tuple[str, object]:
    """The reader's degrees, and what is known of an ingredient of one's own."""
    return shown().degrees, own_record(name)


def steps(count: int, *, reached: Hears, so_far: Callable[[tuple[int, ...]], None]) -> int:
    for number in range(count):
        reached(number / count)
        so_far(tuple(range(number)))
    return os.getpid()


def until_stopped(begun: str, *, reached: Hears) -> None:
    """Goes on for as long as anybody listens. begun: a file that is there once it has begun."""
    Path(begun).touch()
    for _ in range(round(LONGEST_S / TURN_S)):
        reached(0.5)
        sleep(TURN_S)


def deaf(begun: str, *, reached: Hears) -> None:
    """Never says how far it is."""
    Path(begun).touch()
    sleep(LONGEST_S)


def dies(here: int) -> int:
    """Gives the process, where that is `here`; another ends at once."""
    if os.getpid() != here:
        os._exit(3)
    return os.getpid()


def remembers(key: str, *, memo: Memo) -> int:
    """How many were remembered when this was asked first."""
    return memo.get(key, lambda: len(memo._answers))


def faults() -> None:
    raise InputErrors(
        [InputError(At("Mehl", ("flour", 1)), 3, "less"), InputError("b", "x", "y")], besides=2
    )


def fails() -> None:
    raise ZeroDivisionError("a fault of ours")


def gives_a_function() -> Callable[[], int]:
    return lambda: where()[0]
