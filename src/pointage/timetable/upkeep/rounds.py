"""The week's bakes with the upkeep of their cultures: first the bakes, then what both must share.

The bakes are chosen as if hands did nothing else, and the tasks fitted around them: where each task
finds a time as good as without the bakes, nothing could be better. Only where one does not, it and
the bakes are chosen again together.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import timedelta
from math import inf
from typing import TYPE_CHECKING

from pointage.kitchen.capacity import HANDS
from pointage.timetable.calendar import Calendar, calendar_of
from pointage.timetable.choice.alternatives import CapacityUse, Packed, cost
from pointage.timetable.choice.proof import HAIR, MET, MOST_WORK
from pointage.timetable.plan import Plan
from pointage.timetable.upkeep.between import UpkeepBetween, touches_of
from pointage.timetable.upkeep.placing import (
    LOOKED_ROUND,
    PlacedUpkeep,
    TaskOptions,
    place,
    task_options,
)
from pointage.timetable.upkeep.task import PlacedTask
from pointage.timetable.ways.levains import FEED_MINUTES
from pointage.timetable.week.cultures import Between, Known, WishWays
from pointage.timetable.week.packing import pack
from pointage.timetable.week.question import WeekQuestion, WeekWish

if TYPE_CHECKING:
    from pointage.timetable.week.week import WeekChoice

MOST_ROUNDS = 3
"""So often a bake is searched for again with its culture fed before it."""

LONG_BEFORE = timedelta(hours=36)
"""A feed for a bake is too long before it where that first takes from it later than so (ours)."""

Choose = Callable[[Between, Known], "WeekChoice"]
LastOf = Callable[["WeekChoice"], set[int]]
"""The wishes with whose build a culture is fed to be kept."""


@dataclass(frozen=True, eq=False)
class KeptWeek:
    """A choice of bakes and the tasks beside them.

    penalty, bound: of both, the bound where both had to be chosen together; least: of the tasks
    alone, what none can undercut.
    """

    choice: WeekChoice
    tasks: tuple[PlacedTask, ...]
    penalty: float
    bound: float
    least: float

    def proved(self, bakes: float) -> tuple[float, bool]:
        """Its bound by another one of the bakes alone, and whether nothing can be better."""
        bound = max(self.bound, bakes + self.least)
        return min(bound, self.penalty), self.penalty - bound <= MET + HAIR


def kept_week(choose: Choose, last_of: LastOf, question: WeekQuestion) -> KeptWeek:
    """The bakes of a week and what its cultures need beside them."""
    between = UpkeepBetween(question)
    choice = choose(between, _search_all)
    if question.wishes and question.cultures:
        choice, between = _fed_in_time(choose, last_of, choice, between)
        choice, between = _fed_between(choose, last_of, choice, between)
    return _together(choice, between, last_of)


def _fed_in_time(
    choose: Choose, last_of: LastOf, choice: WeekChoice, between: UpkeepBetween
) -> tuple[WeekChoice, UpkeepBetween]:
    """The choice again with cultures fed before bakes that would come too late for them."""
    for _ in range(MOST_ROUNDS):
        late = between.uncovered(touches_of(choice.wishes, choice.ways, last_of(choice)))
        if not late:
            break
        changed = between.also_until(late)
        names = {e.wish.problem.culture.name for e in choice.wishes if e.batch in late}
        again = choose(changed, _but(choice, names))
        if _lost(again) > _lost(choice):
            break  # then its culture waits for the bake
        choice, between = again, changed
    return choice, between


def _fed_between(
    choose: Choose, last_of: LastOf, choice: WeekChoice, between: UpkeepBetween
) -> tuple[WeekChoice, UpkeepBetween]:
    """The choice again with a feed for each batch that no way was found for: no longer than a day
    or so before the bake first takes from it, where that keeps it, too."""
    tried: set[str] = set()
    as_it_was = between
    while True:
        lost = [
            each
            for each, way in zip(choice.wishes, choice.ways, strict=True)
            if way is None and not each.ways and each.batch not in tried
        ]
        if not lost:
            break
        batch, wish = lost[0].batch, lost[0].wish
        tried.add(batch)
        calendar = _calendar(choice.question)
        for at in between.feeds_to_try(batch, wish.first, calendar):
            changed = between.also_fed(batch, at)
            again = choose(changed, _but(choice, {wish.problem.culture.name}))
            if _lost(again) >= _lost(choice):
                continue
            choice, between = again, changed
            first = between.first_touch(batch, touches_of(again.wishes, again.ways, set()))
            later = between.fed_before(first, calendar)
            if first - at > LONG_BEFORE and later is not None:
                changed = between.also_fed(batch, later)
                again = choose(changed, _but(choice, {wish.problem.culture.name}))
                if _lost(again) <= _lost(choice):
                    choice, between = again, changed
            break
    return (
        (choice, between)
        if between is as_it_was
        else _fed_in_time(choose, last_of, choice, between)
    )


def _together(choice: WeekChoice, between: UpkeepBetween, last_of: LastOf) -> KeptWeek:
    """The tasks around the bakes; where they are in each other's way, both chosen together."""
    found = _around(choice, between, last_of)
    packed = choice.packed
    bound = -inf
    if choice.wishes and found.contested:
        n = len(choice.wishes)
        wishes = (*choice.packing.wishes, *(each.options for each in found.contested))
        both = pack(replace(choice.packing, wishes=wishes), work=MOST_WORK)
        alone = packed.penalty + found.price - _uncontested(found)
        fewer = both.chosen[:n].count(None) > packed.chosen.count(None)
        if both.penalty < alone - HAIR and not fewer:
            chosen = both.chosen[:n]
            moved = Packed(chosen, cost(choice.packing, chosen), packed.bound, packed.optimal)
            again = replace(choice, packed=moved)
            placed = _around(again, between, last_of)
            if moved.penalty + placed.price < packed.penalty + found.price - HAIR:
                choice, found, packed = again, placed, moved
        least = found.least - sum(each.least for each in found.contested)
        bound = max(bound, min(both.bound + least, packed.penalty + found.price))
    return KeptWeek(choice, found.tasks, packed.penalty + found.price, bound, found.least)


