"""What a plan has on a bench sheet: its ladders, its times, its courses."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from zoneinfo import ZoneInfo

from pointage.desk.sheets.parts.courses import courses_of
from pointage.desk.sheets.parts.ladders import NamedLadder
from pointage.desk.sheets.parts.times import at, span
from pointage.desk.wording import cautions as cautions  # noqa: PLC0414
from pointage.desk.wording import conflict_words, note, odds_words, title
from pointage.documents.blocks import Beside, Block, PrintedNotes, PrintedStep, PrintedSteps
from pointage.language import say
from pointage.shown import warmth
from pointage.timetable.plan import Plan, Step, StepKind

MOST_COURSES = 4


def planned_ladders(plan: Plan) -> list[NamedLadder]:
    """The ladders of a plan in the order in which they are poured."""
    found = []
    for step in plan.steps:
        if step.ladder is not None:
            found.append(NamedLadder(_mix(step), step.ladder))
        if step.keep is not None and step.keep.ladder is not None:
            kept = say("Feed what is left of {mixture}", mixture=step.keep.mixture)
            found.append(NamedLadder(kept, step.keep.ladder))
    return found


def _mix(step: Step) -> str:
    """What is mixed, in a word or two."""
    match step.kind:
        case StepKind.FEED:
            return say("Feed {culture}", culture=step.mixture)
        case StepKind.MIX:
            return say("Dough")
        case StepKind.FOLD:
            return title(step)
    return step.mixture


def planned_blocks(plan: Plan) -> Iterator[Block]:
    """The times of a plan, its courses, and what stands in its way."""
    zone = ZoneInfo(plan.zone)
    if plan.conflicts:
        why = (" ".join(conflict_words(each, zone)) for each in plan.conflicts)
        yield PrintedNotes(say("It cannot be done as planned:"), tuple(why), marked=True)
    if not plan.steps:
        return
    yield PrintedSteps(say("Times"), tuple(_once_said(plan.steps, zone)), say("done at"))
    courses = courses_of(plan)
    if courses:
        yield Beside(tuple((each,) for each in courses[:MOST_COURSES]))
    if plan.shortages:
        from pointage.desk.bakes.plan import shortage_words  # with all that plans

        yield PrintedNotes(say("Not enough"), tuple(map(shortage_words, plan.shortages)))


def _once_said(steps: Sequence[Step], zone: ZoneInfo) -> Iterator[PrintedStep]:
    """The steps; how it is folded stands beside the first fold alone."""
    folded = ""
    for step in steps:
        made = _planned_step(step, zone)
        if step.kind is StepKind.FOLD:
            made, folded = replace(made, text="" if made.text == folded else made.text), made.text
        yield made


def _planned_step(step: Step, zone: ZoneInfo) -> PrintedStep:
    """A step of a plan as it is ticked off."""
    when = at(step.start, zone) if step.hands else span(step.start, step.end, zone)
    return PrintedStep(when, title(step), _particulars(step, zone), step.hands)


def _particulars(step: Step, zone: ZoneInfo) -> str:
    facts: list[str] = [step.place] if step.place else []
    water, mixed, oven = (
        step.water_temperature_c,
        step.mixture_temperature_c,
        step.oven_temperature_c,
    )
    if water is not None:
        facts.append(say("water {warmth}", warmth=warmth(water)))
    if mixed is not None and step.kind is not StepKind.BULK:
        facts.append(say("mix {warmth}", warmth=warmth(mixed)))
    if oven is not None:
        facts.append(say("oven {warmth}", warmth=warmth(oven)))
    standing = step.standing
    if standing is not None and standing.ripe_from and standing.ripe_until and step.hands:
        ripe = span(standing.ripe_from.p50, standing.ripe_until.p50, zone)
        facts.append(say("ripe {span}", span=ripe))
    if step.ripe_odds is not None and step.kind is StepKind.MIX:
        facts.append(say("the levain is ripe: {odds}", odds=odds_words(step.ripe_odds)))
    said = ", ".join(facts)
    more = note(step, zone)
    return f"{said}. {more}" if said and more else said or more


def planned_water_c(plan: Plan) -> float | None:
    """The water of the dough, °C; None where the plan has none."""
    return next((s.water_temperature_c for s in plan.steps if s.kind is StepKind.MIX), None)
