"""Work that takes long: one job after the other beside the pages, with progress and cancel.

A question has a subject and a stamp. The last answer to it is given at once, with whether it is the
answer to this stamp; where it is not, the work is queued, at most once, and answers later. What was
cancelled, and what failed, is not tried again before the stamp is another.
"""

from __future__ import annotations

import logging
import threading
from collections import OrderedDict
from collections.abc import Callable
from dataclasses import dataclass
from functools import partial
from typing import TYPE_CHECKING, Any, Generic, TypeVar

from pointage.data.records import KitchenRecords, ask_records, records_here
from pointage.desk.planner.planner import HERE, Planner

if TYPE_CHECKING:
    from pointage.desk.now.learned.kept import KeptAnswers

Found = TypeVar("Found")

log = logging.getLogger(__name__)

MOST_KEPT = 200
Subject = tuple[str, str]
"""What sort of work, and of what: ("beliefs", "Plover")."""

PLAN = "plan"
"""The sort of work that plans a bake which nobody has yet: its subject names the bake to be."""


WEEK = "week"
"""The sort of work that plans several bakes at once, for whoever asked; so does a question of what
can be baked."""


MOVES = "moves"
"""The sort of work that finds what to do when reality has moved."""


SHARED = "shared page"
"""The sort of work that writes a page for other kitchens: its subject names the formula."""

SHARED_CULTURE, RAISING_PAGE = "page of a culture", "page for raising"
"""The same of a culture, and of one that anybody may begin, whose subject has no name."""


OF_BAKES = frozenset({"watch", "why", "beliefs beside"})
OF_OVENS = frozenset({"heat"})
"""Sorts of work named by the key of a bake and by an oven; what else is learned, by a culture."""


class CancelledError(Exception):
    """Somebody no longer wants it."""


@dataclass(frozen=True, slots=True)
class JobAnswer(Generic[Found]):
    """found: the last answer there is, None where there never was one. fresh: of this stamp.

    stamp: of what it is the answer to. waits: the answer to this stamp is being worked out.
    so_far: while it waits, what is found so far, where the work says it.
    """

    found: Found | None
    fresh: bool
    stamp: object = None
    waits: bool = False
    so_far: object = None


class Job:
    """One piece of work. share: how much of it is done, from 0 to 1. so_far: what it has found."""

    def __init__(self, subject: Subject, stamp: object, work: Callable[[Job], Any]) -> None:
        self.subject = subject
        self.stamp = stamp
        self.share = 0.0
        self.so_far: object = None
        self._work = work
        self._cancelled = threading.Event()

    @property
    def cancelled(self) -> bool:
        """Whether nobody wants it any more."""
        return self._cancelled.is_set()

    def reached(self, share: float) -> None:
        """Say how far it is. Raises CancelledError once it was cancelled."""
        self.share = share
        if self.cancelled:
            raise CancelledError

    def cancel(self) -> None:
        """Let it end at the next point at which it says how far it is."""
        self._cancelled.set()

    def run(self) -> Any:
        """Its answer. Raises CancelledError."""
        self.reached(0.0)
        return self._work(self)