def _around(choice: WeekChoice, between: UpkeepBetween, last_of: LastOf) -> PlacedUpkeep:
    """The tasks, in the time that the chosen bakes leave."""
    question = choice.question
    touches = touches_of(choice.wishes, choice.ways, last_of(choice))
    tasks = [task for each in between.through(touches).values() for task in each.tasks]
    tasks += question.tasks
    calendar = _calendar(question)
    every: list[TaskOptions] = task_options(tasks, question.now, calendar)
    return place(every, question.now, calendar, _hands(choice))


def _uncontested(found: PlacedUpkeep) -> float:
    """What the tasks cost that no bake is in the way of."""
    return found.least - sum(each.least for each in found.contested)


def _hands(choice: WeekChoice) -> list[CapacityUse]:
    """When hands are at the chosen bakes."""
    return [
        use
        for wish, number in zip(choice.packing.wishes, choice.packed.chosen, strict=True)
        if number is not None
        for use in wish.alternatives[number].uses
        if use.capacity == HANDS
    ]


def _calendar(question: WeekQuestion) -> Calendar:
    """When hands are free but for the bakes of the week: awake, there, at none that is in hand."""
    taken = [(each.start, each.end) for each in question.occupied if each.capacity == HANDS]
    last = UpkeepBetween(question).ends + LOOKED_ROUND
    return calendar_of(question.kitchen, question.now, last, taken)


def _lost(choice: WeekChoice) -> float:
    """The price of the wishes that are given up."""
    return sum(
        wish.given_up
        for wish, number in zip(choice.packing.wishes, choice.packed.chosen, strict=True)
        if number is None
    )


def _but(choice: WeekChoice, names: set[str]) -> Known:
    """The ways of all but the wishes of these cultures are known."""

    def known(number: int, wish: WeekWish, batch: str) -> WishWays | None:
        return None if wish.problem.culture.name in names else choice.wishes[number]

    return known


def _search_all(number: int, wish: WeekWish, batch: str) -> WishWays | None:
    return None


def put_back(plans: list[Plan | None], tasks: tuple[PlacedTask, ...]) -> list[Plan | None]:
    """The plans with the time at which what is kept goes back into the fridge as it was found."""
    times = {
        (each.task.culture, each.task.built): each.start
        for each in tasks
        if each.task.built is not None and each.start is not None
    }
    found: list[Plan | None] = []
    for plan in plans:
        if plan is None:
            found.append(None)
            continue
        steps = []
        for step in plan.steps:
            kept = step.keeping
            at = times.get((plan.culture, step.start + timedelta(minutes=FEED_MINUTES)))
            if kept is not None and kept.moved is not None and at is not None:
                kept = replace(kept, moved=at)
            steps.append(replace(step, keeping=kept))
        found.append(replace(plan, steps=tuple(steps)))
    return found
