"""Plan several bakes from a form, as a job, and take what was found: all of them or none."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from time import perf_counter
from typing import Any
from uuid import UUID, uuid5

from pointage.daybook.entry import Entry, EntryKind
from pointage.desk.answers import NotThere, Wished
from pointage.desk.bakes.wish import AUTHOR
from pointage.desk.calculators.water_page import friction_of
from pointage.desk.jobs import WEEK, Job, JobAnswer
from pointage.desk.kitchen.kitchens import demonstration_formulas
from pointage.desk.now.present import Present
from pointage.desk.one_kitchen import OneKitchen
from pointage.desk.plans import write_plan
from pointage.desk.week.can_be import CanBe, can_be
from pointage.desk.week.file import WishRow, read_wishes
from pointage.desk.week.lean import lean_text, words_of
from pointage.desk.week.plan import PlannedWeek, upkeep_of, week_of
from pointage.errors import MISSING, InputError, InputErrors
from pointage.language import language, say, speaking
from pointage.shown import showing, shown
from pointage.timetable.calendar import ceil_to_grid
from pointage.timetable.choice.memo import Memo
from pointage.timetable.pin import Pin
from pointage.timetable.ways.pinned import begins
from pointage.timetable.week.answer import WishAnswer

TypedWish = Mapping[str, str | list[str] | bool | dict[str, str]]
"""The keys of a [[wish]] of docs/week.md, as they were typed."""
AS_USUAL: Mapping[str, str] = {}
PATIENCE_S = 0.8
CAN_BE = "what can be baked"


@dataclass(frozen=True, slots=True)
class AskedWeek:
    """What was asked: the wishes as typed, what was typed in the form, and what was in hand.

    awake: somebody may be up in the sleeping hours.
    """

    wishes: str
    typed: tuple[tuple[str, str], ...]
    in_hand: tuple[tuple[str, int], ...]
    awake: bool = False


@dataclass(frozen=True, eq=False)
class SolvedWeek:
    """How a week stands that was asked for; found is None while it waits, or was stopped.

    so_far: while it waits, of each bake that can be planned the formula, and when it would be ready
    as far as that is known.
    """

    asked: AskedWeek
    found: PlannedWeek | None = None
    waits: bool = False
    so_far: tuple[tuple[str, datetime | None], ...] = ()


class WeekDesk:
    """The weeks that are asked for in one kitchen."""

    def __init__(self, kitchen: OneKitchen) -> None:
        self._in, self._memo = kitchen, Memo()

    def ask(
        self,
        entry: str,
        wishes: Sequence[TypedWish],
        typed: Mapping[str, str],
        now: datetime,
        *,
        awake: bool = False,
        lean: Mapping[str, str] = AS_USUAL,
    ) -> SolvedWeek:
        """Begin to plan those that can be used; what is wrong in the others stands in their rows.

        lean: the keys of [lean], as they were chosen. Raises InputErrors with every fault of every
        wish, at its place, where none can be.
        """
        present = self._in.present()
        text = "\n".join((lean_text(lean), *map(_table, wishes)))
        rows = read_wishes(text, WEEK, present, now, _no_file)
        if not rows:
            raise InputError("wish", MISSING, say("one bake at least"))
        faults = [fault for row in rows if row.fault for fault in row.fault.faults]
        if all(row.wish is None for row in rows):
            raise InputErrors(faults) if len(faults) > 1 else faults[0]
        asked = AskedWeek(text, tuple(sorted(typed.items())), _in_hand(present, now), awake)
        spoken, how = language(), shown()

        def work(job: Job) -> PlannedWeek:
            names = [row.formula for row in rows if row.wish is not None]

            def so_far(ready: tuple[datetime | None, ...]) -> None:
                job.so_far = tuple(zip(names, ready, strict=True))

            with speaking(spoken), showing(how):
                ways = tuple(_awake(row) for row in rows) if awake else rows
                return week_of(
                    present.kitchen, ways, now, perf_counter(), job.reached,
                    so_far=so_far, upkeep=upkeep_of(present, ways, now), memo=self._memo,
                    planner=self._in.jobs.planner,
                )  # fmt: skip

        answer = self._in.jobs.within(PATIENCE_S, (WEEK, entry), asked, work)
        return SolvedWeek(asked, answer.found, answer.waits)

    def look(self, entry: str) -> SolvedWeek | None:
        """How a week stands that was asked for; None for one that nobody knows of."""
        answer = self._in.jobs.look((WEEK, entry))
        if answer is None or not isinstance(answer.stamp, AskedWeek):
            return None
        so_far = answer.so_far if isinstance(answer.so_far, tuple) else ()
        return SolvedWeek(answer.stamp, answer.found, answer.waits, so_far)

    def can_be(
        self, by: datetime | None, now: datetime, *, again: bool = False
    ) -> JobAnswer[tuple[CanBe, ...]]:
        """What can be baked from now on, or by a time; asked again within the quarter hour, it is
        known. again: also where that was stopped."""
        if again:
            self._in.jobs.allow((WEEK, CAN_BE))
        present = self._in.present()
        quarter = ceil_to_grid(now)
        stamp = (_in_hand(present, now), present.change, quarter, by)
        spoken, how = language(), shown()

        def work(job: Job) -> tuple[CanBe, ...]:
            with speaking(spoken), showing(how):
                return can_be(present, quarter, by, job.reached)

        return self._in.jobs.awaited(PATIENCE_S, (WEEK, CAN_BE), stamp, work)

    def take(self, entry: str, week: str, now: datetime) -> None:
        """Put the bakes of a week in hand: all that have a plan, or none.

        Raises NotThere for a week that nobody knows of any more, and InputError, field "week", when
        other bakes are in hand than those it was planned around.
        """
        first = str(uuid5(UUID(entry), "0"))
        if self._in.store.entry(self._in.id, first) is not None:
            return
        there = self.look(week)
        if there is None or there.found is None or there.found.answer is None:
            raise NotThere("plan", week)
        present = self._in.present()
        if _in_hand(present, now) != there.asked.in_hand:
            raise InputError(
                "week", say("this week"), say("one planned around the bakes there are now")
            )
        answers = [each for each in there.found.answer.wishes if each.plan is not None]
        entries = [
            self._planned(str(uuid5(UUID(entry), str(number))), each, present, now)
            for number, each in enumerate(answers)
        ]
        self._in.store.append_all(self._in.id, entries)

    def _planned(self, name: str, each: WishAnswer, present: Present, now: datetime) -> Entry:
        plan, problem = each.plan, each.wish.problem
        assert plan is not None
        assert each.ready is not None
        slug = problem.formula.slug
        record = present.records.get(slug)
        wished = Wished(
            demonstration_formulas()[slug] if record is None else record.text,
            present.record.text,
            self._in.since,
            problem.piece_g,
            problem.culture,
            friction_of(present, problem.formula, problem.pieces, problem.piece_g).kelvin,
            present.flours,
            {name: how for name, how in words_of(each.wish.lean).items() if how != "usual"},
            _held(each),
        )
        body = write_plan(replace(plan, ready=each.ready), wished)
        return Entry(name, self._in.id, EntryKind.PLAN, now, now, AUTHOR, body)


def _held(each: WishAnswer) -> Pin | None:
    """The step that was wanted at a time, where it is now."""
    pin, problem = each.wish.pin, each.wish.problem
    if pin is None or each.plan is None or each.plan.thread is None:
        return None
    at = begins(pin, each.plan.thread, len(problem.builds), problem.process)
    return None if at is None else replace(pin, at=at)


def _in_hand(present: Present, now: datetime) -> tuple[tuple[str, int], ...]:
    bakes = present.replayed.bakes
    return tuple((each.key, bakes[each.key].stamp) for each in present.in_hand(now))


def _awake(row: WishRow) -> WishRow:
    """The wish with nobody asleep."""
    if row.wish is None:
        return row
    kitchen = row.wish.problem.kitchen
    up = replace(kitchen, hours=replace(kitchen.hours, sleep=()))
    return replace(row, wish=replace(row.wish, problem=replace(row.wish.problem, kitchen=up)))


def _table(wish: TypedWish) -> str:
    """A [[wish]] of what was typed; JSON's strings, lists and booleans are TOML's."""
    kept = {key: value for key, value in wish.items() if value != "" or key == "formula"}
    return "\n".join(["[[wish]]", *(f"{key} = {_value(each)}" for key, each in kept.items())])


def _value(value: object) -> str:
    if not isinstance(value, dict):
        return json.dumps(value)
    return f"{{ {', '.join(f'{json.dumps(k)} = {json.dumps(v)}' for k, v in value.items())} }}"


def _no_file(path: str, field: str) -> Any:
    raise InputError(field, repr(path), say("a formula of this kitchen"))
