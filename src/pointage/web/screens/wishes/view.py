"""What becomes of several wishes, in words and as the week's drawing."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from pointage.desk.answers import Bake
from pointage.desk.week.desk import SolvedWeek
from pointage.desk.week.loads import PeakLoad
from pointage.desk.week.plan import PlannedWeek
from pointage.desk.wording import is_likely, odds_words
from pointage.desk.wording.week import clash_sentence, relief_words
from pointage.kitchen.kitchen import Kitchen
from pointage.language import say
from pointage.quantities import print_number
from pointage.web.frame import Frame
from pointage.web.screens.week.drawing import week_drawing
from pointage.web.screens.week.view import day_rows, shown_days
from pointage.web.screens.wishes.form import rows_of, typed_of
from pointage.web.screens.wishes.page import AnswerPage, ClashNote, WeekWayOut, WishLine
from pointage.web.words.clock import Clock
from pointage.web.words.words import count


def answer_page(
    solved: SolvedWeek,
    week: str,
    *,
    loads: Sequence[PeakLoad],
    bakes: Sequence[Bake],
    kitchen: Kitchen,
    clock: Clock,
    frame: Frame,
    error: str = "",
) -> AnswerPage:
    """What becomes of the wishes. bakes: those in hand."""
    found = solved.found
    assert found is not None
    answers = found.answer.wishes if found.answer else ()
    new = [Bake(f"wish {n}", each.plan) for n, each in enumerate(answers, start=1) if each.plan]
    every = [*bakes, *new]
    days = shown_days(every, clock)
    sent = tuple(solved.asked.typed)
    return AnswerPage(
        frame=frame,
        week=week,
        status=_status(found),
        wishes=tuple(_line(found, number, clock) for number in range(len(found.rows))),
        clashes=tuple(_clashes(found, dict(sent), clock)),
        drawing=week_drawing(every, days, kitchen, clock) if new else None,
        drawing_words=say("The week as a drawing; the same is listed day by day below."),
        loads=tuple(_load(each, clock) for each in loads),
        days=day_rows(days, every, kitchen, clock) if new else (),
        sent=sent,
        can_take=len(new),
        error=error,
    )


def _status(found: PlannedWeek) -> str:
    answer = found.answer
    if answer is None or answer.status.value == "impossible":
        return say("Not all of it can be kept. The rest is planned below, with the ways out.")
    if any(each.plan is None for each in answer.wishes):
        return say("What must be kept is kept; what need not be is left out where it says so.")
    if answer.status.value == "optimal":
        return say("All of it is kept, and none of the ways that were weighed is better.")
    gap = print_number(max(0.0, answer.penalty - answer.bound))
    return say("All of it is kept. Another choice might be up to {gap} penalty hours better.",
               gap=gap)  # fmt: skip


def _line(found: PlannedWeek, number: int, clock: Clock) -> WishLine:
    row, answer = found.rows[number], found.of_row(number)
    plan = answer.plan if answer else None
    if answer is None or plan is None or answer.ready is None:
        return WishLine(row.formula, None, "", False, say("left out"))
    odds = answer.odds
    words, facts = "", [] if answer.kept else [say("later than wanted")]
    if odds is not None:
        words = say("kept: {odds}", odds=odds_words(odds.by_signs))
        facts.append(say("by the clock alone: {odds}", odds=odds_words(odds.by_clock)))
    return WishLine(
        f"{row.formula}, {count(plan.pieces, 'piece')}",
        clock.dated(answer.ready),
        words,
        odds is not None and is_likely(odds.by_signs),
        "; ".join(facts),
    )


def _clashes(found: PlannedWeek, typed: dict[str, str], clock: Clock) -> Iterator[ClashNote]:
    for clash in found.answer.clashes if found.answer else ():
        ways = []
        for each in clash.ways_out:
            words = relief_words(each, found.rows, found.numbers, clock.zone)
            rows, extra = rows_of(typed), {}
            at = None if each.wish is None else found.numbers[each.wish]
            if at is not None and each.ready is not None:
                local = clock.local(each.ready)
                time = {"day": local.date().isoformat(), "clock": f"{local:%H:%M}"}
                rows[at] |= {"when": "ready", **time}
            elif at is not None:
                del rows[at]
            else:
                extra = {"awake": "1"}
            if rows:
                kept = {"awake": typed["awake"]} if "awake" in typed else {}
                ways.append(WeekWayOut(words, tuple((typed_of(rows) | kept | extra).items())))
        sentence = clash_sentence(clash, found.rows, found.numbers, clock.zone)
        yield ClashNote(sentence, tuple(ways))


def _load(load: PeakLoad, clock: Clock) -> str:
    most = print_number(load.most, 1) + (f" {load.unit}" if load.unit == "l" else "")
    at = clock.span(load.start, load.end)
    if load.whole is None:
        return say("{name}: {most} at once, {at}", name=load.name, most=most, at=at)
    whole = print_number(load.whole, 1) + (f" {load.unit}" if load.unit == "l" else "")
    return say("{name}: at most {most} of {whole}, {at}", name=load.name, most=most, whole=whole,
               at=at)  # fmt: skip
