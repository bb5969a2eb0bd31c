"""Kinds of flour as a fermenting mixture meets them: ash, sugars, enzymes, hold on gas, life."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, fields
from difflib import get_close_matches

from pointage.data import load
from pointage.errors import InputError


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
    """The kind called `name`. Raises InputError with the nearest names."""
    table = load("parameters/flours.toml")
    if name not in table:
        near = get_close_matches(name, table, n=3, cutoff=0.3) or list(table)
        raise InputError(field, repr(name), "a kind such as " + ", ".join(near))
    return FlourKind(**table[name])


def blend(flours: Mapping[str, float]) -> FlourKind:
    """The kind that a blend behaves as: figures averaged by mass, counts as plain numbers."""
    total = sum(flours.values())
    kinds = [(flour_kind(name), grams / total) for name, grams in flours.items()]
    figures: dict[str, float] = {}
    for figure in fields(FlourKind):
        values = [(getattr(kind, figure.name), share) for kind, share in kinds]
        if figure.name in {"yeast", "bacteria", "early"}:
            figures[figure.name] = sum(share * 10.0**value for value, share in values)
        else:
            figures[figure.name] = sum(share * value for value, share in values)
    return FlourKind(**figures)
