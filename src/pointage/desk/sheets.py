"""Formulas as the trade's table, and in a line each."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from fractions import Fraction

from pointage.desk.answers import FormulaSheet, FormulaSummary, NotThere, SheetRow, StageColumn
from pointage.errors import InputError
from pointage.formula.formula import Formula, StageKind
from pointage.formula.ingredients import ingredient
from pointage.formula.scale import scale
from pointage.kitchen.kitchen import Kitchen

MOST_PIECES = 2000
MOST_PIECE_G = 10_000


def summary(formula: Formula) -> FormulaSummary:
    """A formula in a line."""
    return FormulaSummary(
        slug=formula.slug,
        name=formula.name,
        hydration=float(formula.hydration),
        prefermented=float(formula.prefermented_flour),
        dough_yield=float(formula.dough_yield),
        pieces=formula.pieces,
        piece_g=formula.piece_g,
    )


def named(formulas: Mapping[str, Formula], slug: str) -> Formula:
    """The formula called `slug`. Raises NotThere."""
    if slug not in formulas:
        raise NotThere("formula", slug)
    return formulas[slug]


def sheet(
    formula: Formula, kitchen: Kitchen, pieces: int | None, piece_g: Fraction | None
) -> FormulaSheet:
    """The table of `formula`, rounded to the step of the scale that carries the batch.

    Raises InputError, field "pieces" or "piece", for a batch that is none.
    """
    pieces = formula.pieces if pieces is None else pieces
    piece_g = formula.piece_g if piece_g is None else piece_g
    if not 1 <= pieces <= MOST_PIECES:
        raise InputError("pieces", pieces, f"a whole number from 1 to {MOST_PIECES}")
    if not 1 <= piece_g <= MOST_PIECE_G:
        raise InputError("piece", f"{float(piece_g):g} g", f"a mass from 1 g to {MOST_PIECE_G} g")
    step = kitchen.scale_for(float(pieces * piece_g)).step_g
    batch = scale(formula, pieces, piece_g, step)
    cells = {(row.name, stage.name): row.grams for stage in batch.stages for row in stage.rows}
    rows = [
        SheetRow(
            name=ingredient(row.name).label,
            percent=row.percent,
            total_g=row.grams,
            in_stage=tuple(cells.get((row.name, stage.name)) for stage in batch.stages),
        )
        for row in batch.rows
    ]
    for stage in batch.stages:
        if stage.kind is not StageKind.DOUGH:
            into = tuple(each.takes.get(stage.name) for each in batch.stages)
            rows.append(SheetRow(stage.name, None, None, into))
    return FormulaSheet(
        summary=replace(summary(formula), pieces=pieces, piece_g=piece_g),
        stages=tuple(StageColumn(stage.name, stage.whole_g) for stage in batch.stages),
        rows=tuple(rows),
        total_percent=sum((row.percent for row in batch.rows), Fraction()),
        total_g=batch.total_g,
        cautions=formula.cautions,
    )
