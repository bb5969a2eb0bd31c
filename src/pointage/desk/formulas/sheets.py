"""Formulas as the trade's table, and in a line each."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from datetime import datetime
from fractions import Fraction

from pointage.bounds import LOAF_G, PIECES_MADE
from pointage.desk.answers import (
    FormulaSheet,
    FormulaSummary,
    NotThere,
    SheetRow,
    StageColumn,
)
from pointage.desk.formulas.methods import kind_of
from pointage.desk.formulas.on_hand import aged_words, as_on_hand, moved_words, with_discard
from pointage.desk.formulas.scale import Wants, aimed
from pointage.formula.flour.figures import OWN_SOURCE, figures_words, water_words
from pointage.formula.formula import Formula, Stage, StageKind
from pointage.formula.ingredients import ingredient
from pointage.formula.scale import ScaledStage, scale
from pointage.kitchen.kitchen import Kitchen
from pointage.language import say


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
        put_away=formula.put_away,
        removed=formula.removed,
        favourite=formula.favourite,
        kind=kind_of(formula),
        varies=formula.varies,
        because=formula.because,
    )


def named(formulas: Mapping[str, Formula], slug: str) -> Formula:
    """The formula called `slug`. Raises NotThere."""
    if slug not in formulas:
        raise NotThere("formula", slug)
    return formulas[slug]


def sheet(
    formula: Formula,
    kitchen: Kitchen,
    pieces: int | None,
    piece_g: Fraction | None,
    wants: Wants | None = None,
    *,
    now: datetime | None = None,
) -> FormulaSheet:
    """The table of `formula`, rounded to the step of the scale that carries the batch.

    Without wants the formula's own pieces and their mass stand for what is left out.
    now: when the age of a levain is looked at. Raises
    InputError, field "pieces" or "piece", for a batch that is none; and those of
    desk/formulas/scale.py.
    """
    own = formula
    if wants is not None:
        formula = as_on_hand(formula, wants)
        aim = aimed(formula, pieces, piece_g, wants)
        pieces, piece_g = aim.pieces, aim.piece_g
        formula = with_discard(formula, wants, pieces * piece_g)
    wants = wants or Wants()
    pieces = formula.pieces if pieces is None else pieces
    piece_g = formula.piece_g if piece_g is None else piece_g
    PIECES_MADE.check(pieces, "pieces")
    LOAF_G.check(piece_g, "piece")
    step = kitchen.scale_for(float(pieces * piece_g)).step_g
    batch = scale(formula, pieces, piece_g, step, bowl_loss=wants.bowl_loss, fine=wants.fine)
    cells = {(row.name, stage.name): row.grams for stage in batch.stages for row in stage.rows}
    rows = [
        SheetRow(
            name=say(ingredient(row.name).label),
            percent=row.percent,
            total_g=row.grams,
            in_stage=tuple(cells.get((row.name, stage.name)) for stage in batch.stages),
            ingredient=row.name,
        )
        for row in batch.rows
    ]
    for stage in batch.stages:
        if stage.kind is not StageKind.DOUGH:
            into = tuple(each.takes.get(stage.name) for each in batch.stages)
            rows.append(SheetRow(stage.name, None, None, into))
    return FormulaSheet(
        summary=replace(summary(formula), pieces=pieces, piece_g=piece_g),
        stages=tuple(_column(formula.stage(each.name), each) for each in batch.stages),
        rows=tuple(rows),
        total_percent=sum((row.percent for row in batch.rows), Fraction()),
        total_g=batch.total_g,
        cautions=formula.cautions,
        drift_g=batch.drift_g,
        step_g=step,
        lost=batch.lost,
        flours=(
            *moved_words(own, wants, batch.total_g),
            *(aged_words(own, wants, kitchen, now) if now is not None else ()),
            *_flours(formula, kitchen, {row.name: row.grams for row in batch.rows}),
        ),
    )


def _flours(formula: Formula, kitchen: Kitchen, grams: Mapping[str, Fraction]) -> tuple[str, ...]:
    """What is known of the flours: their own figures, and the water that they ask for."""
    known = {**kitchen.flours, **formula.flours}
    own = {name: known[name] for name in grams if name in known}
    notes = (
        say(
            "{flour} goes by {label}: {figures}.",
            flour=say(ingredient(name).label),
            label=each.label or say(OWN_SOURCE),
            figures=figures_words(each),
        )
        for name, each in own.items()
    )
    return (*notes, *(f"{each}." for each in water_words(grams, own)))


def _column(stage: Stage, scaled: ScaledStage) -> StageColumn:
    return StageColumn(
        stage.name,
        scaled.whole_g,
        stage.kind,
        scaled.hydration,
        stage.seed,
        stage.temperature,
        stage.place,
    )
