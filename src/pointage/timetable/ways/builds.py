"""A formula as the timetable takes it: a chain of builds, and what else goes into the dough."""

from __future__ import annotations

from collections.abc import Iterable
from functools import reduce
from itertools import pairwise

from pointage.errors import Complaint, InputError
from pointage.formula.formula import (
    Formula,
    IngredientPercents,
    Stage,
    StageKind,
)
from pointage.language import say
from pointage.quantities import print_number
from pointage.timetable.ways.levains import SEED_SHARES


def planned_builds(formula: Formula) -> tuple[Stage, ...]:
    """The builds of the formula's levain, first first, once it is known that they can be planned.

    That is one levain, each build taking the whole of the one before and nothing else of other
    stages. Raises InputError, one line.
    """
    builds = formula.builds
    field = say("{name}, stage", name=formula.name)
    if not builds:
        raise InputError(
            field, Complaint(say("no levain")), say("a stage of kind levain to plan for")
        )
    if len(builds) < len(formula.levains):
        names = _all(repr(each.name) for each in formula.levains)
        expected = say("one levain, in as many builds as it takes; a plan can ripen only one")
        raise InputError(field, names, expected)
    for before, stage in pairwise([None, *builds, formula.dough]):
        assert stage is not None
        taken = dict(stage.parts_of)
        whole = before is None or taken.pop(before.name, None) == 1
        if not whole or (taken and stage.kind is StageKind.LEVAIN):
            parts = (
                say("{percent} % of {stage!r}", percent=print_number(float(100 * n)), stage=x)
                for x, n in stage.parts_of.items()
            )
            raise InputError(
                say("{formula}, stage {stage}, parts_of", formula=formula.name, stage=stage.name),
                _all(parts),
                say(
                    "the whole of the previous build and nothing else, so that a bake can be "
                    "planned"
                ),
            )
        if stage.kind is StageKind.LEVAIN and not (stage.flour and stage.water):
            raise InputError(
                say("{formula}, stage {stage}", formula=formula.name, stage=stage.name),
                Complaint(say("no fresh flour or water")),
                say("some of both to feed the previous build, so that a bake can be planned"),
            )
    return builds


def _all(texts: Iterable[str]) -> str:
    return reduce(lambda one, other: say("{one} and {other}", one=one, other=other), texts)


def seed_shares(formula: Formula) -> list[tuple[float, ...]]:
    """Seed over flour that may be tried in each build: of the first any, unless it is given."""
    builds = planned_builds(formula)
    first = builds[0].seed
    found: list[tuple[float, ...]] = [SEED_SHARES if first is None else (float(first),)]
    for before, stage in pairwise(builds):
        found.append((float(formula.whole(before).mass / formula.whole(stage).flour),))
    return found


def without_levain(formula: Formula) -> tuple[IngredientPercents, IngredientPercents]:
    """What is in the dough besides the levain: what is mixed at once, and what is added later."""
    levain = planned_builds(formula)[-1]
    at_once = IngredientPercents(formula.dough.ingredients)
    late = IngredientPercents({})
    for name, share in formula.dough.parts_of.items():
        stage = formula.stage(name)
        if stage.kind is StageKind.ADDITION:
            late = late.plus(formula.whole(stage))
        elif stage is not levain:
            at_once = at_once.plus(formula.whole(stage).times(share))
    return at_once, late
