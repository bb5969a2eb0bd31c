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
    going = [each for each in work if not each.stopped]
    shown = [each for each in work if each.stopped or each.share or each is going[0]]
    return WorkNow(tuple(_line(each) for each in shown), len(work) - len(shown), busy, since)


def _line(work: Work) -> WorkLine:
    far = f"{100 * work.share:.0f}{FIXED}%" if work.share else ""
    return WorkLine(work.kind, work.name, work.words, far, work.stopped)
