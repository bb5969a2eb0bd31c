"""What becomes of several wishes, in words and as the week's drawing."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import timedelta

from pointage.desk.answers import Bake
from pointage.desk.bakes.plan import shortage_words
from pointage.desk.week.desk import SolvedWeek
from pointage.desk.week.loads import loads_of
from pointage.desk.week.plan import PlannedWeek, off_its_pin, pinned_at
from pointage.desk.wording import is_likely, odds_words, title
from pointage.desk.wording.steps import short_title
from pointage.desk.wording.week import clash_sentence, missed_sentence, relief_words
from pointage.kitchen.kitchen import Kitchen
from pointage.language import say, say_many
from pointage.web.frame import Frame
from pointage.web.screens.week.drawing import week_drawing
from pointage.web.screens.week.loads import loads_block
from pointage.web.screens.week.upkeep import upkeep_beads, with_upkeep
from pointage.web.screens.week.view import day_rows, shown_days
from pointage.web.screens.wishes.form import besides, rows_of, typed_of
from pointage.web.screens.wishes.page import (
    AnswerPage,
    ClashNote,
    WeekWayOut,
    WishLine,
    WishRowForm,
)
from pointage.web.words.clock import Clock
from pointage.web.words.words import count, lower_first


def answer_page(
    solved: SolvedWeek,
    week: str,
    *,
    bakes: Sequence[Bake],
    kitchen: Kitchen,
    clock: Clock,
    frame: Frame,
    rows: Sequence[WishRowForm],
    error: str = "",
) -> AnswerPage:
    """What becomes of the wishes. bakes: those in hand. rows: of the form, with their faults."""
    found = solved.found
    assert found is not None
    faulty = {number for number, row in enumerate(found.rows) if row.fault}
    answers = found.answer.wishes if found.answer else ()
    new = [Bake(f"wish {n}", each.plan) for n, each in enumerate(answers, start=1) if each.plan]
    every = [*bakes, *new]
    days = shown_days(every, clock)
    upkeep = upkeep_beads(found)
    ends = max((clock.local(bead.at).date() for bead in upkeep), default=days[-1])
    days += [days[-1] + timedelta(days=n + 1) for n in range((ends - days[-1]).days)]
    sent = tuple(solved.asked.typed)
    return AnswerPage(
        frame=frame,
        week=week,
        status=_status(found),
        wishes=tuple(
            WishLine(found.rows[number].formula, None, "", False, "", row)
            if number in faulty
            else _line(found, number, clock)
            for number, row in enumerate(rows)
        ),
        clashes=tuple(_clashes(found, dict(sent), clock)),
        drawing=week_drawing(every, days, kitchen, clock, upkeep=upkeep) if new else None,
        drawing_words=say("The week as a drawing; the same is listed day by day below."),
        loads=loads_block(loads_of([each.plan for each in every], kitchen), days, clock),
        days=with_upkeep(day_rows(days, every, kitchen, clock), days, upkeep, clock) if new else (),
        missed=tuple(missed_sentence(each, clock.zone) for each in found.missed),
        sent=sent,
        can_take=len(new),
        error=error,
        usable=tuple(
            each
            for each in sent
            if not any(each[0].startswith(f"wish-{number + 1}-") for number in faulty)
        )
        if faulty
        else (),
    )


def _status(found: PlannedWeek) -> str:
    answer = found.answer
    if wrong := sum(row.fault is not None for row in found.rows):
        marked = say_many(
            "{n} bake cannot be planned as it was typed, and is marked below.",
            "{n} bakes cannot be planned as they were typed, and are marked below.",
            wrong,
        )
        if answer and all(each.plan for each in answer.wishes):
            return say("{marked} The rest can be done.", marked=marked)
        return say("{marked} Not all of the rest can be done; see the ways out.", marked=marked)
    if answer is None or answer.status.value == "impossible":
        return say("Not everything can be done. The rest is planned below, with the ways out.")
    if any(each.plan is None for each in answer.wishes):
        return say("All that is firm can be done; the rest is left out where it says so.")
    if answer.status.value == "optimal":
        return say("Everything can be done, and of the ways that were compared none is better.")
    return say("Everything can be done. A slightly better choice may exist.")


def _line(found: PlannedWeek, number: int, clock: Clock) -> WishLine:
    row, answer = found.rows[number], found.of_row(number)
    plan = answer.plan if answer else None
    if answer is None or plan is None or answer.ready is None:
        return WishLine(row.formula, None, "", False, say("left out"))
    odds = answer.odds
    words, facts = "", [] if answer.kept else [say("later than wanted")]
    facts += map(shortage_words, plan.shortages)
    facts += _step_words(found, number, clock)
    if odds is not None:
        words = say("on time and good: {odds}", odds=odds_words(odds.by_signs))
        facts.append(say("by the clock alone: {odds}", odds=odds_words(odds.by_clock)))
    return WishLine(
        f"{row.formula}, {count(plan.pieces, 'piece')}",
        clock.dated(answer.ready),
        words,
        odds is not None and is_likely(odds.by_signs),
        "; ".join(facts),
    )


def _step_words(found: PlannedWeek, number: int, clock: Clock) -> Iterator[str]:
    """That a step begins when it is wanted, or that it cannot and what is nearest."""
    answer = found.of_row(number)
    pin, at = (answer and pinned_at(answer)) or (None, None)
    if answer is None or pin is None or answer.plan is None:
        return
    if (off := off_its_pin(answer)) is not None:
        wanted, step = off
        yield say("{step} at {wanted} cannot be; the nearest is {at}",
                  step=lower_first(title(step)), wanted=clock.text(wanted),
                  at=clock.text(step.start))  # fmt: skip
    elif at is not None:
        steps = (each for each in answer.plan.steps if each.kind is pin.kind)
        step = min(steps, key=lambda each: abs(each.start - at))
        yield say("{step} at {at}, as wanted", step=lower_first(title(step)), at=clock.text(at))
    else:
        yield say("{step} is not among its steps", step=short_title(pin.kind))


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
                sent = typed_of(rows) | besides(typed) | extra
                ways.append(WeekWayOut(words, tuple(sent.items())))
        sentence = clash_sentence(clash, found.rows, found.numbers, clock.zone)
        yield ClashNote(sentence, tuple(ways))
