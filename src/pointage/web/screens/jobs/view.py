"""What is being worked out, line by line."""

from __future__ import annotations

from pointage.desk.work import Work, WorkDesk
from pointage.shown import FIXED
from pointage.web.frame import WorkLine, WorkNow


def work_now(desk: WorkDesk, known: int | None = None) -> WorkNow:
    """The lines. known: of which changes of the work a page knows that waits for its end."""
    changes = desk.changes  # taken first: what ends meanwhile is then found by the next look
    work = desk.all()
    busy = any(not each.stopped for each in work)
    since = known if busy and known is not None else changes
    return WorkNow(tuple(_line(each) for each in work), busy, since)


def _line(work: Work) -> WorkLine:
    far = f"{100 * work.share:.0f}{FIXED}%" if work.share else ""
    return WorkLine(work.kind, work.name, work.words, far, work.stopped)
