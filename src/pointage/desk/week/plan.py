"""Plan a week: from a file of wishes to what becomes of each, and the steps of all."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from time import perf_counter
from typing import Any
from zoneinfo import ZoneInfo

from pointage.desk.at_hand import at_hand_at
from pointage.desk.bakes.plan import iso, step_json
from pointage.desk.now.present import Present
from pointage.desk.planner.planner import HERE, Planner
from pointage.desk.week.file import ReadBeside, WishRow, read_wishes
from pointage.desk.week.lean import words_of
from pointage.desk.week.upkeep import NO_UPKEEP, WeekUpkeep, as_step, week_upkeep
from pointage.desk.wording import cautions
from pointage.desk.wording.needs import need_title
from pointage.desk.wording.week import clash_words, missed_words
from pointage.errors import Faults, InputError
from pointage.kitchen.kitchen import Kitchen
from pointage.kitchen.needs import CultureNeed
from pointage.timetable.calendar import ceil_to_grid
from pointage.timetable.choice.memo import Memo
from pointage.timetable.joint import JointBuild
from pointage.timetable.pin import Pin
from pointage.timetable.plan import Step, StepKind
from pointage.timetable.rescue.kept_to import NOTICED
from pointage.timetable.upkeep.task import PlacedTask
from pointage.timetable.ways.lean import AS_USUAL, Lean
from pointage.timetable.ways.pinned import begins
from pointage.timetable.week.answer import WeekAnswer, WishAnswer
from pointage.timetable.week.question import WantedWhen, WeekQuestion
from pointage.timetable.week.week import SoFar, plan_week


@dataclass(frozen=True, eq=False)
class PlannedWeek:
    """The wishes as they were typed, and the answer to those that can be planned.

    numbers: of the answer's wishes, which of the rows, from 0. answer: None where none can be.
    """

    kitchen: Kitchen
    rows: tuple[WishRow, ...]
    numbers: tuple[int, ...]
    answer: WeekAnswer | None
    seconds: float

    @property
    def lean(self) -> Lean:
        """What is leaned to: the same in every wish of a file."""
        return next((row.wish.lean for row in self.rows if row.wish is not None), AS_USUAL)

    @property
    def faults(self) -> list[InputError]:
        """What is wrong in the wishes that are not planned."""
        return [fault for row in self.rows if row.fault for fault in row.fault.faults]

    def of_row(self, number: int) -> WishAnswer | None:
        if self.answer is None or number not in self.numbers:
            return None
        return self.answer.wishes[self.numbers.index(number)]

    def steps(self) -> list[tuple[int, WishAnswer, Step]]:
        """All steps in order, each with the number of its row and its wish.

        What several share is one step, with the first of them.
        """
        joint = self._joint
        found = [
            (number, answer, step if build is None else build.step)
            for n, (number, answer) in enumerate(
                zip(self.numbers, self.answer.wishes if self.answer else (), strict=True)
            )
            if answer.plan
            for step in answer.plan.steps
            for build in [joint.get((n, step.key))]
            if build is None or build.parts[0].plan == n
        ]
        return sorted(found, key=lambda each: (each[2].start, each[2].end, each[0]))

    def upkeep(self) -> list[tuple[CultureNeed, Step]]:
        """What the cultures need beside the bakes, in order, as steps."""
        found, counts = [], Counter[str]()
        for each in self.answer.upkeep if self.answer else ():
            counts[each.task.culture] += 1
            step = as_step(each, self.kitchen, counts[each.task.culture])
            if step is not None:
                found.append((each.task.need, step))
        return sorted(found, key=lambda each: each[1].start)

    @property
    def missed(self) -> list[PlacedTask]:
        """What the cultures need for which nobody is free in time."""
        placed = self.answer.upkeep if self.answer else ()
        return [each for each in placed if each.start is None]

    def parts(self, number: int, step: Step) -> list[tuple[int, float]]:
        """Of a build for several: each row that has a part of it, and grams; else none."""
        if number not in self.numbers:
            return []
        build = self._joint.get((self.numbers.index(number), step.key))
        return [(self.numbers[each.plan], each.grams) for each in build.parts] if build else []

    @property
    def _joint(self) -> Mapping[tuple[int, str], JointBuild]:
        builds = self.answer.joint if self.answer else ()
        return {(each.plan, each.key): build for build in builds for each in build.parts}


def week_text(
    wishes_text: str,
    source: str,
    beside: ReadBeside,
    *,
    kitchen_text: str | None = None,
    kitchen_source: str | None = None,
    now: str | None = None,
    faults: Faults | None = None,
    reached: Callable[[float], None] = lambda share: None,
) -> PlannedWeek:
    """The week of a file's wishes. faults: of what was read before. Raises InputError."""
    faults = faults or Faults()
    faults.check()
    began = perf_counter()
    present, actual = at_hand_at(now, None, kitchen_text, kitchen_source)
    rows = read_wishes(wishes_text, source, present, actual, beside)
    return week_of(
        present.kitchen, rows, actual, began, reached, upkeep=upkeep_of(present, rows, actual)
    )


