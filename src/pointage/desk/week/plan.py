"""Plan a week: from a file of wishes to what becomes of each, and the steps of all."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import datetime
from time import perf_counter
from typing import Any
from zoneinfo import ZoneInfo

from pointage.desk.at_hand import at_hand_at
from pointage.desk.bakes.plan import iso, step_json
from pointage.desk.week.file import ReadBeside, WishRow, read_wishes
from pointage.desk.week.lean import words_of
from pointage.desk.wording import cautions
from pointage.desk.wording.week import clash_words
from pointage.errors import Faults, InputError
from pointage.kitchen.kitchen import Kitchen
from pointage.timetable.plan import Step, StepKind
from pointage.timetable.ways.lean import AS_USUAL, Lean
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
        """All steps in order, each with the number of its row and its wish."""
        found = [
            (number, answer, step)
            for number, answer in zip(
                self.numbers, self.answer.wishes if self.answer else (), strict=True
            )
            if answer.plan
            for step in answer.plan.steps
        ]
        return sorted(found, key=lambda each: (each[2].start, each[2].end, each[0]))


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
    return week_of(present.kitchen, rows, actual, began, reached)


def week_of(
    kitchen: Kitchen,
    rows: Sequence[WishRow],
    now: datetime,
    began: float,
    reached: Callable[[float], None] = lambda share: None,
    *,
    so_far: SoFar = lambda ready: None,
) -> PlannedWeek:
    """The week of wishes that were read; began: by the program's own clock, for its seconds."""
    numbers = tuple(i for i, row in enumerate(rows) if row.wish is not None)
    wishes = tuple(row.wish for row in rows if row.wish is not None)
    answer = (
        plan_week(WeekQuestion(kitchen, now, wishes), reached, so_far=so_far) if wishes else None
    )
    return PlannedWeek(kitchen, tuple(rows), numbers, answer, perf_counter() - began)


def week_json(found: PlannedWeek) -> dict[str, Any]:
    """The JSON object of `pointage week`: instants are ISO 8601 in the kitchen's zone."""
    zone = found.kitchen.zone
    answer = found.answer
    plans = [each.plan for each in answer.wishes if each.plan] if answer else []
    return {
        "status": "impossible" if answer is None else answer.status.value,
        "penalty": None if answer is None else round(answer.penalty, 3),
        "bound": None if answer is None else round(answer.bound, 3),
        "lean": words_of(found.lean),
        "seconds": round(found.seconds, 3),
        "zone": zone.key,
        "wishes": [_wish_json(found, number) for number in range(len(found.rows))],
        "steps": [
            {
                **step_json(step, zone),
                **_when(answer_, step, zone),
                "wish": number + 1,
                "also": _also(found, answer_, step),
            }
            for number, answer_, step in found.steps()
        ],
        "conflicts": [
            clash_words(clash, found.rows, found.numbers, zone)
            for clash in (answer.clashes if answer else ())
        ],
        "cautions": list(dict.fromkeys(text for plan in plans for text in cautions(plan))),
    }


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


def _also(found: PlannedWeek, answer: WishAnswer, step: Step) -> list[int]:
    """The other wishes, by number from 1, that a step is for as well."""
    shared = answer.shared_by if step.kind is StepKind.FEED else ()
    return [found.numbers[each] + 1 for each in shared]


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
        "faults": [str(fault) for fault in row.fault.faults] if row.fault else [],
    }
