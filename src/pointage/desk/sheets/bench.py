"""The bench sheet: a formula, or a planned bake, to hang beside the scale."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from fractions import Fraction
from zoneinfo import ZoneInfo

from pointage.desk.formulas.sheets import sheet as trade_table
from pointage.desk.now.unrecorded import Standing
from pointage.desk.sheets.parts.courses import courses_of
from pointage.desk.sheets.parts.frame import framed
from pointage.desk.sheets.parts.ladders import (
    USUAL_SEED,
    is_too_much,
    ladder_tables,
    of_formula,
    planned,
    seed_is_left,
)
from pointage.desk.sheets.parts.process import process_steps
from pointage.desk.sheets.parts.table import formula_facts, formula_table
from pointage.desk.sheets.parts.times import at, dated, span
from pointage.desk.sheets.parts.water import of_batch, water_table
from pointage.desk.wording import cautions, conflict_words, note, odds_words, title
from pointage.desk.wording.amounts import count, mass, percent
from pointage.documents.blocks import (
    Beside,
    Block,
    PrintedColumns,
    PrintedLines,
    PrintedNotes,
    PrintedStep,
    PrintedSteps,
    Sheet,
)
from pointage.formula.formula import Formula
from pointage.kitchen.kitchen import Kitchen
from pointage.language import say
from pointage.shown import warmth
from pointage.timetable.plan import Plan, Step, StepKind

NARROW = 5
"""Columns of a formula's table that have room beside its ladders."""
MOST_COURSES = 4


@dataclass(frozen=True, slots=True)
class BenchBatch:
    """What is to be baked: so many pieces of so many grams, by a plan where there is one."""

    formula: Formula
    pieces: int
    piece_g: Fraction
    plan: Plan | None = None

    @staticmethod
    def of(formula: Formula, pieces: int | None = None, plan: Plan | None = None) -> BenchBatch:
        """The formula's own batch, another number of its pieces, or that of a plan."""
        if plan is not None:
            piece_g = Fraction(plan.piece_g).limit_denominator(1000)
            return BenchBatch(formula, plan.pieces, piece_g, plan)
        return BenchBatch(formula, pieces or formula.pieces, formula.piece_g)


def bench_sheet(batch: BenchBatch, present: Standing, now: datetime, address: str = "") -> Sheet:
    """The sheet. address: of the live page, for its code; "" for none. Raises InputError."""
    formula = batch.formula
    found = trade_table(formula, present.kitchen, batch.pieces, batch.piece_g)
    return framed(
        formula.name,
        _lead(batch),
        tuple(_blocks(batch, present, now)),
        present,
        now,
        facts=formula_facts(found, formula),
        address=address,
        rights=formula.rights,
    )


def _lead(batch: BenchBatch) -> str:
    pieces, each = count(batch.pieces, "piece"), mass(batch.piece_g)
    if batch.plan is None:
        return say("{pieces} of {mass}", pieces=pieces, mass=each)
    ready = dated(batch.plan.ready, ZoneInfo(batch.plan.zone))
    return say("{pieces} of {mass}, ready {time}", pieces=pieces, mass=each, time=ready)


def _blocks(batch: BenchBatch, present: Standing, now: datetime) -> Iterator[Block]:
    formula, plan, kitchen = batch.formula, batch.plan, present.kitchen
    total = formula_table(trade_table(formula, kitchen, batch.pieces, batch.piece_g))
    named = of_formula(formula, kitchen, batch.pieces, batch.piece_g)
    if plan is not None and plan.steps:
        named = planned(plan)
    water = water_table(
        formula, present, now, of_batch(batch.pieces, batch.piece_g, formula), _planned_c(plan)
    )
    tables = (total, *ladder_tables(named), *(() if water is None else (water,)))
    yield PrintedColumns(tables, wide=len(total.heads) > NARROW)
    if plan is None:
        if seed_is_left(formula):
            share = percent(USUAL_SEED)
            yield PrintedNotes("", (say(
                "The seed is {share} of the levain's flour, as is common practice; a planned bake "
                "fits it to the hour.", share=share,
            ),))  # fmt: skip
        yield from process_steps(formula)
    else:
        yield from _of_plan(plan)
    warned = (
        *_overfull(batch, kitchen),
        *formula.cautions,
        *(() if plan is None else cautions(plan)),
    )
    if warned:
        yield PrintedNotes("", tuple(dict.fromkeys(warned)), marked=True)
    yield PrintedLines(say("Notes"), 4)


def _overfull(batch: BenchBatch, kitchen: Kitchen) -> tuple[str, ...]:
    """What a batch without a plan is warned of; a plan says it itself."""
    dough_g = batch.pieces * batch.piece_g
    if batch.plan is not None or not is_too_much(batch.formula, kitchen, float(dough_g)):
        return ()
    words = say("No bowls here hold {mass} of dough until it has risen.", mass=mass(dough_g))
    return (words,)


def _of_plan(plan: Plan) -> Iterator[Block]:
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
        made = planned_step(step, zone)
        if step.kind is StepKind.FOLD:
            made, folded = replace(made, text="" if made.text == folded else made.text), made.text
        yield made


def planned_step(step: Step, zone: ZoneInfo) -> PrintedStep:
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


def _planned_c(plan: Plan | None) -> float | None:
    steps: Sequence[Step] = () if plan is None else plan.steps
    return next((s.water_temperature_c for s in steps if s.kind is StepKind.MIX), None)
