"""A bake that went too far and goes on another way: in tins, or with fewer pieces."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

from pointage.desk.answers import Bake
from pointage.errors import InputError
from pointage.formula.ladder import Ladder, PourKind, ladder
from pointage.language import say
from pointage.timetable.plan import Manner, Step, StepKind

TIN = "tin"
MORE_LEVAIN = "more levain"
OF_ALL = frozenset({StepKind.MIX, StepKind.BULK, StepKind.FOLD})
"""Steps whose grams are those of the whole dough."""


def rescued(bake: Bake, step: Step, body: Mapping[str, Any]) -> Bake:
    """The bake as it goes on from there; its times stay. Raises InputError for pours that are not
    those of the step."""
    wished = None if bake.wished is None else replace(bake.wished, formula=str(body["formula"]))
    plan = bake.plan
    if body["way"] == TIN:
        steps = [
            replace(each, manner=Manner.TIN) if each.kind is StepKind.SHAPE else each
            for each in plan.steps
        ]
        return replace(bake, plan=replace(plan, steps=tuple(steps)), wished=wished)
    pieces = int(body["pieces"])
    share = pieces / plan.pieces
    steps = []
    for each in plan.steps:
        if each.key == step.key:
            each = replace(each, ladder=_poured(each, body))  # noqa: PLW2901
        elif each.kind is StepKind.FOLD and each.ladder is not None:
            each = replace(each, ladder=_scaled(each.ladder, share))  # noqa: PLW2901
        steps.append(
            replace(
                each,
                grams=share * each.grams if each.kind in OF_ALL else each.grams,
                pieces=min(each.pieces, pieces),
            )
        )
    return replace(bake, plan=replace(plan, steps=tuple(steps), pieces=pieces), wished=wished)


def _poured(step: Step, body: Mapping[str, Any]) -> Ladder:
    planned, grams = step.ladder, body["pours"]
    if planned is None or len(planned.pours) != len(grams):
        many = 0 if planned is None else len(planned.pours)
        raise InputError("pours", len(grams), say("{n} of them, as its ladder has", n=many))
    water_c = body.get("water_c")
    pours = [
        replace(
            pour,
            grams=float(each),
            temperature_c=pour.temperature_c
            if water_c is None or not _is_water(pour.kind, pour.name)
            else water_c,
        )
        for pour, each in zip(planned.pours, grams, strict=True)
    ]
    return ladder(planned.vessel, planned.tare_g, planned.step_g, pours, planned.more)


def _is_water(kind: PourKind, name: str) -> bool:
    return kind is PourKind.INGREDIENT and name == "water"


def _scaled(planned: Ladder, share: float) -> Ladder:
    pours = [replace(pour, grams=share * pour.grams) for pour in planned.pours]
    return ladder(planned.vessel, planned.tare_g, planned.step_g, pours, planned.more)
