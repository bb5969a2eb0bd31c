"""What is being worked out beside the pages, and stopping it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime
from threading import Thread
from time import sleep

from pointage.desk.jobs import OF_BAKES, PLAN, SHARED, WEEK, Jobs, Subject
from pointage.desk.now.present import Present
from pointage.desk.wording.jobs import work_words

PLANNER_AFTER_S = 3.0
"""So long after the pages are ready the planner begins, which takes a core for a second or two."""


@dataclass(frozen=True, slots=True)
class Work:
    """A piece of work: what it is of, in words too, and how much of it is done, from 0 to 1.

    stopped: it was cancelled, and nothing new was recorded since.
    """

    kind: str
    name: str
    words: str
    share: float = 0.0
    stopped: bool = False


def compile_engine(before: Callable[[], None]) -> None:
    """Compile the engine, which takes a while, where that was not done yet; first call `before`."""
    from pointage.mixture.compiled import is_compiled
    from pointage.mixture.warm import warm

    if not is_compiled():
        before()
        warm()


class WorkDesk:
    """The work of one kitchen that takes long."""

    def __init__(self, present: Callable[[], Present], jobs: Jobs) -> None:
        self._present = present
        self._jobs = jobs

    @property
    def changes(self) -> int:
        """Goes up whenever work ended, was stopped or was let go on."""
        return self._jobs.changes

    def all(self) -> list[Work]:
        """What is being worked out, in the order in which it will be, and what was stopped."""
        running = [self._of(job.subject, share=job.share) for job in self._jobs.under_way()]
        stopped = [
            self._of(subject, stopped=True)
            for subject in self._jobs.stopped()
            if subject[0] not in (PLAN, WEEK)  # its own page asks whether it is still wanted
        ]
        return [each for each in (*running, *stopped) if each.words]

    def stop(self, kind: str, name: str) -> None:
        """Cancel it, until something new is recorded; nothing where it is not under way."""
        self._jobs.cancel((kind, name))

    def go_on(self, kind: str, name: str) -> None:
        """Let what was stopped be worked out when a page next asks for it."""
        self._jobs.allow((kind, name))

    def warm_up(self, now: datetime) -> None:
        """Begin with what the pages will ask for, in the background: it may take seconds."""

        def ask() -> None:
            present = self._present()
            present.in_hand(now)
            present.cultures(now)
            sleep(PLANNER_AFTER_S)
            self._jobs.planner.begin()

        Thread(target=ask, name="warm up", daemon=True).start()

    def _of(self, subject: Subject, share: float = 0.0, stopped: bool = False) -> Work:
        kind, name = subject
        record = self._present().replayed.bakes.get(name) if kind in OF_BAKES else None
        plan = None if record is None else record.bake.plan
        formula = self._present().formulas.get(name) if kind == SHARED else None
        called = name if formula is None else formula.name
        return Work(kind, name, work_words(kind, called, plan), share, stopped)