def week_of(
    kitchen: Kitchen,
    rows: Sequence[WishRow],
    now: datetime,
    began: float,
    reached: Callable[[float], None] = lambda share: None,
    *,
    so_far: SoFar = lambda ready: None,
    upkeep: WeekUpkeep = NO_UPKEEP,
    memo: Memo | None = None,
    planner: Planner = HERE,
) -> PlannedWeek:
    """The week of wishes that were read; began: by the program's own clock, for its seconds.

    It is planned from the next quarter of an hour on, before which nothing would begin: so what was
    worked out since the last serves again. upkeep: what the cultures need beside them. memo: what
    was worked out. planner: who solves it.
    """
    quarter = ceil_to_grid(now)
    numbers = tuple(i for i, row in enumerate(rows) if row.wish is not None)
    wishes = tuple(
        replace(row.wish, problem=replace(row.wish.problem, now=quarter))
        for row in rows
        if row.wish is not None
    )
    needs = (upkeep.cultures, upkeep.tasks, upkeep.occupied)
    question = WeekQuestion(kitchen, quarter, wishes, *needs)
    is_asked = bool(wishes) or not rows
    answer = None
    if is_asked:
        answer = planner.ask(plan_week, question, reached=reached, so_far=so_far, memo=memo)
    return PlannedWeek(kitchen, tuple(rows), numbers, answer, perf_counter() - began)


def upkeep_of(present: Present, rows: Sequence[WishRow], now: datetime) -> WeekUpkeep:
    """What the cultures need through the week of some wishes."""
    last = [row.wish.last for row in rows if row.wish is not None]
    return week_upkeep(present, now, max(last, default=None))


def week_json(found: PlannedWeek) -> dict[str, Any]:
    """The JSON object of `pointage week`: instants are ISO 8601 in the kitchen's zone."""
    zone = found.kitchen.zone
    answer = found.answer
    plans = [each.plan for each in answer.wishes if each.plan] if answer else []
    return {
        "status": "impossible" if answer is None else answer.status.value,
        "penalty": None if answer is None else round(answer.penalty, 3),
        "bound": None if answer is None else round(answer.bound, 3),
        "gap": None if answer is None else round(answer.gap, 4),
        "lean": words_of(found.lean),
        "seconds": round(found.seconds, 3),
        "zone": zone.key,
        "wishes": [_wish_json(found, number) for number in range(len(found.rows))],
        "steps": sorted(
            [
                *(
                    {
                        **step_json(step, zone),
                        **_when(answer_, step, zone),
                        "wish": number + 1,
                        "also": _also(found, number, answer_, step),
                        "parts": [
                            {"wish": row + 1, "grams": grams}
                            for row, grams in found.parts(number, step)
                        ],
                        "culture": None,
                    }
                    for number, answer_, step in found.steps()
                ),
                *_upkeep_json(found, zone),
            ],
            key=lambda row: datetime.fromisoformat(row["start"]),
        ),
        "conflicts": [
            *(
                clash_words(clash, found.rows, found.numbers, zone)
                for clash in (answer.clashes if answer else ())
            ),
            *(missed_words(each, zone) for each in found.missed),
        ],
        "cautions": list(dict.fromkeys(text for plan in plans for text in cautions(plan))),
    }


