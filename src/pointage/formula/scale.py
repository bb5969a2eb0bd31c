"""Scale a formula to pieces: exact grams, rounded once to the step of the scale."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction

from pointage.errors import InputError
from pointage.formula.formula import MOST_PIECE_G, MOST_PIECES, Formula, Stage, StageKind
from pointage.formula.ingredients import ingredient, split
from pointage.formula.rounding import round_to_total
from pointage.quantities import print_number

Grams = dict[str, Fraction]

SEED = "seed"
LEAST_STEP_G = Fraction(1, 1000)


@dataclass(frozen=True, slots=True)
class ScaledRow:
    """Grams of one ingredient, as rounded and exact, and its percent of the total flour."""

    name: str
    grams: Fraction
    exact: Fraction
    percent: Fraction


@dataclass(frozen=True, slots=True)
class ScaledStage:
    """One stage in grams.

    Where its seed is known the levain has a row "seed", first, and the other rows are what is
    added fresh. hydration is that of the stage, its seed counted.
    """

    name: str
    kind: StageKind
    rows: tuple[ScaledRow, ...]
    hydration: Fraction

    @property
    def total_g(self) -> Fraction:
        """Grams of the whole stage."""
        return sum((row.grams for row in self.rows), Fraction())


@dataclass(frozen=True, slots=True)
class Scaled:
    """A batch. rows: the total formula; what a seed is made of counts in its flour and water.

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

    @property
    def total_g(self) -> Fraction:
        """Grams of the batch."""
        return sum((row.grams for row in self.rows), Fraction())

    @property
    def lost(self) -> tuple[str, ...]:
        """What is too little for the step of the scale and rounds to nothing, a sentence each."""
        return tuple(
            f"{print_number(float(row.exact), 2)} g of {ingredient(row.name).label} in the "
            f"{stage.name} is too little for a scale in {print_number(float(self.step_g), 3)} g: "
            "weigh it on a finer one"
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
    culture_hydration: Fraction | None = None,
) -> Scaled:
    """`formula` for `pieces` pieces of `piece_g` grams, weighed in steps of `step_g` grams.

    The rows sum to pieces × piece to the step, and an ingredient's grams in the stages sum to its
    row; each is less than a step from exact. seed: mass of the seed over the levain's flour, when
    the formula leaves it open; culture_hydration: water over flour of the culture it is taken from.
    With both the seed becomes a row, its flour taken to be of the stage's kinds, and the fresh
    flour and water are less by what it brings. Raises InputError for no pieces, no mass, a step
    larger than the batch, and a seed that brings more than the levain has.
    """
    _check(pieces, piece_g, step_g)
    gram = pieces * piece_g / sum(formula.total.values(), Fraction())  # grams for each percent
    exact = {name: percent * gram for name, percent in formula.total.items()}
    whole = round_to_total(exact, step_g)
    cells = {
        name: round_to_total(
            {
                stage.name: stage.ingredients[name] * gram
                for stage in formula.stages
                if name in stage.ingredients
            },
            step_g,
            grams,
        )
        for name, grams in whole.items()
    }
    stages = []
    for stage in formula.stages:
        precise = {name: percent * gram for name, percent in stage.ingredients.items()}
        rounded = {name: cells[name][stage.name] for name in stage.ingredients}
        share = stage.seed if stage.seed is not None else seed
        if stage.kind is StageKind.LEVAIN and share and culture_hydration is not None:
            field = f"{formula.slug}, stage {stage.name}, seed"
            brings = _brought(stage, share, culture_hydration, gram, field)
            rows = _seeded(precise, rounded, brings, gram, step_g)
        else:
            rows = _rows(precise, rounded, gram)
        stages.append(ScaledStage(stage.name, stage.kind, rows, stage.hydration))
    return Scaled(
        pieces=pieces,
        piece_g=piece_g,
        step_g=step_g,
        rows=_rows(exact, whole, gram),
        stages=tuple(stages),
        hydration=formula.hydration,
        prefermented_flour=formula.prefermented_flour,
        dough_yield=formula.dough_yield,
    )


def _check(pieces: int, piece_g: Fraction, step_g: Fraction) -> None:
    if not 1 <= pieces <= MOST_PIECES:
        raise InputError("pieces", pieces, f"from 1 to {MOST_PIECES} pieces")
    if not 0 < piece_g <= MOST_PIECE_G:
        expected = "the mass of a piece, such as 900g, up to 50kg"
        raise InputError("piece", f"{float(piece_g):g} g", expected)
    if step_g < LEAST_STEP_G:
        expected = "the step of the scale, such as 1g, from 0.001g"
        raise InputError("step", f"{float(step_g):g} g", expected)
    if step_g > pieces * piece_g:
        raise InputError(
            "step", f"{float(step_g):g} g", f"less than the batch, {float(pieces * piece_g):g} g"
        )


def _rows(exact: Mapping[str, Fraction], grams: Grams, gram: Fraction) -> tuple[ScaledRow, ...]:
    return tuple(
        ScaledRow(name, grams[name], precise, precise / gram) for name, precise in exact.items()
    )


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
                f"less: with a culture of {float(hydration):.0%} hydration it brings "
                f"{float(grams):.0f} g of {name}, and the stage has {float(has):.0f} g",
            )
    return brings


def _seeded(
    exact: Grams, rounded: Grams, brings: Grams, gram: Fraction, step: Fraction
) -> tuple[ScaledRow, ...]:
    """The levain's rows with its seed apart; the sum of the stage stays as it was rounded."""
    parts = round_to_total(brings, step)
    parts = {name: min(grams, rounded[name]) for name, grams in parts.items()}
    seed = sum(brings.values(), Fraction())
    none = Fraction()
    fresh = {name: grams - brings.get(name, none) for name, grams in exact.items()}
    weighed = {name: rounded[name] - parts.get(name, none) for name in fresh}
    first = ScaledRow(SEED, sum(parts.values(), none), seed, seed / gram)
    return (first, *_rows(fresh, weighed, gram))
