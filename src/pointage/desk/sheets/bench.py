"""The bench sheet: a formula, or a planned bake, to hang beside the scale."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime
from fractions import Fraction
from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo

from pointage.desk.formulas.sheets import sheet as trade_table
from pointage.desk.now.unrecorded import PlainKitchen
from pointage.desk.sheets.parts.frame import framed
from pointage.desk.sheets.parts.ladders import (
    USUAL_SEED,
    is_too_much,
    ladder_tables,
    of_formula,
    seed_is_left,
)
from pointage.desk.sheets.parts.process import process_steps
from pointage.desk.sheets.parts.table import formula_facts, formula_table
from pointage.desk.sheets.parts.times import dated
from pointage.desk.sheets.parts.water import of_batch, water_table
from pointage.desk.wording.amounts import count, mass, percent
from pointage.documents.blocks import (
    Block,
    PrintedColumns,
    PrintedLines,
    PrintedNotes,
    Sheet,
)
from pointage.formula.formula import Formula
from pointage.kitchen.kitchen import Kitchen
from pointage.language import say

if TYPE_CHECKING:
    from pointage.timetable.plan import Plan

NARROW = 5
"""Columns of a formula's table that have room beside its ladders."""


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


def bench_sheet(
    batch: BenchBatch, present: PlainKitchen, now: datetime, address: str = ""
) -> Sheet:
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


def _blocks(batch: BenchBatch, present: PlainKitchen, now: datetime) -> Iterator[Block]:
    formula, plan, kitchen = batch.formula, batch.plan, present.kitchen
    total = formula_table(trade_table(formula, kitchen, batch.pieces, batch.piece_g))
    named = of_formula(formula, kitchen, batch.pieces, batch.piece_g)
    planned_c = None
    if plan is not None:
        from pointage.desk.sheets.parts import planned  # with all that plans

        named = planned.planned_ladders(plan) if plan.steps else named
        planned_c = planned.planned_water_c(plan)
    pieces = of_batch(batch.pieces, batch.piece_g, formula)
    water = water_table(formula, present, now, pieces, planned_c)
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
        yield from planned.planned_blocks(plan)
    warned = (
        *_overfull(batch, kitchen),
        *formula.cautions,
        *(() if plan is None else planned.cautions(plan)),
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
