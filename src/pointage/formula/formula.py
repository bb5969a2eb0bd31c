"""A formula: its stages in percent of the total flour, and how the dough is worked.

Everything is exact (`Fraction`); grams come from formula/scale.py.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from enum import StrEnum
from fractions import Fraction
from functools import cached_property

from pointage.bounds import PIECES
from pointage.formula.ingredients import ingredient, ingredients, split
from pointage.formula.reading.typed import TypedLine
from pointage.mixture.flours import Flours
from pointage.quantities import Temperature

MOST_PIECES = int(PIECES.high)

Rise = tuple[float, float, float]
"""Least, wanted and most: volume over the volume just after mixing."""


class StageKind(StrEnum):
    """What a stage is, in the trade's words."""

    LEVAIN = "levain"
    SOAKER = "soaker"
    SCALD = "scald"
    OLD_DOUGH = "old dough"
    ADDITION = "addition"
    DOUGH = "dough"


ALL = "all"
WORDS = (
    ALL, "mix", "bulk", "fold", "divide", "rest", "shape", "proof", "retard", "bake", "cool",
)  # fmt: skip
"""What the author's own words may be beside: the whole of the method, or a step of it."""
LONGEST_WORDS = 4000
MARKS = ("put_away", "removed", "favourite")
"""What the book says of a formula, not the baker of the bread."""

STANDS = (StageKind.SOAKER, StageKind.SCALD)
FERMENTED = (StageKind.LEVAIN, StageKind.OLD_DOUGH)


@dataclass(frozen=True)
class IngredientPercents:
    """What is in something: percent of the TOTAL flour by name of ingredient."""

    ingredients: Mapping[str, Fraction]

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
        """Water over flour; 0 when there is no flour."""
        return self.water / self.flour if self.flour else Fraction()

    @property
    def mass(self) -> Fraction:
        """Everything in it, percent of the total flour."""
        return sum(self.ingredients.values(), Fraction())

    def times(self, share: Fraction) -> IngredientPercents:
        """A share of it."""
        return IngredientPercents({name: share * part for name, part in self.ingredients.items()})

    def plus(self, other: IngredientPercents) -> IngredientPercents:
        """Both together."""
        sums = dict(self.ingredients)
        for name, part in other.ingredients.items():
            sums[name] = sums.get(name, Fraction()) + part
        return IngredientPercents(sums)


@dataclass(frozen=True, kw_only=True)
class Stage(IngredientPercents):
    """One mix of the formula.

    ingredients, and with them flour, water, hydration and mass, are what is put to this stage
    itself; what it takes from other stages is in `parts_of`, the share of each (1 is the whole of
    it), and `Formula.whole` has both. A levain's seed counts in its flour and water. temperature:
    wanted after mixing. place: where it stands. seed: mass of the seed over the stage's flour (0.2
    is 20 %), None when the plan is to fit it. least_hours, most_hours: how long a soaker or scald
    stands. fold: the fold with which an addition goes in, 0 for the end of the mix. words: the
    author's own on how it is made.
    """

    name: str
    kind: StageKind
    temperature: Temperature | None = None
    place: str | None = None
    seed: Fraction | None = None
    least_hours: float = 0.0
    most_hours: float = 0.0
    parts_of: Mapping[str, Fraction] = field(default_factory=dict)
    fold: int = 0
    words: str = ""


