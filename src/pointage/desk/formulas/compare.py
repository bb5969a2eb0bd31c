"""Two formulas side by side, with what the engine and the stores say follows."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from datetime import datetime, timedelta
from itertools import combinations
from typing import Any

import numpy as np

from pointage.culture.mature import mature
from pointage.desk.now.present import Present
from pointage.errors import Faults, InputError
from pointage.formula.compare import (
    AskedConsequence,
    Comparison,
    PercentChange,
    compare,
)
from pointage.formula.file.read import read_formula
from pointage.formula.formula import Formula
from pointage.kitchen.kitchen import Kitchen
from pointage.language import mark
from pointage.mixture.course import first_crossing
from pointage.mixture.hold import hold
from pointage.mixture.mixture import Mixture
from pointage.mixture.temperature.temper import Tempered
from pointage.timetable.problem import Problem
from pointage.timetable.ways.doughs import LONGEST_BULK_H

LITTLE = 5
"""Percent of the flour that two formulas may differ by, all in all, to be much the same. Ours."""


def much_the_same(formulas: Iterable[Formula]) -> tuple[tuple[Formula, Formula], ...]:
    """The pairs of the same ingredients in much the same amounts, but for a formula and its
    variation."""
    by_ingredients = dict[frozenset[str], list[Formula]]()
    for each in formulas:
        by_ingredients.setdefault(frozenset(each.total), []).append(each)
    return tuple(
        (one, other)
        for alike in by_ingredients.values()
        for one, other in combinations(alike, 2)
        if sum(abs(one.total[name] - other.total[name]) for name in one.total) <= LITTLE
        and one.name != other.varies
        and other.name != one.varies
    )


Price = Callable[[Formula], float | None]


def compare_texts(
    texts: tuple[str, str],
    sources: tuple[str, str],
    present: Present,
    now: datetime,
    faults: Faults,
) -> Comparison:
    """The formulas of two texts side by side in a kitchen; faults: of what was read before.

    Raises InputError with every fault.
    """
    before, after = (faults.take(read_formula, *each) for each in zip(texts, sources, strict=True))
    faults.check()
    return compare_formulas(before, after, present.kitchen, now)


def compare_formulas(
    before: Formula, after: Formula, kitchen: Kitchen, now: datetime, price: Price | None = None
) -> Comparison:
    """Two formulas side by side; price: the cost of a piece in the kitchen's currency."""
    asked = [
        AskedConsequence(mark("bulk"), "h", lambda each: bulk_hours(each, kitchen, now)),
        AskedConsequence(
            mark("dough after mixing"), "°C", lambda each: mixed_c(each, kitchen, now)
        ),
    ]
    if price is not None:
        asked.append(AskedConsequence(mark("cost of a piece"), kitchen.currency, price))
    return compare(before, after, asked)


def bulk_hours(formula: Formula, kitchen: Kitchen, now: datetime) -> float | None:
    """Hours from mixing until the dough of a levain in its prime has risen as wanted in its place.

    By the likeliest culture, mixed at `now`; None for a formula or kitchen that cannot be planned,
    and where it does not come to that within fourteen hours.
    """
    problem = planned(formula, kitchen, now)
    return None if problem is None else bulk_of(problem, None, now)


def bulk_of(problem: Problem, levain: Mixture | None, now: datetime) -> float | None:
    """The same of a levain as it is; None for one in its prime."""
    dough = _mixed(problem, now, levain).mixture
    here = problem.stands.bulk(dough, problem.bulk_place)
    course = hold(
        dough,
        problem.bulk_place.surroundings,
        now,
        LONGEST_BULK_H,
        here.traits(problem.likeliest),
        follow_h=here.follow.hours,
    )
    wanted = np.array([problem.process.bulk_rise[1]])
    hours = float(first_crossing(course.hours, course.rise[:1], wanted)[0])
    return None if np.isnan(hours) else round(hours, 2)


def mixed_c(formula: Formula, kitchen: Kitchen, now: datetime) -> float | None:
    """The dough's temperature after mixing, which water alone may not bring to the wanted one."""
    problem = planned(formula, kitchen, now)
    return None if problem is None else round(_mixed(problem, now).mixture.temperature_c, 1)


def comparison_json(found: Comparison) -> dict[str, Any]:
    """A comparison as the JSON object of `pointage compare`: percents of the flour."""
    return {
        "before": found.before,
        "after": found.after,
        "same": found.is_same,
        "total": [_change(each) for each in found.total],
        "stages": [{"stage": each.stage, **_change(each)} for each in found.stages],
        "consequences": [
            {
                "name": each.name,
                "unit": each.unit,
                "before": each.before,
                "after": each.after,
            }
            for each in found.consequences
        ],
    }


def _change(change: PercentChange) -> dict[str, Any]:
    return {
        "name": change.name,
        "before": None if change.before is None else round(float(change.before), 4),
        "after": None if change.after is None else round(float(change.after), 4),
        "difference": round(float(change.difference), 4),
    }


def planned(formula: Formula, kitchen: Kitchen, now: datetime) -> Problem | None:
    """The formula as something to plan here, None when it is not."""
    if formula.process is None or not kitchen.cultures:
        return None
    known = {each.name for each in kitchen.cultures}
    name = formula.culture if formula.culture in known else kitchen.cultures[0].name
    culture = kitchen.culture(name)
    ready = now + timedelta(days=1)
    problem = Problem(formula, kitchen, culture, now, ready, formula.pieces, formula.piece_g)
    try:
        _ = problem.builds, problem.bulk_place
    except InputError:
        return None  # it can still be compared by its percentages
    return problem


def _mixed(problem: Problem, now: datetime, levain: Mixture | None = None) -> Tempered:
    last = problem.builds[-1]
    if levain is None:
        levain = mature(last.flours, last.hydration, problem.likeliest, last.record)
    levain = levain.at_temperature(last.wanted_c)
    return problem.dough(levain, problem.room_c(now))
