"""A formula as the trade's table, on paper."""

from __future__ import annotations

from fractions import Fraction

from pointage.desk.answers import FormulaSheet, SheetRow
from pointage.desk.sheets.parts.ladders import seed_is_left
from pointage.desk.wording.amounts import mass, percent
from pointage.documents.blocks import PrintedTable
from pointage.formula.formula import Formula, StageKind
from pointage.language import say, written
from pointage.quantities import print_number
from pointage.shown import ounces_text, shown, warmth

MOST_STAGES = 4
"""Beside the total; more run over the edge, and each stage has its ladder."""


def formula_table(found: FormulaSheet) -> PrintedTable:
    """Ingredients in rows; percent and grams of the whole, then grams by stage."""
    stages = found.stages if 1 < len(found.stages) <= MOST_STAGES else ()
    ounces = shown().ounces == "yes"
    heads = [say("Total formula"), "%", "g", *([say("ounces")] if ounces else [])]
    rows = [
        (
            say(row.name) if row.ingredient else row.name,
            _percent(row.percent),
            _grams(row.total_g),
            *([_ounces(row)] if ounces else []),
            *(_grams(row.in_stage[i]) for i in range(len(stages))),
        )
        for row in found.rows
        if row.ingredient or stages
    ]
    foot = [say("Total"), _percent(found.total_percent), _grams(found.total_g)]
    foot += [ounces_text(found.total_g)] if ounces else []
    foot += [_grams(stage.total_g) for stage in stages]
    return PrintedTable(
        "",
        (*heads, *(stage.name for stage in stages)),
        tuple(rows),
        "l" + "r" * (len(heads) - 1 + len(stages)),
        tuple(foot),
        wide=0,
    )


def formula_facts(found: FormulaSheet, formula: Formula) -> tuple[tuple[str, str], ...]:
    """What stands under the name."""
    summary = found.summary
    facts = [
        (say("Dough"), mass(found.total_g)),
        (say("Hydration"), percent(summary.hydration)),
        (say("Dough yield"), print_number(summary.dough_yield, 0)),
        (say("Flour prefermented"), percent(summary.prefermented, 1)),
    ]
    if formula.process is not None:
        facts.append(
            (say("Dough temperature"), warmth(formula.process.dough_temperature.celsius))
        )  # fmt: skip
    if formula.culture:
        levains = formula.of_kind(StageKind.LEVAIN)
        seed = levains[0].seed if levains and not seed_is_left(formula) else None
        named = formula.culture
        if seed is not None:
            named = say("{culture}, {share} seed", culture=named, share=percent(seed))
        facts.append((say("Culture"), named))
    return tuple(facts)


def _percent(value: Fraction | None) -> str:
    return "" if value is None else _number(value, 1 if value < 100 else 0)


def _grams(value: Fraction | None) -> str:
    return "" if value is None else _number(value, 1)


def _ounces(row: SheetRow) -> str:
    return "" if row.total_g is None else ounces_text(row.total_g)


def _number(value: Fraction, places: int) -> str:
    return written(print_number(float(value), places))
