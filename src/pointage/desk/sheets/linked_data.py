"""A formula as linked data, for pages and programs that read recipes."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import timedelta
from fractions import Fraction

from pointage.desk.answers import FormulaSheet, SheetRow
from pointage.desk.formulas.label import label
from pointage.desk.formulas.sheets import sheet as trade_table
from pointage.desk.sheets.parts.process import worked
from pointage.desk.wording.amounts import count, grams, mass
from pointage.documents.recipe import LinkedRecipe, RecipeStep
from pointage.errors import InputError
from pointage.formula.file.write import write_formula
from pointage.formula.formula import Formula, Process
from pointage.formula.label.nutrition import Nutrients
from pointage.kitchen.kitchen import Kitchen
from pointage.language import language, say, within
from pointage.quantities import print_number

FIGURES = {
    "calories": ("energy", "kcal"),
    "fatContent": ("fat", "g"),
    "saturatedFatContent": ("saturated", "g"),
    "carbohydrateContent": ("carbohydrate", "g"),
    "sugarContent": ("sugars", "g"),
    "fiberContent": ("fibre", "g"),
    "proteinContent": ("protein", "g"),
    "sodiumContent": ("sodium", "mg"),
}
"""schema.org's names of figures, ours, and the unit: Mass and Energy are texts of both."""


def recipe_of(
    formula: Formula, kitchen: Kitchen, pieces: int | None = None, address: str = ""
) -> LinkedRecipe:
    """The recipe for so many pieces. Raises InputError."""
    found = trade_table(formula, kitchen, pieces, None)
    process = formula.process
    count_of, each = found.summary.pieces, found.summary.piece_g
    nutrition, serving = _nutrition(formula, kitchen)
    return LinkedRecipe(
        name=formula.name,
        about=formula.about,
        pieces=count_of,
        made=say("{pieces} of {mass}", pieces=count(count_of, "piece"), mass=mass(each)),
        ingredients=[
            _weighed(row, row.total_g, found)
            for row in found.rows
            if row.ingredient and row.total_g
        ],
        steps=list(_steps(formula, found)),
        prep=None if process is None else _before_the_oven(process),
        cook=None
        if process is None or process.bake_minutes is None
        else timedelta(minutes=process.bake_minutes),
        nutrition=nutrition,
        serving=serving,
        author=formula.rights.author,
        year=int(formula.rights.year) if formula.rights.year else None,
        licence=formula.rights.licence,
        address=address,
        language=language().tag,
        source=write_formula(formula),
    )


def linked_data_text(formula: Formula, kitchen: Kitchen, pieces: int | None = None) -> str:
    """The recipe as a file. Raises InputError."""
    return recipe_of(formula, kitchen, pieces).as_text()


def _steps(formula: Formula, found: FormulaSheet) -> Iterator[RecipeStep]:
    """How it is worked, each stage with what goes into it."""
    names = [stage.name for stage in found.stages]
    for step in worked(formula):
        stage = formula.dough.name if step.key == "mix" else step.title
        into = _into(found, names.index(stage)) if stage in names else ""
        text = " ".join(filter(None, (into, step.text)))
        yield RecipeStep(step.title, text or step.title)


def _into(found: FormulaSheet, stage: int) -> str:
    """ "745 g white wheat flour, 447 g water."."""
    parts = [_weighed(row, row.in_stage[stage], found) for row in found.rows if row.in_stage[stage]]
    return f"{', '.join(parts)}." if parts else ""


def _weighed(row: SheetRow, of: Fraction | None, found: FormulaSheet) -> str:
    name = within(say(row.name)) if row.ingredient else row.name
    return say(
        "{grams} g {ingredient}", grams=grams(of or Fraction(), found.step_g), ingredient=name
    )  # fmt: skip


def _before_the_oven(process: Process) -> timedelta:
    """What hands take: rises are the engine's to say, and hang on kitchen and culture."""
    minutes = (
        process.mix_minutes
        + process.folds * process.fold_minutes
        + process.divide_minutes
        + process.bench_rest_minutes
        + process.shape_minutes
    )
    return timedelta(minutes=minutes)


def _nutrition(formula: Formula, kitchen: Kitchen) -> tuple[dict[str, str], str]:
    """What is in a serving, without what is not known of each ingredient; and the serving."""
    try:
        found = label(formula, flours=kitchen.flours)
    except InputError:
        return {}, ""
    return _figures(found.per_serving), mass(found.serving_g)


def _figures(food: Nutrients) -> dict[str, str]:
    figures = {}
    for name, (ours, unit) in FIGURES.items():
        amount = food.amounts.get(ours)
        if amount is not None and not amount.missing:
            figures[name] = f"{print_number(float(amount.known), 1)} {unit}"
    return figures
