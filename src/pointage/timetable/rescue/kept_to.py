"""What of a bake a baker keeps to, by name, and whether it is as it was planned."""

from __future__ import annotations

from datetime import datetime, timedelta

from pointage.timetable.plan import Thread
from pointage.timetable.week.question import UnderWay

NOTICED = timedelta(minutes=10)
"""What moves by less, stays (ours)."""


def tasks(thread: Thread) -> dict[str, datetime]:
    """The instants of a thread that a baker keeps to, by name."""
    found = {f"feed {n + 1}": each.at for n, each in enumerate(thread.feeds)}
    found |= {f"chill {n + 1}": at for n, it in enumerate(thread.feeds) if (at := it.chilled)}
    found |= {f"warm {n + 1}": at for n, it in enumerate(thread.feeds) if (at := it.warmed)}
    found |= {f"soak {n + 1}": at for n, at in enumerate(thread.soaks)}
    found |= {"mix": thread.mix, "divide": thread.divide}
    return found | {f"bake {n + 1}": at for n, at in enumerate(thread.loads)}


def as_planned(thread: Thread, was: UnderWay) -> bool:
    """Whether it is what was planned, but for less than anyone would notice."""
    old, new = tasks(was.thread), tasks(thread)
    return (
        old.keys() == new.keys()
        and was.thread.retarded is thread.retarded
        and [each.seed_share for each in was.thread.feeds]
        == [each.seed_share for each in thread.feeds]
        and all(abs(at - old[what]) < NOTICED for what, at in new.items())
    )
