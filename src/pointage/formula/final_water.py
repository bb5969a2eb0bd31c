"""More or less water in the final dough, the one place where a formula gives way."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

from pointage.errors import InputError
from pointage.formula.formula import Formula, Stage
from pointage.language import say
from pointage.quantities import print_number

WATER = "water"


def with_stage(formula: Formula, changed: Stage) -> Formula:
    """The formula with one stage changed, found by its name."""
    stages = (changed if each.name == changed.name else each for each in formula.stages)
    return replace(formula, stages=tuple(stages))


def with_part(stage: Stage, name: str, part: Fraction) -> Stage:
    """The stage with so much of one ingredient, percent of the total flour."""
    parts = {**stage.ingredients, name: part}
    return replace(stage, ingredients={each: has for each, has in parts.items() if has})


def more_water(formula: Formula, added: Fraction, field: str) -> Formula:
    """The formula with `added` percent of the total flour more water in its final dough.

    field: what asks for it, for errors. Raises InputError where the dough would be left with none.
    """
    dough = formula.dough
    has = dough.ingredients.get(WATER, Fraction())
    left = has + added
    if left <= 0:
        elsewhere = [
            f"{each.name} {_percent(each.ingredients[WATER])}"
            for each in formula.stages
            if each is not dough and WATER in each.ingredients
        ]
        expected = say("one that takes less than the {percent} it has", percent=_percent(has))
        if elsewhere:
            expected = say(
                "{expected}: the rest is in {stages}",
                expected=expected,
                stages=", ".join(elsewhere),
            )
        raise InputError(
            field,
            say("{percent} of water left in the {dough}", percent=_percent(left), dough=dough.name),
            expected,
        )
    return with_stage(formula, with_part(dough, WATER, left))


def _percent(part: Fraction) -> str:
    return f"{print_number(float(part), 1)} %"
