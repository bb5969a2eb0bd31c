"""The kitchen's calendar: every task of the hands, with what moved and what will not be."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from contextlib import suppress
from datetime import datetime, timedelta
from typing import Any
from uuid import NAMESPACE_URL, uuid5
from zoneinfo import ZoneInfo

from pointage.desk.now.bakes.bake import steps_left
from pointage.desk.now.present import Present
from pointage.desk.plans import read_plan
from pointage.desk.sheets.parts.last_said import BAKE, CULTURE, LastSaid, last_said
from pointage.desk.sheets.parts.times import dated
from pointage.desk.sheets.week import FEED, Task, culture_tasks, feed_key, plan_tasks
from pointage.desk.wording.amounts import count
from pointage.documents.calendar import CalendarTask, calendar_text
from pointage.errors import InputError
from pointage.language import say
from pointage.timetable.plan import Plan

ALARM = timedelta(minutes=10)
REFRESH = timedelta(minutes=15)
KEPT = timedelta(days=14)
"""So long past tasks stay, and those that will not be."""


def kitchen_calendar(present: Present, now: datetime, alarm: timedelta | None = ALARM) -> str:
    """The calendar of a kitchen as it stands. alarm: before each task; None for none.

    A task keeps its identifier when its bake is planned anew or its culture is fed; its sequence
    is the number of the last thing recorded of that bake or culture, which only goes up. What a
    bake was planned to need and no longer does is cancelled, and stays so for a while.
    """
    said = last_said(present.replayed.journal.entries)
    found = [*_bakes(present, said, now, alarm), *_cultures(present, said, now, alarm)]
    found.sort(key=lambda task: (task.start, task.uid))
    return calendar_text(present.kitchen.name, found, REFRESH)


def _bakes(
    present: Present, said: LastSaid, now: datetime, alarm: timedelta | None
) -> Iterator[CalendarTask]:
    """Of every bake, also of one that was taken out of the daybook."""
    for key in sorted(said.plans):
        last = said.of((BAKE, key))
        record = present.replayed.bakes.get(key)
        ends = None if record is None else record.ends
        if last is None or max(last[1], ends or last[1]) <= now - KEPT:
            continue
        bake = None if record is None or record.bake.given_up else record.bake
        here = {} if bake is None else {task.key: task for task in plan_tasks(bake.plan, key)}
        left = {step.key for step in steps_left(bake)} if bake is not None else set()
        for task in here.values():
            assert bake is not None, "a task that is here is of a bake that is"
            step = task.key.rpartition("#")[2].partition("/")[0]
            due = alarm if step in left else None
            yield _event(present, task, last, text=_about(bake.plan, task), alarm=due)
        gone: dict[str, tuple[Plan, Task]] = {}
        for plan in _plans(said.plans[key]) if bake is None or len(said.plans[key]) > 1 else ():
            gone |= {task.key: (plan, task) for task in plan_tasks(plan, key)}
        for plan, task in (each for name, each in gone.items() if name not in here):
            yield _event(present, task, last, text=_about(plan, task), cancelled=True)


def _plans(documents: Iterable[Mapping[str, Any]]) -> Iterator[Plan]:
    """Those that can be read."""
    for document in documents:
        with suppress(InputError):
            yield read_plan(document)[0]


def _about(plan: Plan, task: Task) -> str:
    pieces = count(plan.pieces, "piece")
    out = dated(plan.ready, ZoneInfo(plan.zone))
    ready = say("{pieces}, ready {time}", pieces=pieces, time=out)
    return "\n".join(filter(None, (task.text, ready)))


def _cultures(
    present: Present, said: LastSaid, now: datetime, alarm: timedelta | None
) -> Iterator[CalendarTask]:
    """The next feed of each; cancelled where there is none any more, or a bake does it before."""
    due = {task.of: task for task in culture_tasks(present, now)}
    bakes: dict[str, list[str]] = {}
    for key, record in present.replayed.bakes.items():
        bakes.setdefault(record.bake.plan.culture.casefold(), []).append(key)
    for life in present.lives:
        of = [(CULTURE, name) for name in life.names]
        of += [(BAKE, key) for name in life.names for key in bakes.get(name.casefold(), ())]
        last = said.of(*of)
        if (task := due.get(life.name)) is not None:
            if last is None:
                last = 0, present.kitchen.culture(life.name).fed
            yield _event(present, task, last, alarm=alarm)
        elif last is not None and last[1] > now - KEPT:
            title = say("Feed {culture}", culture=life.name)
            task = Task(feed_key(life.name), last[1], last[1] + FEED, title, life.name)
            yield _event(present, task, last, cancelled=True)


def _event(
    present: Present,
    task: Task,
    last: tuple[int, datetime],
    *,
    text: str = "",
    alarm: timedelta | None = None,
    cancelled: bool = False,
) -> CalendarTask:
    """last: the number and the arrival of what was last said of it."""
    title = task.title
    if task.of not in title:
        title = say("{bake}: {task}", bake=task.of, task=title)
    number, changed = last
    return CalendarTask(
        uid=f"{uuid5(NAMESPACE_URL, f'{present.record.id}/{task.key}')}@pointage",
        start=task.start,
        end=task.end,
        title=title,
        text=text or task.text,
        place=task.place,
        sequence=number,
        changed=changed,
        cancelled=cancelled,
        alarm=alarm,
    )
