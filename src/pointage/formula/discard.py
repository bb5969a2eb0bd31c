"""Put discard to use: culture that was poured off as part of a dough's flour and water."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from fractions import Fraction
from math import floor

from pointage.errors import InputError
from pointage.formula.formula import Formula, Stage, StageKind
from pointage.formula.ingredients import split
from pointage.formula.scale import Scaled, ScaledStage
from pointage.language import say
from pointage.quantities import print_number
from pointage.rounding import round_to_step, round_to_total

DISCARD = "discard"
WATER = "water"
MUCH = Fraction(1, 10)
"""Share of the flour beyond which discard is tasted: common practice, no source."""


@dataclass(frozen=True, slots=True)
class WithDiscard:
    """The final dough of a batch with discard in it.

    rows: grams by name, "discard" first; with the other stages they make the batch that was asked
    for. flour_share: the discard's flour over all flour of the batch. stands_in: grams of flours in
    the discard that the dough has none of, or too little; they stand in for its other flours.
    """

    rows: Mapping[str, Fraction]
    flour_share: Fraction
    stands_in: Mapping[str, Fraction]

    @property
    def is_much(self) -> bool:
        """Whether it is so much that the dough will be sourer and quicker for it."""
        return self.flour_share > MUCH


def most_discard(batch: Scaled, hydration: Fraction) -> Fraction:
    """The most discard of this hydration that the batch's final dough can take, to the step.

    X = min(F·(1 + h), W·(1 + h)/h) for its flour F and its plain water W. Units: grams.
    """
    dough = _dough(batch)
    flour = sum((row.grams * split(row.name).flour for row in dough.rows), Fraction())
    water = sum((row.grams for row in dough.rows if row.name == WATER), Fraction())
    most = flour * (1 + hydration)
    if hydration:
        most = min(most, water * (1 + hydration) / hydration)
    return floor(most / batch.step_g) * batch.step_g


def with_discard(
    name: str,
    batch: Scaled,
    grams: Fraction,
    hydration: Fraction,
    flours: Mapping[str, Fraction],
) -> WithDiscard:
    """The final dough of `batch` with `grams` of discard for as much of its flour and water.

    The discard, to the scale's step, is X/(1 + h) of flour and the rest water, so the batch keeps
    its mass, its water and all its flour; each kind of flour is taken from its own row, and what
    has no such row from the others in proportion. flours: the discard's flour by kind, as shares.
    name: of the formula, for errors. Raises InputError, field "discard", for none and for more than
    the dough can take.
    """
    taken = round_to_step(grams, batch.step_g)
    most = most_discard(batch, hydration)
    if not 0 < taken <= most:
        expected = say(
            "from {step} to {most}: the loose flour and water of {name}, {pieces} pieces",
            step=_grams(batch.step_g),
            most=_grams(most),
            name=name,
            pieces=batch.pieces,
        )
        raise InputError(DISCARD, _grams(grams), expected)
    dough = _dough(batch)
    rows = {row.name: row.grams for row in dough.rows}
    flour = taken / (1 + hydration)
    left = {kind: grams for kind, grams in rows.items() if split(kind).flour}
    stands_in = {}
    for kind, share in flours.items():
        own = min(left.get(kind, Fraction()), flour * share)
        if own:
            left[kind] -= own
        if flour * share > own:
            stands_in[kind] = flour * share - own
    whole = sum(left.values(), Fraction())
    foreign = sum(stands_in.values(), Fraction())
    if foreign:
        left = {kind: grams - foreign * grams / whole for kind, grams in left.items()}
    exact = left | {WATER: rows.get(WATER, Fraction()) - (taken - flour)}
    total = sum((rows.get(key, Fraction()) for key in exact), Fraction()) - taken
    step = min(row.step_g or batch.step_g for row in dough.rows if row.name in exact)
    rows |= round_to_total(exact, step, total)
    all_flour = sum((row.grams * split(row.name).flour for row in batch.rows), Fraction())
    return WithDiscard(
        {DISCARD: taken, **rows},
        flour / all_flour,
        stands_in,
    )


def with_discard_stage(
    formula: Formula,
    name: str,
    grams: Fraction,
    hydration: Fraction,
    flours: Mapping[str, Fraction],
    *,
    total_g: Fraction,
) -> Formula:
    """The formula with discard as a stage of its own, for as much flour and water of its dough.

    grams: of the discard, in a batch of total_g. flours: its kinds as shares. What the dough has
    none of, or too little, stands in for its other flours in proportion. Raises InputError, field
    "discard", for none and for more than the dough can take, as in `most_discard`.
    """
    dough, gram = dict(formula.dough.ingredients), total_g / sum(formula.total.values(), Fraction())
    loose = sum((part for kind, part in dough.items() if split(kind).flour == 1), Fraction())
    most = loose * (1 + hydration)
    if hydration:
        most = min(most, dough.get(WATER, Fraction()) * (1 + hydration) / hydration)
    if not 0 < grams <= most * gram:
        expected = say(
            "more than 0 and up to {most}, for the loose flour and water of the dough",
            most=_grams(most * gram),
        )
        raise InputError(DISCARD, _grams(grams), expected)
    flour = grams / gram / (1 + hydration)
    own = {kind: flour * share for kind, share in flours.items()}
    water = flour * hydration
    dough[WATER] -= water
    for kind, part in own.items():
        dough[kind] = dough.get(kind, Fraction()) - part
    lacking = sum((part for part in dough.values() if part < 0), Fraction())
    has = {kind: part for kind, part in dough.items() if split(kind).flour == 1 and part > 0}
    whole = sum(has.values(), Fraction())
    dough |= {kind: part + lacking * part / whole for kind, part in has.items()}
    made = Stage(ingredients={**own, WATER: water}, name=name, kind=StageKind.OLD_DOUGH)
    final = replace(
        formula.dough,
        ingredients={kind: part for kind, part in dough.items() if part > 0},
        parts_of={**formula.dough.parts_of, name: Fraction(1)},
    )
    at = formula.stages.index(formula.dough)
    return replace(formula, stages=(*formula.stages[:at], made, final, *formula.stages[at + 1 :]))


def _dough(batch: Scaled) -> ScaledStage:
    return next(stage for stage in batch.stages if stage.kind is StageKind.DOUGH)


def _grams(grams: Fraction) -> str:
    return f"{print_number(float(grams), 1)} g"
