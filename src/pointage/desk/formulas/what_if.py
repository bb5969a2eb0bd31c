"""What if: another flour, yield, salt, levain or ripening time, asked of a formula in words."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum
from fractions import Fraction
from typing import Any

from pointage.desk.formulas.compare import planned
from pointage.desk.wording import odds_words
from pointage.errors import InputError
from pointage.formula.adjust import (
    with_dough_yield,
    with_levain_hydration,
    with_ripening,
    with_salt,
)
from pointage.formula.formula import Formula
from pointage.formula.swap import swap_flour
from pointage.kitchen.kitchen import Kitchen
from pointage.language import say
from pointage.quantities import print_number

Given = Mapping[str, Any]


class WhatIf(StrEnum):
    """What may be asked."""

    FLOUR = "flour"
    YIELD = "yield"
    SALT = "salt"
    LEVAIN = "levain"
    RIPE = "ripe"


@dataclass(frozen=True, slots=True)
class Changed:
    """The formula as it would be, and what was assumed, a sentence each."""

    formula: Formula
    notes: tuple[str, ...] = ()


def what_if(
    formula: Formula, wish: WhatIf, given: Given, kitchen: Kitchen, now: datetime
) -> Changed:
    """The formula as it would be.

    given: for FLOUR old and new by name, share (None for all) and keep ("yes" leaves the water
    alone); for YIELD yield, percent; for SALT salt, percent; for LEVAIN stage by name and
    hydration, percent; for RIPE hours. Raises InputError by those names, or "wish" for what none of
    them can mend.
    """
    try:
        return _ASKED[wish](formula, given, kitchen, now)
    except InputError as error:
        raise error.at(lambda fault: _field(fault, wish)) from None


def _field(fault: InputError, wish: WhatIf) -> str:
    name = str(fault.path[-1])
    name = _ASKED_AS.get(name, name)
    return name if name in _FIELDS[wish] else "wish"


def _flour(formula: Formula, given: Given, kitchen: Kitchen, now: datetime) -> Changed:
    share = Fraction(1) if given["share"] is None else given["share"]
    keep = given["keep"] == "yes"
    found = swap_flour(formula, given["old"], given["new"], share, keep_water=keep)
    if keep:
        return Changed(found.formula, (say("The water stays as it was."), *found.notes))
    water = print_number(abs(float(found.water)), 2)
    assumed = (
        say(
            "{water} % of the flour more water in the final dough, by {by}.",
            water=water,
            by=found.by,
        )
        if found.water >= 0
        else say(
            "{water} % of the flour less water in the final dough, by {by}.",
            water=water,
            by=found.by,
        )
    )
    return Changed(found.formula, (assumed, *found.notes))


def _yield(formula: Formula, given: Given, kitchen: Kitchen, now: datetime) -> Changed:
    return Changed(with_dough_yield(formula, given["yield"]))


def _salt(formula: Formula, given: Given, kitchen: Kitchen, now: datetime) -> Changed:
    return Changed(with_salt(formula, given["salt"]))


def _levain(formula: Formula, given: Given, kitchen: Kitchen, now: datetime) -> Changed:
    found = with_levain_hydration(formula, given["stage"], given["hydration"] / 100)
    return Changed(found, (say("The total stays: the final dough gives or takes the water."),))


def _ripe(formula: Formula, given: Given, kitchen: Kitchen, now: datetime) -> Changed:
    hours = given["hours"]
    problem = planned(formula, kitchen, now)
    if problem is None:
        raise InputError(
            "wish", formula.name, say("a formula with [process] and a levain to plan with")
        )
    stage, culture = problem.build_stages[0], problem.culture
    found = with_ripening(
        formula,
        problem.prime(culture, problem.traits),
        problem.build_place(stage).surroundings,
        start=now,
        hours=hours,
        celsius=problem.builds[0].wanted_c,
        traits=problem.traits,
        record=problem.builds[0].record,
    )
    assumed = say(
        "{stage} is ripe {hours} h after mixing with a seed of {seed} % of its "
        "flour, by {culture} in its prime, {place}, from now on: {odds}.",
        stage=stage.name,
        hours=print_number(hours, 1),
        seed=print_number(100 * float(found.seed), 1),
        culture=culture.name,
        place=problem.build_place(stage).name,
        odds=odds_words(found.odds),
    )
    return Changed(found.formula, (assumed,))


_ASKED = {
    WhatIf.FLOUR: _flour,
    WhatIf.YIELD: _yield,
    WhatIf.SALT: _salt,
    WhatIf.LEVAIN: _levain,
    WhatIf.RIPE: _ripe,
}
_ASKED_AS = {
    "old flour": "old",
    "new flour": "new",
    "dough yield": "yield",
    "ripe after": "hours",
    "seed": "hours",
}
_FIELDS = {
    WhatIf.FLOUR: ("old", "new", "share"),
    WhatIf.YIELD: ("yield",),
    WhatIf.SALT: ("salt",),
    WhatIf.LEVAIN: ("hydration", "stage"),
    WhatIf.RIPE: ("hours",),
}
