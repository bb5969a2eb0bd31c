"""A method to begin with, by kind of bread, in the places that the kitchen has."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from fractions import Fraction
from functools import cache
from typing import Any

from pointage.data import load
from pointage.errors import InputError
from pointage.formula.file.process import read_process
from pointage.formula.file.shape import ProcessTable
from pointage.formula.formula import Formula, Process, Stage, StageKind
from pointage.formula.ingredients import Ingredient, ingredient
from pointage.kitchen.kitchen import Kitchen, PlaceKind
from pointage.language import say
from pointage.quantities import Temperature

WARM, FRIDGE = "warm", "fridge"
STANDS_H = {StageKind.SOAKER: (2.0, 16.0), StageKind.SCALD: (4.0, 16.0)}
"""Least and most hours of one that says none: long enough to be soft, or cold. Common practice, no
source."""


RICH = ("fat", "sweetener")
LEAST_RICH = 10
"""Percent of the flour from which a dough is called enriched. Common practice, no source."""
WHOLE_ASH = 1.3
"""Percent of a flour, from which it is whole: the least of a whole wheat by the national types."""
BY_SHAPE = {"roll": "rolls", "flat": "flatbread"}


def methods() -> Mapping[str, str]:
    """The kinds of bread there is a method for, by name, each with its label in English."""
    return {name: table["label"] for name, table in load("methods.toml").items()}


def kind_of(formula: Formula) -> str:
    """Which of `methods` a formula is of, by its shape, its flours and how it proofs; "" for one
    that does not say how it is worked."""
    process = formula.process
    if process is None:
        return ""
    flours = _part(formula, lambda it: it.kind == "flour")
    rye = _part(formula, lambda it: it.kind == "flour" and it.name.startswith("rye-"))
    whole = _part(formula, lambda it: it.kind == "flour" and it.ash >= WHOLE_ASH)
    tin = process.shape == "tin"
    kinds = {
        "tinned-rye": tin and 2 * rye >= flours,
        "enriched": _part(formula, lambda it: it.kind in RICH) >= LEAST_RICH,
        "pan-loaf": tin,
        "wholegrain": 2 * whole >= flours,
        "hearth-retarded": process.retard_place is not None,
        "hearth-same-day": True,
    }
    return BY_SHAPE.get(process.shape) or next(kind for kind, is_so in kinds.items() if is_so)


def _part(formula: Formula, of: Callable[[Ingredient], bool]) -> Fraction:
    """Percent of the flour."""
    found = (part for name, part in formula.total.items() if of(ingredient(name)))
    return sum(found, Fraction())


def with_method(formula: Formula, kind: str, kitchen: Kitchen) -> Formula:
    """The formula with the method of a kind of bread, in place of its own where it has one.

    Its levains stand where the dough does, and soakers and scalds get hours, where they say none. A
    kitchen without a fridge never retards. Raises InputError, field "method", for another kind.
    """
    if kind not in methods():
        names = ", ".join(methods())
        raise InputError("method", repr(kind), say("one of {names}", names=names))
    own = _process(kind)
    warm, fridge = _warm(kitchen), _of_kind(kitchen, PlaceKind.FRIDGE)
    process = replace(own, bulk_place=warm, proof_place=warm, bake_note=say(own.bake_note))
    if own.retard_place is not None:
        process = replace(
            process,
            retard_place=fridge or None,
            retard_rise=own.retard_rise if fridge else None,
        )
    most = max((stage.fold for stage in formula.stages), default=0)
    process = replace(process, folds=max(process.folds, most))
    stages = tuple(_stage(each, warm, process.dough_temperature) for each in formula.stages)
    return replace(formula, stages=stages, process=process)


def _stage(stage: Stage, warm: str, temperature: Temperature) -> Stage:
    if stage.kind is StageKind.LEVAIN and stage.place is None:
        return replace(stage, place=warm, temperature=stage.temperature or temperature)
    if stage.kind in STANDS_H and not stage.most_hours:
        least, most = STANDS_H[stage.kind]
        return replace(stage, least_hours=least, most_hours=most)
    return stage


@cache
def _process(kind: str) -> Process:
    table: dict[str, Any] = {k: v for k, v in load("methods.toml")[kind].items() if k != "label"}
    return read_process(ProcessTable.model_validate(table), "methods.toml")


def _warm(kitchen: Kitchen) -> str:
    """Where dough rises best: a warm place, else the room."""
    return _of_kind(kitchen, PlaceKind.WARM) or _of_kind(kitchen, PlaceKind.ROOM) or WARM


def _of_kind(kitchen: Kitchen, kind: PlaceKind) -> str:
    return next((each.name for each in kitchen.places if each.kind is kind), "")
