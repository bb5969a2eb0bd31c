"""Plan several bakes: the form, the work, what was found, and taking it."""

from __future__ import annotations

from starlette.responses import Response
from starlette.routing import Route

from pointage.desk.answers import NotThere
from pointage.desk.week.desk import SolvedWeek
from pointage.desk.week.file import MOST_WISHES
from pointage.errors import InputError
from pointage.language import say
from pointage.web.forms.faults import under_field
from pointage.web.screens.wishes.form import (
    FIRST_ROWS,
    besides,
    blank_row,
    lean_of,
    row_forms,
    rows_of,
    typed_of,
    wish_of,
    wishes_page,
)
from pointage.web.screens.wishes.page import WeekWaitsPage
from pointage.web.screens.wishes.view import answer_page
from pointage.web.visit import Visit, reads, whole, writes

MOST_FIELDS = 15 * MOST_WISHES + 8


def blank(visit: Visit) -> Response:
    return visit.show(wishes_page(visit, [blank_row(visit, n) for n in range(FIRST_ROWS)]))


def sent(visit: Visit) -> Response:
    """The form with a row more or less, or what becomes of the wishes."""
    rows = rows_of(visit.fields)
    if "add" in visit.fields and len(rows) < MOST_WISHES:
        rows.append(blank_row(visit, len(rows)))
        return visit.show(wishes_page(visit, rows, typed=visit.fields))
    number = whole(visit.fields.get("remove", ""))
    if number is not None and 0 < number <= len(rows):
        del rows[number - 1]
        return visit.show(wishes_page(visit, rows, typed=visit.fields))
    if "edit" in visit.fields:
        return visit.show(wishes_page(visit, rows, typed=visit.fields))
    if not rows:
        above = say("There is no bake in it: add one.")
        return visit.show(wishes_page(visit, [blank_row(visit, 0)], above=above), 422)
    extra = besides(visit.fields)
    typed, wishes, entry = typed_of(rows) | extra, [wish_of(row) for row in rows], visit.entry()
    try:
        visit.desk.week.ask(
            entry, wishes, typed, visit.now, awake="awake" in extra, lean=lean_of(extra)
        )
    except InputError as error:
        return visit.show(wishes_page(visit, rows, error, typed=extra), 422)
    return visit.go(f"/week/plan/{entry}")


def asked(visit: Visit) -> Response:
    """How a week stands that was asked for."""
    week = visit.request.path_params["entry"]
    solved = visit.desk.week.look(week)
    return visit.go("/week/plan") if solved is None else _shown(visit, week, solved)


def _shown(visit: Visit, week: str, solved: SolvedWeek, error: str = "") -> Response:
    if solved.found is None:
        words = say("The progress is shown below; the week opens by itself when it is done.")
        if not solved.waits:
            words = say("Planning was stopped and nothing was saved.")
        typed = tuple(solved.asked.typed)
        so_far = tuple(
            (formula, None if ready is None else visit.clock.dated(ready))
            for formula, ready in solved.so_far
        )
        return visit.show(WeekWaitsPage(visit.frame("week"), words, solved.waits, typed, so_far))
    bakes = visit.desk.bakes()
    rows = row_forms(visit, rows_of(dict(solved.asked.typed)), solved.found.faults)
    page = answer_page(
        solved,
        week,
        bakes=bakes,
        kitchen=visit.kitchen,
        clock=visit.clock,
        frame=visit.frame("week"),
        rows=rows,
        error=error,
    )
    return visit.show(page, 422 if error else 200)


def take(visit: Visit) -> Response:
    """All bakes of a week are planned, or none."""
    week = visit.field("week")
    try:
        visit.desk.week.take(visit.entry(), week, visit.now)
    except NotThere:
        return visit.go("/week/plan")
    except InputError as error:
        solved = visit.desk.week.look(week)
        if error.field != "week" or solved is None:
            raise
        return _shown(visit, week, solved, under_field(error))
    return visit.go("/week")


ROUTES = [
    Route("/week/plan", reads(blank), methods=["GET"]),
    Route("/week/plan", writes(sent, MOST_FIELDS), methods=["POST"]),
    Route("/week/plan/take", writes(take), methods=["POST"]),
    # Made anew each time it is asked for: work goes on while the store stays as it is.
    Route("/week/plan/{entry}", writes(asked), methods=["GET"]),
]