@dataclass(frozen=True)
class Process:
    """How the dough is worked. Rises count from the volume just after mixing.

    shape_keeps: share of its bubbles that the dough keeps through dividing and shaping, 0 to 1.
    retard_place and retard_rise are both None for a dough that is never retarded.
    bake_minutes: None leaves it to the oven's physics. shape: boule, bâtard, tin, roll or flat.
    oven_name: of the kitchen's oven it is for; "" where any that gets hot enough serves.
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
    bake_minutes: float | None
    load_minutes: float
    cool_minutes: float
    shape: str
    bake_note: str = ""
    oven_name: str = ""

    def rise_to_load(self, *, retarded: bool) -> Rise:
        """Least, best and most rise at which it goes into the oven.

        Of a dough that is not for retarding but waits in the cold, that of its proof.
        """
        return self.retard_rise or self.proof_rise if retarded else self.proof_rise


@dataclass(frozen=True, slots=True)
class Hydrations:
    """Water over flour, calculated three ways.

    poured: water alone, the soakers' with it. counted: with the water in milk, egg and the like;
    this is the formula's `hydration`. loose: as counted, without what was poured on soakers that
    have no flour, since seeds and grains hold it.
    """

    poured: Fraction
    counted: Fraction
    loose: Fraction


@dataclass(frozen=True, slots=True)
class Rights:
    """Whose a formula is: author, year and licence, each as it was written; "" where none is."""

    author: str = ""
    year: str = ""
    licence: str = ""


@dataclass(frozen=True)
class Formula:
    """A formula with the pieces it is usually made for.

    flours: the own figures of its flours, by name, where the formula says them. put_away: it is no
    longer offered where one is chosen to be baked. removed: it is not in the book either, and its
    name is free; it is put away too. favourite: it comes first. words: the author's own, by WORDS.
    typed: the lines that it was read from. varies: the name of the formula that it is a variation
    of, and because: why it was changed; both may be empty.
    Exactly one stage is the dough. The stages are in the order in which they are mixed, and each is
    taken whole by the stages after it, in one part or in several (formula/graph.py).
    """

    name: str
    slug: str
    about: str
    culture: str | None
    pieces: int
    piece_g: Fraction
    stages: tuple[Stage, ...]
    process: Process | None
    cautions: tuple[str, ...] = ()
    may_contain: tuple[str, ...] = ()
    rights: Rights = Rights()
    flours: Flours = field(default_factory=dict)
    put_away: bool = False
    removed: bool = False
    favourite: bool = False
    words: Mapping[str, str] = field(default_factory=dict)
    typed: tuple[TypedLine, ...] = ()
    varies: str = ""
    because: str = ""

    @cached_property
    def total(self) -> Mapping[str, Fraction]:
        """The total formula: percent of the total flour by name, flours first and most first."""
        sums = IngredientPercents({})
        for stage in self.stages:
            sums = sums.plus(stage)
        kinds = list(dict.fromkeys(each.kind for each in ingredients().values()))
        return dict(
            sorted(
                sums.ingredients.items(),
                key=lambda row: (kinds.index(ingredient(row[0]).kind), -row[1]),
            )
        )

    def stage(self, name: str) -> Stage:
        """The stage called `name`."""
        return next(each for each in self.stages if each.name == name)

    def whole(self, stage: Stage) -> IngredientPercents:
        """All that is in a stage, what it takes from others counted."""
        found = IngredientPercents(stage.ingredients)
        for name, share in stage.parts_of.items():
            found = found.plus(self.whole(self.stage(name)).times(share))
        return found

    @property
    def hydration(self) -> Fraction:
        """Water over flour of the whole, the water of milk and egg counted."""
        return IngredientPercents(self.total).hydration

    @property
    def hydrations(self) -> Hydrations:
        """Water over flour as poured, as counted, and without what soaked seeds hold."""
        whole = IngredientPercents(self.total)
        held = sum((each.water for each in self.soakers if not each.flour), Fraction())
        poured = whole.ingredients.get("water", Fraction())
        return Hydrations(poured / whole.flour, whole.hydration, (whole.water - held) / whole.flour)

    @property
    def dough_yield(self) -> Fraction:
        """Flour and water for 100 of flour: 172 at a hydration of 72 %."""
        return 100 + 100 * self.hydration

    @property
    def prefermented_flour(self) -> Fraction:
        """Share of all flour that has been in a levain or in the last batch."""
        return self._fermented(self.dough) / IngredientPercents(self.total).flour

    def _fermented(self, stage: Stage) -> Fraction:
        if stage.kind in FERMENTED:
            return self.whole(stage).flour
        return sum(
            (part * self._fermented(self.stage(name)) for name, part in stage.parts_of.items()),
            Fraction(),
        )

    @property
    def levain(self) -> Stage | None:
        """The levain that goes into the dough, if there is one: the last build of it.

        Of several the one with the most flour.
        """
        return self._levain_of(self.dough)

    @property
    def builds(self) -> tuple[Stage, ...]:
        """The builds of that levain, first first; each seeds the next."""
        chain: list[Stage] = []
        stage = self.levain
        while stage is not None:
            chain.append(stage)
            stage = self._levain_of(stage)
        return tuple(chain[::-1])

    def _levain_of(self, stage: Stage) -> Stage | None:
        taken = (each for each in self.levains if each.name in stage.parts_of)
        return max(
            taken, key=lambda each: stage.parts_of[each.name] * self.whole(each).flour, default=None
        )

    @property
    def levains(self) -> tuple[Stage, ...]:
        """Every levain and build of one, in order."""
        return self.of_kind(StageKind.LEVAIN)

    @property
    def dough(self) -> Stage:
        """The final dough, without what the other stages bring."""
        return self.of_kind(StageKind.DOUGH)[0]

    @property
    def soakers(self) -> tuple[Stage, ...]:
        """Soakers and scalds, in order."""
        return self.of_kind(*STANDS)

    @property
    def additions(self) -> tuple[Stage, ...]:
        """What goes in after the mix, in order."""
        return self.of_kind(StageKind.ADDITION)

    def of_kind(self, *kinds: StageKind) -> tuple[Stage, ...]:
        """The stages of some kinds, in order."""
        return tuple(each for each in self.stages if each.kind in kinds)


def unmarked(formula: Formula) -> Formula:
    """A formula as one of its own, of which the book says nothing yet."""
    return replace(formula, put_away=False, removed=False, favourite=False)
