"""A formula: its stages in percent of the total flour, and how the dough is worked.

Everything is exact (`Fraction`); grams come from formula/scale.py.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction
from functools import cached_property

from pointage.formula.ingredients import ingredient, ingredients, split
from pointage.quantities import Temperature

# Beyond these a unit was mistaken.
MOST_PIECES = 10_000
MOST_PIECE_G = 50_000

Rise = tuple[float, float, float]
"""Least, wanted and most: volume over the volume just after mixing."""


class StageKind(StrEnum):
    """What a stage is, in the trade's words."""

    LEVAIN = "levain"
    SOAKER = "soaker"
    SCALD = "scald"
    DOUGH = "dough"


@dataclass(frozen=True)
class Stage:
    """One mix of the formula.

    ingredients: percent of the TOTAL flour by name; a levain's seed counts in its flour and water.
    temperature: wanted after mixing. place: where it stands. seed: mass of the seed over the
    stage's flour (0.2 is 20 %), None when the plan is to fit it. least_hours, most_hours: how long
    a soaker or scald stands.
    """

    name: str
    kind: StageKind
    ingredients: Mapping[str, Fraction]
    temperature: Temperature | None = None
    place: str | None = None
    seed: Fraction | None = None
    least_hours: float = 0.0
    most_hours: float = 0.0

    @cached_property
    def flour(self) -> Fraction:
        """Flour of all kinds, percent of the total flour."""
        return sum(
            (part * split(name).flour for name, part in self.ingredients.items()), Fraction()
        )

    @cached_property
    def water(self) -> Fraction:
        """Water, with the water of milk, egg and the like, percent of the total flour."""
        return sum(
            (part * split(name).water for name, part in self.ingredients.items()), Fraction()
        )

    @property
    def hydration(self) -> Fraction:
        """Water over flour, of this stage alone; 0 when it has no flour."""
        return self.water / self.flour if self.flour else Fraction()

    @property
    def mass(self) -> Fraction:
        """Everything in it, percent of the total flour."""
        return sum(self.ingredients.values(), Fraction())


@dataclass(frozen=True)
class Process:
    """How the dough is worked. Rises count from the volume just after mixing.

    shape_keeps: share of its bubbles that the dough keeps through dividing and shaping, 0 to 1.
    retard_place and retard_rise are both None for a dough that is never retarded.
    shape: boule, bâtard, tin or roll.
    """

    mix_minutes: float
    dough_temperature: Temperature
    bulk_place: str
    bulk_rise: Rise
    folds: int
    fold_every_minutes: float
    fold_minutes: float
    divide_minutes: float
    bench_rest_minutes: float
    shape_minutes: float
    shape_keeps: float
    proof_place: str
    proof_rise: Rise
    retard_place: str | None
    retard_rise: Rise | None
    oven: Temperature
    bake_minutes: float
    load_minutes: float
    cool_minutes: float
    shape: str
    bake_note: str = ""


@dataclass(frozen=True)
class Formula:
    """A formula with the pieces it is usually made for. Exactly one stage is the dough."""

    name: str
    slug: str
    about: str
    culture: str | None
    pieces: int
    piece_g: Fraction
    stages: tuple[Stage, ...]
    process: Process | None
    cautions: tuple[str, ...] = ()

    @cached_property
    def total(self) -> Mapping[str, Fraction]:
        """The total formula: percent of the total flour by name, flours first and most first."""
        sums: dict[str, Fraction] = {}
        for stage in self.stages:
            for name, part in stage.ingredients.items():
                sums[name] = sums.get(name, Fraction()) + part
        kinds = list(dict.fromkeys(each.kind for each in ingredients().values()))
        return dict(
            sorted(sums.items(), key=lambda row: (kinds.index(ingredient(row[0]).kind), -row[1]))
        )

    @property
    def hydration(self) -> Fraction:
        """Water over flour of the whole."""
        water = sum((stage.water for stage in self.stages), Fraction())
        return water / sum((stage.flour for stage in self.stages), Fraction())

    @property
    def dough_yield(self) -> Fraction:
        """Flour and water for 100 of flour: 172 at a hydration of 72 %."""
        return 100 + 100 * self.hydration

    @property
    def prefermented_flour(self) -> Fraction:
        """Share of all flour that is in a levain."""
        levains = (stage.flour for stage in self.stages if stage.kind is StageKind.LEVAIN)
        return sum(levains, Fraction()) / 100

    @property
    def levain(self) -> Stage | None:
        """The levain, if the formula has one."""
        return next((each for each in self.stages if each.kind is StageKind.LEVAIN), None)

    @property
    def dough(self) -> Stage:
        """The final dough, without what the other stages bring."""
        return next(each for each in self.stages if each.kind is StageKind.DOUGH)

    @property
    def soakers(self) -> tuple[Stage, ...]:
        """Soakers and scalds, in order."""
        kinds = (StageKind.SOAKER, StageKind.SCALD)
        return tuple(each for each in self.stages if each.kind in kinds)
