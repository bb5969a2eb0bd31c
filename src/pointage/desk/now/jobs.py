"""Work that takes long: one job after the other beside the pages, with progress and cancel.

A question has a subject and a stamp. The last answer to it is given at once, with whether it is the
answer to this stamp; where it is not, the work is queued, at most once, and answers later.
"""

from __future__ import annotations

import logging
import threading
from collections import OrderedDict
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, Generic, TypeVar

Found = TypeVar("Found")

log = logging.getLogger(__name__)

MOST_KEPT = 200
Subject = tuple[str, str]
"""What sort of work, and of what: ("beliefs", "Plover")."""


class CancelledError(Exception):
    """Somebody no longer wants it."""


@dataclass(frozen=True, slots=True)
class Answer(Generic[Found]):
    """found: the last answer there is, None where there never was one. fresh: of this stamp.

    stamp: of what it is the answer to.
    """

    found: Found | None
    fresh: bool
    stamp: object = None


class Job:
    """One piece of work. share: how much of it is done, from 0 to 1."""

    def __init__(self, subject: Subject, stamp: object, work: Callable[[Job], Any]) -> None:
        self.subject = subject
        self.stamp = stamp
        self.share = 0.0
        self._work = work
        self._cancelled = threading.Event()

    def reached(self, share: float) -> None:
        """Say how far it is. Raises CancelledError once it was cancelled."""
        self.share = share
        if self._cancelled.is_set():
            raise CancelledError

    def cancel(self) -> None:
        """Let it end at the next point at which it says how far it is."""
        self._cancelled.set()

    def run(self) -> Any:
        """Its answer. Raises CancelledError."""
        self.reached(0.0)
        return self._work(self)


class Jobs:
    """The work of one kitchen. beside: in a thread of its own; else each is done when asked for."""

    def __init__(self, beside: bool = True) -> None:
        self._beside = beside
        self._turn = threading.Condition()
        self._kept: OrderedDict[Subject, tuple[object, Any]] = OrderedDict()
        self._queued: OrderedDict[Subject, Job] = OrderedDict()
        self._running: Job | None = None
        self._refused: dict[Subject, object] = {}
        self.ended = 0
        """How many pieces of work have ended: what they found may be on a page."""

    def ask(self, subject: Subject, stamp: object, work: Callable[[Job], Found]) -> Answer[Found]:
        """The answer to a question; see the module. What was cancelled is not queued again."""
        if not self._beside:
            return Answer(self.at_once(subject, stamp, work), True, stamp)
        with self._turn:
            kept = self._kept.get(subject)
            if kept is not None:
                self._kept.move_to_end(subject)
                if kept[0] == stamp:
                    return Answer(kept[1], True, stamp)
            running = self._running
            under_way = running is not None and (running.subject, running.stamp) == (subject, stamp)
            queued = self._queued.get(subject)
            if not under_way and self._refused.get(subject, self) != stamp:
                if queued is None or queued.stamp != stamp:
                    self._queued[subject] = Job(subject, stamp, work)
                if running is None:
                    self._running = self._next()
                    threading.Thread(target=self._run, name="jobs", daemon=True).start()
            return Answer(None, False) if kept is None else Answer(kept[1], False, kept[0])

    def under_way(self) -> list[Job]:
        """What is being worked on, and what waits for its turn."""
        with self._turn:
            running = [] if self._running is None else [self._running]
            return [*running, *self._queued.values()]

    def cancel(self, subject: Subject) -> None:
        """Stop the work on a subject, until something new is known of it."""
        with self._turn:
            queued = self._queued.pop(subject, None)
            job = queued
            if self._running is not None and self._running.subject == subject:
                job = self._running
                job.cancel()
            if job is not None:
                self._refused[subject] = job.stamp

    def wait(self, seconds: float | None = None) -> bool:
        """Until nothing is under way; False when that takes longer."""
        with self._turn:
            return self._turn.wait_for(lambda: self._running is None, seconds)

    def at_once(self, subject: Subject, stamp: object, work: Callable[[Job], Found]) -> Found:
        """The answer to this stamp, worked out here and now unless it is known."""
        with self._turn:
            kept = self._kept.get(subject)
        if kept is None or kept[0] != stamp:
            kept = stamp, work(Job(subject, stamp, work))
            with self._turn:
                self._keep(subject, *kept)
        found: Found = kept[1]
        return found

    def _run(self) -> None:
        while True:
            job = self._running
            assert job is not None
            try:
                found, done = job.run(), True
            except CancelledError:
                found, done = None, False
            except Exception:  # a fault of ours must not stop the others, nor be tried for ever
                log.exception("the work on %s of %s failed", *job.subject)
                found, done = None, True
            with self._turn:
                if done:
                    self._keep(job.subject, job.stamp, found)
                self.ended += 1
                self._running = self._next()
                self._turn.notify_all()
                if self._running is None:
                    return

    def _next(self) -> Job | None:
        return self._queued.popitem(last=False)[1] if self._queued else None

    def _keep(self, subject: Subject, stamp: object, found: Any) -> None:
        self._kept[subject] = (stamp, found)
        self._kept.move_to_end(subject)
        while len(self._kept) > MOST_KEPT:
            self._kept.popitem(last=False)
