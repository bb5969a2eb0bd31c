"""Sheets of a file of wishes: the week they make, and what is to be bought for them."""

from __future__ import annotations

from datetime import datetime

from pointage.desk.larder.shopping import view_of
from pointage.desk.now.present import Present
from pointage.desk.sheets.shopping import shopping_sheet
from pointage.desk.sheets.week import Task, bake_tasks, plan_tasks, shared_once, week_sheet
from pointage.desk.week.file import ReadBeside, WishRow, read_wishes
from pointage.desk.week.plan import upkeep_of, week_of
from pointage.desk.wording.needs import need_title
from pointage.documents.blocks import Sheet
from pointage.errors import InputError, InputErrors
from pointage.language import say


def wishes_week(
    text: str, source: str, beside: ReadBeside, present: Present, now: datetime
) -> Sheet:
    """The week of the wishes, beside what is planned already. Raises InputError for any that cannot
    be planned: a sheet that lacks a bake would look whole."""
    rows = _rows(text, source, beside, present, now)
    upkeep = upkeep_of(present, rows, now)
    found = week_of(present.kitchen, rows, now, began=0.0, upkeep=upkeep)
    answers = [found.of_row(number) for number in range(len(rows))]
    lost = [n + 1 for n, each in enumerate(answers) if each is None or each.plan is None]
    if lost:
        numbers = ", ".join(map(str, lost))
        expected = say("wishes that can be planned; pointage week says what is in the way")
        raise InputError("wish", numbers, expected)
    plans = [each.plan for each in answers if each is not None and each.plan is not None]
    bakes = present.in_hand(now)
    hands = [task for bake in bakes for task in bake_tasks(bake)]
    named = {f"wish-{number}": plan for number, plan in enumerate(plans, 1)}
    hands += [task for name, plan in named.items() for task in plan_tasks(plan, name)]
    named |= {bake.key: bake.plan for bake in bakes}
    hands = shared_once(hands, present.kitchen, named)
    hands += [
        Task(
            f"culture/{step.key}", step.start, step.end, need_title(need), need.culture, step.place
        )
        for need, step in found.upkeep()
    ]
    ready = [(b.plan.formula, b.plan.pieces, b.plan.ready) for b in bakes]
    ready += [(plan.formula, plan.pieces, plan.ready) for plan in plans]
    hands.sort(key=lambda task: (task.start, task.key))
    return week_sheet(hands, sorted(ready, key=lambda each: each[2]), present, now)


def wishes_shopping(
    text: str, source: str, beside: ReadBeside, present: Present, now: datetime
) -> Sheet:
    """What is to be bought for them, beside what is planned already. Raises InputError."""
    rows = _rows(text, source, beside, present, now)
    wishes = [row.wish for row in rows if row.wish is not None]
    view = view_of(present, now)
    lines = view.shopping([(each.problem.formula, each.problem.pieces) for each in wishes])
    until = max([view.until, *(each.last for each in wishes)])
    return shopping_sheet(lines, until, present, now)


def _rows(
    text: str, source: str, beside: ReadBeside, present: Present, now: datetime
) -> tuple[WishRow, ...]:
    rows = tuple(read_wishes(text, source, present, now, beside))
    wrong = [fault for row in rows if row.fault for fault in row.fault.faults]
    if wrong:
        raise InputErrors(wrong)
    return rows
