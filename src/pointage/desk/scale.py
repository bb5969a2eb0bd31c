"""A formula for so many pieces."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from typing import Any

from pointage.formula.read import read_formula
from pointage.formula.scale import AS_THE_LEVAIN, Scaled, ScaledRow, scale


@dataclass(frozen=True, slots=True)
class ScaleAnswer:
    """A batch, weighed. warnings: what is too little for the scale, a sentence each."""

    batch: Scaled

    @property
    def warnings(self) -> tuple[str, ...]:
        return self.batch.lost

    def as_json(self) -> dict[str, Any]:
        """Grams; percent of the total flour; hydration and prefermented flour as fractions."""
        batch = self.batch
        return {
            "ingredients": [_row(row) for row in batch.rows],
            "stages": [
                {
                    "name": stage.name,
                    "kind": stage.kind.value,
                    "rows": [_row(row) for row in stage.rows],
                    "total_g": _number(stage.total_g),
                    "hydration": _number(stage.hydration),
                }
                for stage in batch.stages
            ],
            "total_g": _number(batch.total_g),
            "hydration": _number(batch.hydration),
            "prefermented_flour": _number(batch.prefermented_flour),
            "dough_yield": _number(batch.dough_yield),
        }


def scale_formula(
    text: str, source: str, pieces: int, piece_g: Fraction, step_g: Fraction
) -> ScaleAnswer:
    """The formula in `text` for `pieces` pieces of `piece_g` grams, in steps of `step_g` grams.

    A seed that the formula fixes is weighed apart, from a culture as wet as the levain it goes
    into; one that the plan is to fit stays in the levain's flour and water. source: the file's
    name, for errors. Raises InputError.
    """
    formula = read_formula(text, source)
    return ScaleAnswer(scale(formula, pieces, piece_g, step_g, culture_hydration=AS_THE_LEVAIN))


def _row(row: ScaledRow) -> dict[str, Any]:
    return {"name": row.name, "grams": _number(row.grams), "percent": _number(row.percent)}


def _number(value: Fraction) -> float:
    return round(float(value), 6)