class Jobs:
    """The work of one kitchen. beside: in a thread of its own; else each is done when asked for.

    kept: where what the daybook teaches lies for the next process; None: nowhere. planner: who
    solves what they ask. Safe between threads. No two pieces of work on one subject run at the same
    time.
    """

    def __init__(
        self, beside: bool = True, kept: KeptAnswers | None = None, planner: Planner = HERE
    ) -> None:
        self.kept = kept
        self.planner = planner
        self._beside = beside
        self._turn = threading.Condition()
        self._kept: OrderedDict[Subject, tuple[object, Any]] = OrderedDict()
        self._queued: OrderedDict[Subject, Job] = OrderedDict()
        self._running: Job | None = None
        self._busy: set[Subject] = set()
        self._cancelled: OrderedDict[Subject, object] = OrderedDict()
        self._failed: OrderedDict[Subject, object] = OrderedDict()
        self.changes = 0
        """Goes up whenever work ended, was stopped or may be tried again: pages may be others."""

    def ask(
        self, subject: Subject, stamp: object, work: Callable[[Job], Found]
    ) -> JobAnswer[Found]:
        """The answer to a question; see the module. Without a thread of its own, raises what the
        work raises.
        """
        if not self._beside:
            return JobAnswer(self.at_once(subject, stamp, work), True, stamp)
        with self._turn:
            kept = self._kept.get(subject)
            if kept is not None:
                self._kept.move_to_end(subject)
                if kept[0] == stamp:
                    return JobAnswer(kept[1], True, stamp)
            waits = self._queue(subject, stamp, work)
            found, of = (None, None) if kept is None else (kept[1], kept[0])
            return JobAnswer(found, False, of, waits)

    def within(
        self, seconds: float, subject: Subject, stamp: object, work: Callable[[Job], Found]
    ) -> JobAnswer[Found]:
        """Its answer, worked out anew and before all that waits; after so long, that it waits.

        Work on this stamp that is under way is not begun again. Without a thread of its own, raises
        what the work raises.
        """
        with self._turn:
            if not self._awaits(subject, stamp):
                for known in (self._kept, self._cancelled, self._failed):
                    known.pop(subject, None)
            if self._beside:
                self._queue(subject, stamp, work)
                if subject in self._queued:
                    self._queued.move_to_end(subject, last=False)
                self._turn.wait_for(lambda: not self._awaits(subject, stamp), seconds)
                return self._look(subject) or JobAnswer(None, False, stamp)
        return JobAnswer(self.at_once(subject, stamp, work), True, stamp)

    def awaited(
        self, seconds: float, subject: Subject, stamp: object, work: Callable[[Job], Found]
    ) -> JobAnswer[Found]:
        """As `ask`, before all that waits; waits so long for what is being worked out."""
        found = self.ask(subject, stamp, work)
        if not found.waits:
            return found
        with self._turn:
            if subject in self._queued:
                self._queued.move_to_end(subject, last=False)
            self._turn.wait_for(lambda: not self._awaits(subject, stamp), seconds)
        return self.ask(subject, stamp, work)

    def look(self, subject: Subject) -> JobAnswer[Any] | None:
        """How a question stands that was asked: answered, under way or stopped; None for none."""
        with self._turn:
            return self._look(subject)

    def at_once(self, subject: Subject, stamp: object, work: Callable[[Job], Found]) -> Found:
        """The answer to this stamp, worked out here and now unless it is known.

        Where another thread works on the subject, its end is awaited. Raises what the work raises.
        """
        with self._turn:
            self._turn.wait_for(lambda: self._is_known(subject, stamp) or self._is_free(subject))
            if self._is_known(subject, stamp):
                known: Found = self._kept[subject][1]
                return known
            self._busy.add(subject)
        job = Job(subject, stamp, work)
        try:
            found: Found = job.run()
            with self._turn:
                self._keep(subject, stamp, found)
        finally:
            with self._turn:
                self._busy.discard(subject)
                self._turn.notify_all()
        return found

    def under_way(self) -> list[Job]:
        """What is being worked on, and what waits for its turn."""
        with self._turn:
            running = [] if self._running is None else [self._running]
            return [job for job in (*running, *self._queued.values()) if not job.cancelled]

    def stopped(self) -> list[Subject]:
        """What was cancelled, and has not been asked under another stamp since."""
        with self._turn:
            return list(self._cancelled)

    def cancel(self, subject: Subject) -> None:
        """Stop the work on a subject, until something new is known of it."""
        with self._turn:
            stopped = self._stop(subject)
            if stopped is not None:
                _put(self._cancelled, subject, stopped.stamp)
                self.changes += 1

    def allow(self, subject: Subject) -> None:
        """Let what was cancelled be worked on when it is next asked for."""
        with self._turn:
            if self._cancelled.pop(subject, self) is not self:
                self.changes += 1

    def forget(self, is_there: Callable[[Subject], bool]) -> None:
        """Drop what is known of subjects that are no more, and the work on them."""
        with self._turn:
            for each in (self._kept, self._cancelled, self._failed):
                for subject in [subject for subject in each if not is_there(subject)]:
                    del each[subject]
            running = [] if self._running is None else [self._running.subject]
            for subject in [*running, *self._queued]:
                if not is_there(subject):
                    self._stop(subject)

    def wait(self, seconds: float | None = None) -> bool:
        """Until nothing is under way; False when that takes longer."""
        with self._turn:
            return self._turn.wait_for(lambda: self._running is None, seconds)

    def _is_known(self, subject: Subject, stamp: object) -> bool:
        kept = self._kept.get(subject)
        return kept is not None and kept[0] == stamp

    def _awaits(self, subject: Subject, stamp: object) -> bool:
        waiting = self._waiting(subject)
        return waiting is not None and waiting.stamp == stamp

    def _waiting(self, subject: Subject) -> Job | None:
        jobs = (self._queued.get(subject), self._running)
        mine = (job for job in jobs if job is not None and job.subject == subject)
        return next((job for job in mine if not job.cancelled), None)

    def _look(self, subject: Subject) -> JobAnswer[Any] | None:
        waiting = self._waiting(subject)
        if waiting is not None:
            return JobAnswer(None, False, waiting.stamp, True, waiting.so_far)
        if subject in self._kept:
            stamp, found = self._kept[subject]
            return JobAnswer(found, True, stamp)
        if subject in self._cancelled:
            return JobAnswer(None, False, self._cancelled[subject])
        return None

    def _is_free(self, subject: Subject) -> bool:
        return subject not in self._busy

    def _queue(self, subject: Subject, stamp: object, work: Callable[[Job], Any]) -> bool:
        """Whether the answer is on its way, now that it was asked for."""
        for shut in (self._cancelled, self._failed):
            if subject in shut:
                if shut[subject] == stamp:
                    return False
                del shut[subject]  # something new is known
        running = self._running
        same = running is not None and (running.subject, running.stamp) == (subject, stamp)
        if running is not None and same and not running.cancelled:
            return True
        queued = self._queued.get(subject)
        if queued is None or queued.stamp != stamp:
            self._queued[subject] = Job(subject, stamp, work)
        if running is None:
            self._running = self._queued.popitem(last=False)[1]
            here = (records_here(),)
            threading.Thread(target=self._run, args=here, name="jobs", daemon=True).start()
        return True

    def _stop(self, subject: Subject) -> Job | None:
        """Take it out of the queue and stop it where it runs; which it was, the last asked for."""
        job = self._queued.pop(subject, None)
        running = self._running
        if running is not None and running.subject == subject and not running.cancelled:
            running.cancel()
            job = job or running
        return job

    def _run(self, records: KitchenRecords) -> None:
        ask_records(records)
        job = self._running
        while job is not None:
            subject = job.subject
            with self._turn:
                self._turn.wait_for(partial(self._is_free, subject))
                known = self._is_known(subject, job.stamp)
                self._busy.add(subject)
            found, failed = None, False
            try:
                if not known:
                    found = job.run()
            except CancelledError:
                pass
            except Exception:  # a fault of ours must not stop the others
                log.exception("the work on %s of %s failed", *job.subject)
                failed = True
            with self._turn:
                self._busy.discard(job.subject)
                if failed:
                    _put(self._failed, job.subject, job.stamp)
                elif not known and not job.cancelled:
                    self._keep(job.subject, job.stamp, found)
                self.changes += 1
                self._running = self._queued.popitem(last=False)[1] if self._queued else None
                job = self._running
                self._turn.notify_all()

    def _keep(self, subject: Subject, stamp: object, found: Any) -> None:
        _put(self._kept, subject, (stamp, found))
        queued = self._queued.get(subject)
        if queued is not None and queued.stamp == stamp:
            del self._queued[subject]


def _put(kept: OrderedDict[Subject, Any], subject: Subject, value: Any) -> None:
    """Keep it as the newest; the oldest goes when there are too many."""
    kept[subject] = value
    kept.move_to_end(subject)
    while len(kept) > MOST_KEPT:
        kept.popitem(last=False)
