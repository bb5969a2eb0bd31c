"""The ways out of a week that cannot be: later, with work in the night, or without a wish."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime
from typing import TYPE_CHECKING

from pointage.timetable.explain import conflicts
from pointage.timetable.plan import Conflict
from pointage.timetable.remark import ConflictName
from pointage.timetable.solve import search
from pointage.timetable.week.answer import Clash, Relief, ReliefKind
from pointage.timetable.week.clash import can_all, clash_with, within
from pointage.timetable.week.cultures import ways_of_week
from pointage.timetable.week.packing import chosen
from pointage.timetable.week.question import WantedStage
from pointage.timetable.week.uses import Counting

if TYPE_CHECKING:
    from pointage.timetable.week.week import WeekChoice

MOST_WAYS_OUT = 4


def clashes(choice: WeekChoice) -> tuple[Clash, ...]:
    """Why each firm wish that was given up cannot be kept, and what would free it."""
    kept = [i for i, way in enumerate(choice.ways) if way is not None]
    found: list[Clash] = []
    for number, way in enumerate(choice.ways):
        if way is not None or not choice.wishes[number].wish.firm:
            continue
        if not can_all(choice.packing, [number]):
            found.append(_alone(choice, number))
            continue
        wishes = clash_with(choice.packing, number, kept)
        found.append(Clash(wishes, _ways_out(choice, wishes)))
    return tuple(found)


def _alone(choice: WeekChoice, number: int) -> Clash:
    """A wish that cannot be kept whatever the others are."""
    each = choice.wishes[number]
    reasons: tuple[Conflict, ...] = ()
    if each.wish.stage is WantedStage.BAKED:
        reasons = conflicts(each.wish.problem, search(each.wish.problem))
    else:
        later = each.later()
        if later:
            ready = min(way.ready for way in later)
            about = {"ready": each.wish.last, "possible": ready}
            reasons = (Conflict(ConflictName.READY, about),)
    possible = [each.about.get("possible") for each in reasons if each.name is ConflictName.READY]
    ways_out = [Relief(ReliefKind.LATER, number, at) for at in possible if isinstance(at, datetime)]
    ways_out.append(Relief(ReliefKind.WITHOUT, number))
    return Clash((number,), tuple(ways_out), reasons or (Conflict(ConflictName.EVERYTHING),))


def _ways_out(choice: WeekChoice, wishes: Sequence[int]) -> tuple[Relief, ...]:
    """The ways out, the cheapest first."""
    best = [min(each.whole for each in choice.packing.wishes[i].alternatives) for i in wishes]
    found = []
    for number in wishes:
        later = choice.wishes[number].later()
        own = [later if i == number else each.ways for i, each in enumerate(choice.wishes)]
        packing = within(choice.counting.packing(own), wishes)
        packed = chosen(packing).packed
        if None not in packed.chosen:
            k = packed.chosen[list(wishes).index(number)]
            assert k is not None
            price = max(0.0, packed.penalty - sum(best))
            found.append(Relief(ReliefKind.LATER, number, later[k].ready, price))
    awake = _awake(choice, wishes)
    if awake is not None:
        found.append(Relief(ReliefKind.SLEEP, price=max(0.0, awake - sum(best))))
    found.sort(key=lambda each: each.price or 0.0)
    found = found[:MOST_WAYS_OUT]
    return (*found, *(Relief(ReliefKind.WITHOUT, number) for number in wishes))


def _awake(choice: WeekChoice, wishes: Sequence[int]) -> float | None:
    """The penalty of keeping them all with somebody awake, None where that does not help."""
    if not choice.question.kitchen.hours.sleep:
        return None
    asked = tuple(choice.question.wishes[i] for i in wishes)
    ways = dict(ways_of_week(asked, sleepless=True))
    question = replace(choice.question, wishes=asked)
    counting = Counting(question, [ways[i] for i in range(len(asked))])
    packed = chosen(counting.packing()).packed
    return None if None in packed.chosen else packed.penalty