def _upkeep_json(found: PlannedWeek, zone: ZoneInfo) -> list[dict[str, Any]]:
    """What the cultures need as rows of the steps: `kind` is the need's."""
    placed = found.answer.upkeep if found.answer else ()
    windows = {(each.task.culture, each.start): each.task for each in placed}
    return [
        {
            **step_json(step, zone),
            "kind": need.kind.value,
            "title": need_title(need),
            "earliest": iso(windows[need.culture, step.start].earliest, zone),
            "latest": iso(windows[need.culture, step.start].latest, zone),
            "look": None,
            "wish": None,
            "also": [],
            "parts": [],
            "culture": need.culture,
        }
        for need, step in found.upkeep()
    ]


def _when(answer: WishAnswer, step: Step, zone: ZoneInfo) -> dict[str, Any]:
    """From when until when a step is done by the signs, and the look at what then stands."""
    window = next((each for each in answer.windows if each.key == step.key), None)
    look = None if window is None else window.look
    return {
        "earliest": None if window is None else iso(window.earliest, zone),
        "latest": None if window is None else iso(window.latest, zone),
        "look": None
        if look is None
        else {
            "at": iso(look.at, zone),
            "again": iso(look.again, zone),
            "until": iso(look.until, zone),
            "then": look.then,
        },
    }


def _also(found: PlannedWeek, number: int, answer: WishAnswer, step: Step) -> list[int]:
    """The other wishes, by number from 1, that a step is for as well."""
    shared = answer.shared_by if step.kind is StepKind.FEED else ()
    rows = [row for row, _ in found.parts(number, step) if row != number]
    return [each + 1 for each in (*(found.numbers[other] for other in shared), *rows)]


def pinned_at(answer: WishAnswer) -> tuple[Pin, datetime | None] | None:
    """The step that a wish wants at a time, and when it begins; None where no step is."""
    pin, plan = answer.wish.pin, answer.plan
    if pin is None:
        return None
    problem, thread = answer.wish.problem, plan.thread if plan else None
    at = None if thread is None else begins(pin, thread, len(problem.builds), problem.process)
    return pin, at


def off_its_pin(answer: WishAnswer) -> tuple[datetime, Step] | None:
    """When a step is wanted that cannot be then, and the step where it is; None where none is."""
    found, plan = pinned_at(answer), answer.plan
    pin, at = found or (None, None)
    if pin is None or at is None or plan is None or abs(at - pin.at) < NOTICED:
        return None
    steps = (each for each in plan.steps if each.kind is pin.kind)
    return pin.at, min(steps, key=lambda each: abs(each.start - at))


def _at(answer: WishAnswer, zone: ZoneInfo) -> dict[str, Any] | None:
    found = pinned_at(answer)
    if found is None:
        return None
    pin, at = found
    return {
        "step": pin.kind.value,
        "number": pin.number,
        "wanted": iso(pin.at, zone),
        "begins": None if at is None else iso(at, zone),
    }


def _wish_json(found: PlannedWeek, number: int) -> dict[str, Any]:
    row, answer, zone = found.rows[number], found.of_row(number), found.kitchen.zone
    times = [iso(at, zone) for at in row.wanted]
    wanted: Any = times[0] if len(times) == 1 else times or None
    if row.earliest:
        wanted = WantedWhen.EARLIEST.value
    plan = answer.plan if answer else None
    odds = answer.odds if answer else None
    return {
        "wish": number + 1,
        "formula": row.formula,
        "culture": plan.culture if plan else None,
        "stage": row.stage,
        "pieces": plan.pieces if plan else None,
        "piece_g": plan.piece_g if plan else None,
        "wanted": wanted,
        "ready": iso(answer.ready, zone) if answer and answer.ready else None,
        "kept": bool(answer and answer.kept),
        "odds": None if odds is None else round(odds.by_signs, 3),
        "odds_by_clock": None if odds is None else round(odds.by_clock, 3),
        "odds_watched": None if odds is None else round(odds.watched, 3),
        "firm": row.wish.firm if row.wish else None,
        "at": None if answer is None else _at(answer, zone),
        "faults": [str(fault) for fault in row.fault.faults] if row.fault else [],
    }
