"""The Week: a sentence, the drawing, each bake in words, and the list of every day."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, timedelta

from markupsafe import Markup

from pointage.desk.answers import Bake
from pointage.desk.bakes.plan import shortage_words
from pointage.desk.moves.step import held_step, movable_steps
from pointage.desk.now.bakes.bake import steps_left
from pointage.desk.week.loads import loads_of
from pointage.desk.wording import odds_words, title
from pointage.kitchen.kitchen import Kitchen
from pointage.language import mark, say, say_many
from pointage.timetable.plan import Step, StepKind
from pointage.web.drawing.coming import how_long_where
from pointage.web.frame import Frame
from pointage.web.screens.week.drawing import day_strip, week_drawing
from pointage.web.screens.week.loads import loads_block
from pointage.web.screens.week.page import AgendaLine, BakeNote, DayRow, WeekPage
from pointage.web.words.clock import Clock
from pointage.web.words.conflicts import conflict_notes
from pointage.web.words.words import count, length, lower_first

SHOWN = 7
SEVERAL = {
    2: mark("Two bakes, the first out {time}"),
    3: mark("Three bakes, the first out {time}"),
    4: mark("Four bakes, the first out {time}"),
    5: mark("Five bakes, the first out {time}"),
    6: mark("Six bakes, the first out {time}"),
    7: mark("Seven bakes, the first out {time}"),
    8: mark("Eight bakes, the first out {time}"),
    9: mark("Nine bakes, the first out {time}"),
}


def week_page(kitchen: Kitchen, bakes: Sequence[Bake], clock: Clock, frame: Frame) -> WeekPage:
    ordered = sorted(bakes, key=lambda bake: bake.plan.ready)
    days = shown_days(ordered, clock)
    return WeekPage(
        frame=frame,
        sentence=_sentence(ordered, clock),
        drawing=_drawing(ordered, days, kitchen, clock) if ordered else None,
        drawing_words=say("The week as a drawing; the same is listed day by day below."),
        bakes=tuple(_bake_note(bake, clock) for bake in ordered),
        days=day_rows(days, ordered, kitchen, clock) if ordered else (),
        loads=loads_block(loads_of([each.plan for each in ordered], kitchen), days, clock),
    )


def _drawing(bakes: Sequence[Bake], days: Sequence[date], kitchen: Kitchen, clock: Clock) -> Markup:
    movable = {each.key: movable_names(each) for each in bakes}
    there = {key: names for key, names in movable.items() if names}
    return week_drawing(bakes, days, kitchen, clock, movable=there)


def held_words(step: Step, clock: Clock) -> str:
    """That a step stays wanted at its time."""
    return say("held at {time}", time=clock.text(step.start))


def movable_names(bake: Bake) -> dict[str, str]:
    """The steps of a bake that can be moved, by key, with their names."""
    return {step.key: title(step) for step in movable_steps(bake)}


def day_rows(
    days: Sequence[date], bakes: Sequence[Bake], kitchen: Kitchen, clock: Clock
) -> tuple[DayRow, ...]:
    """The list of every day."""
    return tuple(_day(day, bakes, kitchen, clock) for day in days)


def shown_days(bakes: Sequence[Bake], clock: Clock) -> list[date]:
    """Seven days or more: from today, or from the first step of a bake in hand, to the last."""
    steps = [step for bake in bakes for step in bake.plan.steps]
    first = min([clock.today, *(clock.local(step.start).date() for step in steps)])
    last = max([first + timedelta(days=SHOWN - 1), *(clock.local(s.end).date() for s in steps)])
    return [first + timedelta(days=n) for n in range((last - first).days + 1)]


def _sentence(bakes: Sequence[Bake], clock: Clock) -> str:
    if not bakes:
        return say("Nothing is planned")
    plan, number = bakes[0].plan, len(bakes)
    time = clock.dated(plan.ready).text
    if number == 1:
        return say(
            "{formula}, {pieces}, out of the oven {time}",
            formula=plan.formula,
            pieces=count(plan.pieces, "piece"),
            time=time,
        )
    if number in SEVERAL:
        return say(SEVERAL[number], time=time)
    return say_many(
        "{n} bake, the first out {time}", "{n} bakes, the first out {time}", number, time=time
    )


def _bake_note(bake: Bake, clock: Clock) -> BakeNote:
    hands = [step for step in bake.plan.steps if step.hands]
    facts = []
    odds = [
        step.ripe_odds for step in hands if step.ripe_odds is not None and step.kind is StepKind.MIX
    ]
    if odds:
        facts.append(say("levain ripe for the mix: {odds}", odds=odds_words(min(odds))))
    if hands:
        work = sum((step.end - step.start for step in hands), timedelta(0))
        left = [step for step in steps_left(bake) if step.hands]
        facts.append(say_many("{n} step to do", "{n} steps to do", len(left)))
        facts.append(say("{span} of work in total", span=length(work)))
    if held := held_step(bake):
        facts.append(f"{lower_first(title(held))} {held_words(held, clock)}")
    return BakeNote(
        key=bake.key,
        title=f"{bake.plan.formula}, {count(bake.plan.pieces, 'piece')}",
        ready=clock.dated(bake.plan.ready),
        facts=tuple(facts),
        conflicts=conflict_notes(bake.plan),
        lacks=tuple(map(shortage_words, bake.plan.shortages)),
    )


def _day(day: date, bakes: Sequence[Bake], kitchen: Kitchen, clock: Clock) -> DayRow:
    found = sorted(
        (
            (step, bake)
            for bake in bakes
            for step in bake.plan.steps
            if clock.local(step.start).date() == day
        ),
        key=lambda each: (each[0].start, each[0].end),
    )
    name = clock.day(day)
    if day == clock.today:
        name = say("{day}, today", day=name)
    return DayRow(
        name=name,
        strip=day_strip(bakes, day, kitchen, clock),
        lines=tuple(_line(step, bake, clock, len(bakes) > 1) for step, bake in found),
    )


def _line(step: Step, bake: Bake, clock: Clock, several: bool) -> AgendaLine:
    rest = lower_first(step.place) if step.hands else how_long_where(step)
    if step == held_step(bake):
        held = say("held at {time}", time=clock.time(step.start))
        rest = ", ".join(filter(None, (rest, held)))
    moment = clock.moment(step.start)
    return AgendaLine(
        at=type(moment)(clock.time(step.start), moment.iso),
        title=title(step),
        rest=f"{rest}; {lower_first(bake.plan.formula)}" if several else rest,
        hands=step.hands,
        done=step.hands and step not in steps_left(bake),
    )
