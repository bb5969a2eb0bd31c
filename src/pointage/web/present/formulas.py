"""Formulas in the trade's table."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from fractions import Fraction

from pointage.desk.answers import FormulaSheet, FormulaSummary, SheetRow
from pointage.quantities import print_number
from pointage.web.pages import FormulaLine, FormulaPage, FormulasPage, Frame, SheetLine
from pointage.web.present.words import count, mass, percent

NOTHING = "–"


def formulas_page(formulas: Sequence[FormulaSummary], frame: Frame) -> FormulasPage:
    return FormulasPage(
        frame,
        tuple(
            FormulaLine(
                each.slug,
                each.name,
                f"{count(each.pieces, 'piece')} of {mass(each.piece_g)}; "
                f"water {percent(each.hydration)}; "
                f"{percent(each.prefermented)} of the flour prefermented",
            )
            for each in formulas
        ),
    )


def formula_page(
    sheet: FormulaSheet,
    typed: Mapping[str, str],
    errors: Mapping[str, str],
    frame: Frame,
    cost: str = "",
) -> FormulaPage:
    """typed: the form's fields as they were typed, shown again beside their errors.

    cost: of one piece, in words.
    """
    summary = sheet.summary
    stages = tuple(stage.name for stage in sheet.stages)
    return FormulaPage(
        frame=frame,
        slug=summary.slug,
        name=summary.name,
        pieces=typed.get("pieces", str(summary.pieces)),
        piece=typed.get("piece", f"{print_number(float(summary.piece_g), 1)}g"),
        errors=dict(errors),
        facts=(
            ("Dough", mass(sheet.total_g)),
            ("Hydration", percent(summary.hydration)),
            ("Dough yield", print_number(summary.dough_yield, 0)),
            ("Flour prefermented", percent(summary.prefermented, 1)),
            *((("A piece costs", cost),) if cost else ()),
        ),
        stages=stages,
        rows=tuple(_line(row) for row in sheet.rows),
        totals=SheetLine(
            "Total",
            _percent(sheet.total_percent),
            _grams(sheet.total_g),
            tuple(_grams(stage.total_g) for stage in sheet.stages),
        ),
        cautions=sheet.cautions,
    )


def _line(row: SheetRow) -> SheetLine:
    return SheetLine(
        row.name,
        _percent(row.percent),
        _grams(row.total_g),
        tuple(_grams(grams) for grams in row.in_stage),
    )


def _percent(value: Fraction | None) -> str:
    return NOTHING if value is None else print_number(float(value), 1 if value < 100 else 0)


def _grams(value: Fraction | None) -> str:
    return NOTHING if value is None else print_number(float(value), 1)
