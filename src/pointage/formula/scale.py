"""Scale a formula to pieces: exact grams, rounded once to the step of the scale."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from fractions import Fraction
from typing import Literal

from pointage.bounds import DOUGH_LOSS, PIECE_G, PIECES, STEP_G
from pointage.errors import At, InputError
from pointage.formula.formula import (
    Formula,
    Stage,
    StageKind,
)
from pointage.formula.ingredients import ingredient, split
from pointage.language import say
from pointage.quantities import print_measure, print_number
from pointage.rounding import round_to_step, round_to_total

Grams = dict[str, Fraction]
Cell = tuple[str, str]
"""A stage and an ingredient in it."""

SEED = "seed"
AS_THE_LEVAIN: Literal["as the levain"] = "as the levain"
SMALL_STEPS = 100
"""Less than so many steps of the bench scale is weighed on the finer one (ours): half a step is
then never more than half a percent."""


@dataclass(frozen=True, slots=True)
class FineScale:
    """A finer scale for small amounts: its step and the most it carries, grams."""

    step_g: Fraction
    capacity_g: Fraction


@dataclass(frozen=True, slots=True)
class ScaledRow:
    """Grams of one ingredient, as rounded and exact, and its percent of the total flour.

    step_g: of the scale it is weighed on; None for a row that is weighed in several parts.
    """

    name: str
    grams: Fraction
    exact: Fraction
    percent: Fraction
    step_g: Fraction | None = None


@dataclass(frozen=True, slots=True)
class ScaledStage:
    """One stage in grams.

    rows: what is put to it. Where its seed is known the levain has a row "seed", first, and the
    others are what is added fresh. takes: grams of other stages that go in. hydration is that of
    the stage, seed and other stages counted.
    """

    name: str
    kind: StageKind
    rows: tuple[ScaledRow, ...]
    hydration: Fraction
    takes: Mapping[str, Fraction] = field(default_factory=dict)

    @property
    def total_g(self) -> Fraction:
        """Grams put to the stage, without other stages."""
        return sum((row.grams for row in self.rows), Fraction())

    @property
    def whole_g(self) -> Fraction:
        """Grams of the whole stage, what it takes of others counted."""
        return self.total_g + sum(self.takes.values(), Fraction())


@dataclass(frozen=True, slots=True)
class Scaled:
    """A batch. rows: the total formula; what a seed is made of counts in its flour and water.

    exact_g: what the batch would weigh if nothing were rounded, what sticks to the bowl counted.
    hydration and prefermented_flour are fractions of the flour; dough_yield is 172 at 72 %.
    """

    pieces: int
    piece_g: Fraction
    step_g: Fraction
    rows: tuple[ScaledRow, ...]
    stages: tuple[ScaledStage, ...]
    hydration: Fraction
    prefermented_flour: Fraction
    dough_yield: Fraction
    exact_g: Fraction

    @property
    def total_g(self) -> Fraction:
        """Grams of the batch."""
        return sum((row.grams for row in self.rows), Fraction())

    @property
    def drift_g(self) -> Fraction:
        """By how much rounding has made the batch heavier."""
        return self.total_g - self.exact_g

    def stage(self, name: str) -> ScaledStage:
        """The stage called `name`."""
        return next(each for each in self.stages if each.name == name)

    @property
    def lost(self) -> tuple[str, ...]:
        """What is too little for the step of the scale and rounds to nothing, a sentence each."""
        return tuple(
            say(
                "{grams} g of {ingredient} in the {stage} is too little for a scale in {step} g: "
                "weigh it on a finer one",
                grams=print_number(float(row.exact), 2),
                ingredient=say(ingredient(row.name).label),
                stage=stage.name,
                step=print_number(float(row.step_g or self.step_g), 3),
            )
            for stage in self.stages
            for row in stage.rows
            if row.exact and not row.grams and row.name != SEED
        )


def scale(
    formula: Formula,
    pieces: int,
    piece_g: Fraction,
    step_g: Fraction,
    *,
    seed: Fraction | None = None,
    culture_hydration: Fraction | Literal["as the levain"] | None = None,
    bowl_loss: Fraction = Fraction(),
    fine: FineScale | None = None,
) -> Scaled:
    """`formula` for `pieces` pieces of `piece_g` grams, weighed in steps of `step_g` grams.

    The rows sum to the batch to the step, and an ingredient's grams in the stages sum to its row;
    each cell is rounded once, by less than a step of the scale it is weighed on. bowl_loss: share
    of the dough that sticks to bowl and hands, made on top. fine: a second scale for what is small.

    seed: mass of the seed over the first build's flour, when the formula leaves it open;
    culture_hydration: water over flour of the culture it is taken from, or AS_THE_LEVAIN. With both
    the seed becomes a row, its flour taken to be of the stage's kinds, and the fresh flour and
    water are less by what it brings.

    Raises InputError for no pieces, no mass, a step larger than the batch, a loss of more than half
    and a seed that brings more than the levain has.
    """
    _check(pieces, piece_g, step_g, bowl_loss, fine)
    dough_g = pieces * piece_g / (1 - bowl_loss)
    gram = dough_g / sum(formula.total.values(), Fraction())  # grams for each percent
    cells = {
        (stage.name, name): percent * gram
        for stage in formula.stages
        for name, percent in stage.ingredients.items()
    }
    steps = {cell: _step(grams, step_g, fine) for cell, grams in cells.items()}
    weighed = _weighed(cells, steps, step_g, dough_g)
    stages: dict[str, ScaledStage] = {}
    for stage in formula.stages:
        own = [(stage.name, name) for name in stage.ingredients]
        rows = tuple(_row(cell[1], weighed[cell], cells[cell], gram, steps[cell]) for cell in own)
        share = stage.seed
        if share is None and formula.builds and stage is formula.builds[0]:
            share = seed
        if stage.kind is StageKind.LEVAIN and share and culture_hydration is not None:
            wet = stage.hydration if culture_hydration == AS_THE_LEVAIN else culture_hydration
            assert isinstance(wet, Fraction)
            field = At(
                say("{formula}, stage {stage}, seed", formula=formula.slug, stage=stage.name),
                (f"{formula.slug}, stage {stage.name}, seed",),
            )
            brings = _brought(stage, share, wet, gram, field)
            rows = _seeded(rows, brings, gram, max(steps[cell] for cell in own))
        stages[stage.name] = ScaledStage(
            stage.name, stage.kind, rows, formula.whole(stage).hydration
        )
    stages = _with_parts(formula, stages, min([step_g, *steps.values()]))
    return Scaled(
        pieces=pieces,
        piece_g=piece_g,
        step_g=step_g,
        rows=tuple(
            _row(
                name,
                sum((grams for cell, grams in weighed.items() if cell[1] == name), Fraction()),
                percent * gram,
                gram,
            )
            for name, percent in formula.total.items()
        ),
        stages=tuple(stages.values()),
        hydration=formula.hydration,
        prefermented_flour=formula.prefermented_flour,
        dough_yield=formula.dough_yield,
        exact_g=dough_g,
    )


def _check(
    pieces: int, piece_g: Fraction, step_g: Fraction, loss: Fraction, fine: FineScale | None
) -> None:
    PIECES.check(pieces, "pieces")
    PIECE_G.check(piece_g, "piece")
    STEP_G.check(step_g, "step")
    if step_g > pieces * piece_g:
        raise InputError(
            "step",
            print_measure(step_g, "g"),
            say("less than the batch, {mass}", mass=print_measure(pieces * piece_g, "g")),
        )
    DOUGH_LOSS.check(100 * loss, "bowl-loss")
    if fine is not None and not (STEP_G.holds(fine.step_g) and fine.step_g <= step_g / 2):
        raise InputError(
            "fine-step",
            print_measure(fine.step_g, "g"),
            say(
                "a step from 0.001 g to half of the other scale's, {half:g} g",
                half=float(step_g / 2),
            ),
        )


def _step(grams: Fraction, step_g: Fraction, fine: FineScale | None) -> Fraction:
    """The step of the scale on which so many grams are weighed."""
    if fine is not None and grams < SMALL_STEPS * step_g and grams <= fine.capacity_g:
        return fine.step_g
    return step_g


def _weighed(
    cells: Mapping[Cell, Fraction],
    steps: Mapping[Cell, Fraction],
    step_g: Fraction,
    dough_g: Fraction,
) -> dict[Cell, Fraction]:
    """Every cell rounded once.

    The small ones first; the others then come to what is left of the batch, first by ingredient,
    then by stage.
    """
    small = {cell: grams for cell, grams in cells.items() if steps[cell] < step_g}
    weighed = round_to_total(small, min(steps.values())) if small else {}
    coarse: dict[str, dict[Cell, Fraction]] = {}
    for cell, grams in cells.items():
        if cell not in small:
            coarse.setdefault(cell[1], {})[cell] = grams
    left = round_to_step(dough_g - sum(weighed.values(), Fraction()), step_g)
    sums = {name: sum(parts.values(), Fraction()) for name, parts in coarse.items()}
    for name, total in round_to_total(sums, step_g, left if sums else None).items():
        weighed |= round_to_total(coarse[name], step_g, total)
    return weighed


def _with_parts(
    formula: Formula, stages: Mapping[str, ScaledStage], step_g: Fraction
) -> dict[str, ScaledStage]:
    """The stages with grams of what each takes of others, every stage used up to the step."""
    found = dict(stages)
    takes: dict[str, Grams] = {name: {} for name in stages}
    ready_before = [each for each in formula.stages if each.kind is not StageKind.DOUGH]
    for stage in (*ready_before, formula.dough):
        found[stage.name] = replace(found[stage.name], takes=takes[stage.name])
        whole = found[stage.name].whole_g
        takers = {
            each.name: whole * each.parts_of[stage.name]
            for each in formula.stages
            if stage.name in each.parts_of
        }
        for taker, grams in round_to_total(takers, step_g, whole if takers else None).items():
            takes[taker][stage.name] = grams
    return found


def _row(
    name: str,
    grams: Fraction,
    exact: Fraction,
    gram: Fraction,
    step_g: Fraction | None = None,
) -> ScaledRow:
    return ScaledRow(name, grams, exact, exact / gram, step_g)


def _brought(
    stage: Stage, share: Fraction, hydration: Fraction, gram: Fraction, field: str
) -> Grams:
    """Exact grams of each flour and of the water that the seed brings into its levain."""
    seed = share * stage.flour * gram
    flour = seed / (1 + hydration)
    brings = {
        name: flour * part / stage.flour
        for name, part in stage.ingredients.items()
        if split(name).flour
    }
    brings["water"] = seed - flour
    for name, grams in brings.items():
        has = stage.ingredients.get(name, Fraction()) * gram
        if grams > has:
            raise InputError(
                field,
                f"{print_number(float(share * 100))} %",
                say(
                    "less: with a culture of {hydration:.0%} hydration it brings {grams:.0f} g "
                    "of {name}, and the stage has {has:.0f} g",
                    hydration=float(hydration),
                    grams=float(grams),
                    name=name,
                    has=float(has),
                ),
            )
    return brings


def _seeded(
    rows: Sequence[ScaledRow], brings: Grams, gram: Fraction, step_g: Fraction
) -> tuple[ScaledRow, ...]:
    """The levain's rows with its seed apart; the sum of the stage stays as it was rounded."""
    none = Fraction()
    rounded = {row.name: row.grams for row in rows}
    parts = {
        name: min(grams, rounded[name]) for name, grams in round_to_total(brings, step_g).items()
    }
    first = _row(SEED, sum(parts.values(), none), sum(brings.values(), none), gram, step_g)
    fresh = (
        _row(
            row.name,
            row.grams - parts.get(row.name, none),
            row.exact - brings.get(row.name, none),
            gram,
            row.step_g,
        )
        for row in rows
    )
    return (first, *fresh)
