"""A vessel of its own for whatever stands at one time: which tub or bowl each mix is made in.

Each plan by itself takes the smallest that will hold it. Where another bake has that one at the
time, it is the next that is free; the ladder then counts with its tare.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import datetime

from pointage.kitchen.kitchen import Kitchen
from pointage.kitchen.pours import pouring
from pointage.kitchen.vessel import Vessel
from pointage.timetable.joint import joint_builds
from pointage.timetable.plan import Plan, Step, StepKind
from pointage.timetable.remark import RemarkCode
from pointage.timetable.ways.stands import (
    CULTURE_GROWS,
    IN_BOWL,
    LEVAIN_GROWS,
    SPARE,
)
from pointage.timetable.week.fit import WeekWay

SOAK_GROWS = 1.3  # litres for each kilogram of a soaker
_MIXES = (StepKind.FEED, StepKind.BUILD, StepKind.MIX)


@dataclass(frozen=True, slots=True)
class Standing:
    """A mix, and how long its vessel is in use. steps: plans that have it, with its key there.

    stays: in one of several bowls, which are those of its own plan.
    """

    steps: tuple[tuple[int, str], ...]
    start: datetime
    end: datetime
    litres: float
    grams: float
    vessel: str
    stays: bool = False


def with_own_vessels(
    kitchen: Kitchen, plans: Sequence[Plan | None], ways: Sequence[WeekWay | None]
) -> list[Plan | None]:
    """The plans with vessels so chosen; one for which none is free keeps that of its own plan."""
    found: list[Plan | None] = list(plans)
    taken: list[tuple[str, Standing]] = []
    every = [
        each
        for number, (plan, way) in enumerate(zip(plans, ways, strict=True))
        if plan is not None and way is not None
        for each in _standings(kitchen, number, plan, way)
    ]
    for each in sorted(_in_one(kitchen, plans, every), key=_largest_first):
        vessel = None if each.stays else _free(kitchen, each, taken)
        taken.append((vessel.name if vessel else each.vessel, each))
        for number, key in each.steps:
            plan = found[number]
            if vessel is not None and plan is not None and vessel.name != each.vessel:
                found[number] = _moved(kitchen, plan, key, vessel)
    return found


def _largest_first(each: Standing) -> tuple[bool, float, datetime, int]:
    return not each.stays, -each.litres, each.start, each.steps[0][0]


def _in_one(
    kitchen: Kitchen, plans: Sequence[Plan | None], every: Sequence[Standing]
) -> list[Standing]:
    """The same with what several plans have of one build in one vessel."""
    found = {each.steps[0]: each for each in every if not each.stays}
    for build in joint_builds(kitchen, plans):
        parts = [found.pop((part.plan, part.key)) for part in build.parts]
        found[parts[0].steps[0]] = replace(
            parts[0],
            steps=tuple(each.steps[0] for each in parts),
            end=max(each.end for each in parts),
            litres=sum(each.litres for each in parts),
            grams=sum(each.grams for each in parts),
        )
    return [*(each for each in every if each.stays), *found.values()]


def holding(kitchen: Kitchen, litres: float, grams: float) -> list[Vessel]:
    """The bowls and tubs that hold so much, the smallest first."""
    fit = (each for each in kitchen.vessels if each.use in IN_BOWL and each.takes(litres, grams))
    return sorted(fit, key=lambda each: each.volume_l)


def _free(kitchen: Kitchen, each: Standing, taken: Sequence[tuple[str, Standing]]) -> Vessel | None:
    """That of its own plan if nothing else is in it, else the smallest that is free."""
    known = [vessel for vessel in kitchen.vessels if vessel.name == each.vessel]
    for vessel in (*known, *holding(kitchen, each.litres, each.grams)):
        inside = sum(
            name == vessel.name and other.start < each.end and other.end > each.start
            for name, other in taken
        )
        if inside < vessel.count:
            return vessel
    return None


def _standings(kitchen: Kitchen, number: int, plan: Plan, way: WeekWay) -> Iterator[Standing]:
    mixes = [step for step in plan.steps if step.kind in _MIXES and step.ladder]
    mixes.sort(key=lambda step: step.start)
    ends = [*(step.end for step in mixes[1:]), way.ready]  # until the next has taken from it
    for step, taken in zip(mixes, ends, strict=True):
        if step.ladder is None:
            continue
        end = taken
        litres = step.grams / 1000
        litres *= LEVAIN_GROWS if step.kind is StepKind.BUILD else CULTURE_GROWS
        if step.kind is StepKind.MIX:
            end = min(end, way.way.divide)
            litres = dough_litres(kitchen, plan, way)
        bowls = step.ladder.bowls
        for bowl in bowls:
            yield Standing(
                ((number, step.key),), step.start, max(end, step.end), litres,
                step.grams / len(bowls), bowl.vessel, stays=len(bowls) > 1,
            )  # fmt: skip
    mixed = next((step.end for step in mixes if step.kind is StepKind.MIX), None)
    for step in plan.steps:
        if step.kind is StepKind.SOAK and step.ladder and mixed is not None:
            litres = step.grams / 1000 * SOAK_GROWS
            name = step.ladder.vessel
            yield Standing(((number, step.key),), step.start, mixed, litres, step.grams, name)


def dough_litres(kitchen: Kitchen, plan: Plan, way: WeekWay) -> float:
    """Litres to which the dough of a plan may rise, with some to spare."""
    for step in plan.steps:
        if step.kind is StepKind.BULK and step.standing:
            vessel = next(v for v in kitchen.vessels if v.name == step.standing.vessel)
            full = step.standing.full * vessel.volume_l
            return full * way.problem.process.bulk_rise[2] * SPARE
    return plan.pieces * plan.piece_g / 1000


def _moved(kitchen: Kitchen, plan: Plan, key: str, vessel: Vessel) -> Plan:
    def moved(step: Step) -> Step:
        own = step.key == key
        stood = own or (step.kind is StepKind.BULK and key == StepKind.MIX.value)
        if own and step.ladder is not None and not step.ladder.more:
            remarks = tuple(
                remark
                if remark.code is not RemarkCode.LID_AJAR
                else replace(remark, about={"vessel": vessel.name})
                for remark in step.remarks
                if remark.code is not RemarkCode.BRIM
            )
            ladder = pouring(kitchen, vessel, step.ladder.pours)
            step = replace(step, ladder=ladder, remarks=remarks)
        if stood and step.standing is not None:
            before = next((v for v in kitchen.vessels if v.name == step.standing.vessel), vessel)
            full = step.standing.full * before.volume_l / vessel.volume_l
            standing = replace(step.standing, vessel=vessel.name, full=full, caution=None)
            step = replace(step, standing=standing)
        return step

    return replace(plan, steps=tuple(map(moved, plan.steps)))
