"""The kitchen's calendar: every task of the hands, with what moved and what will not be."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime, timedelta
from uuid import NAMESPACE_URL, uuid5
from zoneinfo import ZoneInfo

from pointage.daybook.entry import Entry, EntryKind
from pointage.desk.answers import Bake
from pointage.desk.now.bakes.bake import steps_left
from pointage.desk.now.present import Present
from pointage.desk.sheets.parts.times import dated
from pointage.desk.sheets.week import Task, culture_tasks, plan_tasks
from pointage.desk.wording.amounts import count
from pointage.documents.calendar import CalendarTask, calendar_text
from pointage.language import say

ALARM = timedelta(minutes=10)
REFRESH = timedelta(minutes=15)
KEPT = timedelta(days=14)
"""So long past tasks stay, and those of bakes that were given up."""


def kitchen_calendar(present: Present, now: datetime, alarm: timedelta | None = ALARM) -> str:
    """The calendar of a kitchen as it stands. alarm: before each task; None for none.

    A task keeps its identifier when its bake is planned anew or its culture is fed; its sequence
    is the number of the last thing recorded of that bake or culture, which only goes up.
    """
    found = [*_bakes(present, now, alarm), *_cultures(present, now, alarm)]
    found.sort(key=lambda task: (task.start, task.uid))
    return calendar_text(present.kitchen.name, found, REFRESH)


def _bakes(present: Present, now: datetime, alarm: timedelta | None) -> Iterator[CalendarTask]:
    records = present.replayed.bakes.values()
    recent = [each.bake for each in records if each.ends > now - KEPT]
    for bake in sorted(recent, key=lambda each: each.key):
        said = [*present.about_bake(bake.key), *_undone(present, bake)]
        left = set() if bake.given_up else {step.key for step in steps_left(bake)}
        for task in plan_tasks(bake.plan, bake.key):
            step = task.key.rpartition("#")[2].partition("/")[0]
            due = alarm if step in left else None
            yield _event(
                present, task, said, text=_about(bake, task), alarm=due, cancelled=bake.given_up
            )


def _undone(present: Present, bake: Bake) -> Iterator[Entry]:
    """What took back a change of its plan, and what that said: the calendar must hear of it."""
    journal = present.replayed.journal
    for target, said in journal.about.items():
        entry = journal.entries.get(target)
        if entry is None or entry.kind is not EntryKind.REPLANNED:
            continue
        if entry.body.get("bake") == bake.key:
            yield from said


def _about(bake: Bake, task: Task) -> str:
    pieces = count(bake.plan.pieces, "piece")
    out = dated(bake.plan.ready, ZoneInfo(bake.plan.zone))
    ready = say("{pieces}, ready {time}", pieces=pieces, time=out)
    return "\n".join(filter(None, (task.text, ready)))


def _cultures(present: Present, now: datetime, alarm: timedelta | None) -> Iterator[CalendarTask]:
    for task in culture_tasks(present, now):
        said = present.about_culture(present.life(task.of))
        fed = present.kitchen.culture(task.of).fed
        yield _event(present, task, said, alarm=alarm, since=fed)


def _event(
    present: Present,
    task: Task,
    said: list[Entry],
    *,
    text: str = "",
    alarm: timedelta | None = None,
    cancelled: bool = False,
    since: datetime | None = None,
) -> CalendarTask:
    """since: when it was so, where nothing was recorded."""
    title = task.title
    if task.of not in title:
        title = say("{bake}: {task}", bake=task.of, task=title)
    changed = max((each.arrived for each in said), default=since or task.start)
    return CalendarTask(
        uid=f"{uuid5(NAMESPACE_URL, f'{present.record.id}/{task.key}')}@pointage",
        start=task.start,
        end=task.end,
        title=title,
        text=text or task.text,
        place=task.place,
        sequence=max((each.number for each in said), default=0),
        changed=changed,
        cancelled=cancelled,
        alarm=alarm,
    )
