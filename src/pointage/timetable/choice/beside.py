"""Work done in a second process meanwhile, where there is a core for it.

The answer is the same without: what the other process cannot do is done here. It begins as a copy
of this one, which costs hundredths of a second; only of a process without other threads can that
be had, and only on Linux is it sure. So it is for commands, and for the process that plans beside
the pages, which has none.
"""

from __future__ import annotations

import gc
import os
import pickle
import signal
import sys
import warnings
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from threading import active_count
from typing import TypeVar, cast

from pointage.mixture.compiled import cores

T = TypeVar("T")


def can_be_beside() -> bool:
    """Whether there is a second core, and nothing in the way of a second process."""
    return sys.platform == "linux" and cores() > 1 and active_count() == 1


@contextmanager
def beside(work: Callable[[], T]) -> Iterator[Callable[[], T]]:
    """Begin with some work; what is given waits for its answer.

    work: hangs on nothing that changes meanwhile, changes nothing that is asked for after it, and
    its answer can be pickled. Where it cannot be done beside, it is done when it is waited for.
    What it raises is raised there.
    """
    if not can_be_beside():
        yield work
        return
    ours, theirs = os.pipe()
    with warnings.catch_warnings():
        # Idle threads of the library for arrays, which that begins anew in a copy, are warned of.
        warnings.simplefilter("ignore", DeprecationWarning)
        child = os.fork()
    if child == 0:
        _answer(work, theirs)
    os.close(theirs)
    running = True

    def answer() -> T:
        nonlocal running
        with os.fdopen(ours, "rb", closefd=False) as pipe:
            found = pipe.read()
        _, status = os.waitpid(child, 0)
        running = False
        return work() if status else cast(T, pickle.loads(found))

    try:
        yield answer
    finally:
        os.close(ours)
        if running:
            os.kill(child, signal.SIGKILL)
            os.waitpid(child, 0)


def _answer(work: Callable[[], object], to: int) -> None:
    """Write the answer, and end this process without a word, whatever happens."""
    status = 1
    try:
        gc.disable()  # it would copy all memory that it looks at
        os.environ["POINTAGE_CORES"] = "1"
        found = pickle.dumps(work(), protocol=pickle.HIGHEST_PROTOCOL)
        with os.fdopen(to, "wb") as pipe:
            pipe.write(found)
        status = 0
    finally:
        os._exit(status)
