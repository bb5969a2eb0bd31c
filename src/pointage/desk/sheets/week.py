"""The week sheet: what hands do, day by day, of all bakes and cultures."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from itertools import groupby
from zoneinfo import ZoneInfo

from pointage.desk.answers import Bake
from pointage.desk.now.bakes.bake import next_feed, steps_left
from pointage.desk.now.present import Present
from pointage.desk.sheets.parts.frame import framed
from pointage.desk.sheets.parts.times import clock, dated, day
from pointage.desk.wording import title
from pointage.desk.wording.amounts import count
from pointage.desk.wording.lists import all_of
from pointage.desk.wording.needs import need_title
from pointage.desk.wording.week import parts_words
from pointage.documents.blocks import (
    Block,
    PrintedLines,
    PrintedNotes,
    PrintedStep,
    PrintedSteps,
    Sheet,
)
from pointage.kitchen.kitchen import Kitchen
from pointage.language import mark, say
from pointage.shown import warmth
from pointage.timetable.plan import Plan, Step
from pointage.timetable.ways.joint import joint_builds

FEED = timedelta(minutes=10)
"""A feed takes so long (ours)."""


@dataclass(frozen=True, slots=True)
class Task:
    """Something that hands do. of: the bake or culture; key: stable, whatever moves."""

    key: str
    start: datetime
    end: datetime
    title: str
    of: str
    place: str = ""
    text: str = ""


def tasks(present: Present, now: datetime) -> list[Task]:
    """What hands still have to do of the bakes in hand and of the cultures, in order."""
    bakes = present.in_hand(now)
    every = [task for bake in bakes for task in bake_tasks(bake)]
    found = shared_once(every, present.kitchen, {bake.key: bake.plan for bake in bakes})
    found += culture_tasks(present, now)
    return sorted(found, key=lambda task: (task.start, task.key))


def shared_once(found: Sequence[Task], kitchen: Kitchen, plans: Mapping[str, Plan]) -> list[Task]:
    """The same with a build that several plans have once. plans: by what their tasks call them."""
    names = list(plans)
    every = {task.key: task for task in found}
    for build in joint_builds(kitchen, list(plans.values())):
        first, *others = (_key(names[part.plan], part.key) for part in build.parts)
        if first in every and all(other in every for other in others):
            for other in others:
                del every[other]
            shares = [(plans[names[part.plan]].formula, part.grams) for part in build.parts]
            of = all_of(dict.fromkeys(formula for formula, _ in shares))
            text = ", ".join(filter(None, (parts_words(shares), every[first].text)))
            every[first] = replace(every[first], of=of, text=text)
    return list(every.values())


def culture_tasks(present: Present, now: datetime) -> Iterator[Task]:
    """What each culture needs next that no bake does before."""
    bakes = present.in_hand(now)
    at_hand = {each.name: each for each in present.kitchen.cultures}
    for need in present.needs(now):
        culture = at_hand.get(need.culture)
        fed = None if culture is None else next_feed(culture, bakes)
        if fed is None or fed.start > need.at:
            key = feed_key(need.culture)
            yield Task(key, need.at, need.at + FEED, need_title(need), need.culture)


def feed_key(culture: str) -> str:
    """Of the next thing that a culture needs, whatever that is."""
    return f"culture/{culture}/feed"


def bake_tasks(bake: Bake) -> Iterator[Task]:
    """Those of one bake that are still to do."""
    left = {step.key for step in steps_left(bake)}
    for task in plan_tasks(bake.plan, bake.key):
        if task.key.rpartition("#")[2].partition("/")[0] in left:
            yield task


def plan_tasks(plan: Plan, key: str) -> Iterator[Task]:
    """Those of a plan. key: what it is called among others."""
    for step in plan.steps:
        if step.hands:
            yield _task(step, plan.formula, key)
            if step.keep is not None:
                yield _task(step.keep, plan.formula, key)


def _key(bake: str, step: str) -> str:
    return f"bake/{bake}#{step}"


def _task(step: Step, of: str, key: str) -> Task:
    facts = [
        say(words, warmth=warmth(celsius))
        for words, celsius in (
            (mark("water {warmth}"), step.water_temperature_c),
            (mark("oven {warmth}"), step.oven_temperature_c),
        )
        if celsius is not None
    ]
    return Task(
        _key(key, step.key), step.start, step.end, title(step), of, step.place,
        ", ".join(facts),
    )  # fmt: skip


def week_sheet(
    found: Sequence[Task],
    ready: Iterable[tuple[str, int, datetime]],
    present: Present,
    now: datetime,
    *,
    address: str = "",
    lead: str = "",
) -> Sheet:
    """The tasks by day. ready: each bake's name, pieces and when its bread is out of the oven."""
    zone = present.kitchen.zone
    facts = [
        (name, say("{pieces}, {time}", pieces=count(pieces, "piece"), time=dated(at, zone)))
        for name, pieces, at in ready
    ]
    blocks = list(_days(found, zone)) or [PrintedNotes("", (say("No bake is planned."),))]
    blocks.append(PrintedLines(say("Notes"), 5))
    return framed(say("The week"), lead, blocks, present, now, facts=facts, address=address)


def _days(found: Sequence[Task], zone: ZoneInfo) -> Iterator[Block]:
    for name, group in groupby(found, key=lambda task: day(task.start, zone)):
        rows = tuple(
            PrintedStep(
                clock(task.start, zone),
                task.title,
                ", ".join(filter(None, (task.of, task.place, task.text))),
            )
            for task in group
        )
        yield PrintedSteps(name, rows, say("done at"))
