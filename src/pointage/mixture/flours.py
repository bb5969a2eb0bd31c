"""Kinds of flour as a fermenting mixture meets them: ash, sugars, enzymes, hold on gas, life."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, fields, replace
from difflib import get_close_matches
from functools import cache
from math import log10

from pointage.data import listed, load
from pointage.errors import InputError

COUNTS = ("yeast", "bacteria", "early")


@dataclass(frozen=True, slots=True)
class FlourKind:
    """One kind of flour; data/parameters/flours.toml gives units and sources."""

    ash: float
    sugar: float
    maltose: float
    enzymes: float
    retention: float
    best_hydration: float
    yeast: float
    bacteria: float
    early: float


def flour_kinds() -> tuple[str, ...]:
    """The names of the kinds that the engine knows."""
    return tuple(load("parameters/flours.toml"))


def flour_kind(name: str, field: str = "flour kind") -> FlourKind:
    """The kind called `name`, or what a flour of data/ingredients/ of that name ferments as.

    Raises InputError with the nearest names.
    """
    found = blend(_kinds(name, field))
    counts = {figure: log10(getattr(found, figure)) for figure in COUNTS}
    return replace(found, **counts)


def blend(flours: Mapping[str, float]) -> FlourKind:
    """The kind that a blend behaves as: figures averaged by mass, counts as plain numbers."""
    table = load("parameters/flours.toml")
    total = sum(flours.values())
    shares = [
        (FlourKind(**table[kind]), grams / total * share)
        for name, grams in flours.items()
        for kind, share in _kinds(name, "flour kind").items()
    ]
    figures: dict[str, float] = {}
    for figure in fields(FlourKind):
        values = [(getattr(kind, figure.name), share) for kind, share in shares]
        if figure.name in COUNTS:
            figures[figure.name] = sum(share * 10.0**value for value, share in values)
        else:
            figures[figure.name] = sum(share * value for value, share in values)
    return FlourKind(**figures)


def _kinds(name: str, field: str) -> Mapping[str, float]:
    """The engine's kinds that a flour ferments as, by share. Raises InputError."""
    table = load("parameters/flours.toml")
    if name in table:
        return {name: 1.0}
    others = _ferment_as()
    if name not in others:
        near = get_close_matches(name, (*table, *others), n=3, cutoff=0.3) or list(table)
        raise InputError(field, repr(name), "a kind such as " + ", ".join(near))
    return others[name]


@cache
def _ferment_as() -> Mapping[str, Mapping[str, float]]:
    found: dict[str, Mapping[str, float]] = {}
    for path in listed("ingredients"):
        for name, given in load(path).items():
            kinds = given.get("ferments_as")
            if kinds is not None:
                found[name] = {kinds: 1.0} if isinstance(kinds, str) else kinds
    return found
