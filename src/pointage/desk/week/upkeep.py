"""What the cultures need in the days of a week, for the plan of it: as the Bench has it, and on."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta

from pointage.culture.life import Life
from pointage.desk.cultures.needed import need_ladder, vessel_of
from pointage.desk.now.cultures.culture import ensemble
from pointage.desk.now.cultures.lives import to_come
from pointage.desk.now.cultures.needs import backup_needs, spoiled_need, young_ahead
from pointage.desk.now.cultures.young import is_young, spoiled_at
from pointage.desk.now.present import Present
from pointage.kitchen.kitchen import CultureAtHand, Kitchen
from pointage.kitchen.needs import CultureNeed
from pointage.timetable.occupied import Occupied, occupied_by
from pointage.timetable.plan import Step, StepKind
from pointage.timetable.upkeep.ahead import apart
from pointage.timetable.upkeep.task import CultureTask, KeptCulture, PlacedTask
from pointage.timetable.week.question import LONGEST

AHEAD = timedelta(days=7)


@dataclass(frozen=True, eq=False)
class WeekUpkeep:
    """The fields of a WeekQuestion that are of the cultures."""

    cultures: tuple[KeptCulture, ...] = ()
    tasks: tuple[CultureTask, ...] = ()
    occupied: tuple[Occupied, ...] = ()


NO_UPKEEP = WeekUpkeep()


def week_upkeep(present: Present, now: datetime, until: datetime | None = None) -> WeekUpkeep:
    """Of every culture in a kitchen as it stands. until: how far a young one's days are planned."""
    until = min(max(until or now, now + AHEAD), now + LONGEST)
    bakes = present.in_hand(now)
    cultures, tasks = [], list[CultureTask]()
    for culture in present.kitchen.cultures:
        life = culture.life
        if life is None:
            continue
        needs = _as_they_are(present, life, now, until)
        if needs is None:
            cultures.append(_kept(present, culture, life, now))
        else:
            tasks += apart([_task(need, now) for need in needs])
    tasks += [
        _task(need, now)
        for need in backup_needs(present.lives, present.kitchen, now)
        if need.at <= until
    ]
    occupied = (each for bake in bakes for each in occupied_by(bake.plan, present.kitchen))
    return WeekUpkeep(tuple(cultures), tuple(tasks), tuple(occupied))


def as_step(placed: PlacedTask, kitchen: Kitchen, number: int) -> Step | None:
    """A task as a step of its culture's own line, to be shown like those of the bakes; None of one
    that found no time. number: of its culture's tasks, from 1."""
    if placed.start is None or placed.end is None:
        return None
    need = placed.task.need
    vessel = vessel_of(kitchen, need.culture, [])
    poured = None if need.feed is None else need_ladder(need, vessel, kitchen, placed.start)
    return Step(
        f"{need.culture}/{need.kind.value}-{number}", StepKind.FEED, placed.start, placed.end, True,
        need.place, mixture=need.culture, ladder=poured,
        grams=0.0 if need.feed is None else float(need.feed.total_g),
    )  # fmt: skip


def _as_they_are(
    present: Present, life: Life, now: datetime, until: datetime
) -> list[CultureNeed] | None:
    """The needs of one that goes away or is young; None of a grown one."""
    spoiled = spoiled_at(life, present.about_culture(life))
    if spoiled is not None:
        return [spoiled_need(life.name, spoiled)]
    if is_young(life, now):
        return young_ahead(life, present.raising(life.name, now), present.kitchen, now, until)
    return None


def _kept(present: Present, culture: CultureAtHand, life: Life, now: datetime) -> KeptCulture:
    believed = present.learning.beliefs_now(culture.name)
    outlook = present.culture_course(culture, now).outlook
    comes = tuple(to_come(present.in_hand(now), life))
    return KeptCulture(culture, outlook, ensemble(believed), comes)


def _task(need: CultureNeed, now: datetime) -> CultureTask:
    at = max(need.at, now)
    earliest = max(now, min(need.earliest or at, at))
    return CultureTask(need, earliest, at, max(need.best_by, at + (need.best_by - need.at)))
