"""A formula for so many pieces."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime
from fractions import Fraction
from typing import Any

from pointage.desk.formulas.on_hand import aged_words, as_on_hand, moved_words, with_discard
from pointage.desk.wording.lists import all_of
from pointage.errors import Faults, InputError
from pointage.formula.aim import (
    BREAD_EACH_G,
    OVEN_LOSS,
    Aim,
    Limit,
    aim,
    before_baking,
    for_people,
    from_flour,
    from_levain,
    from_vessel,
)
from pointage.formula.flour.figures import water_words
from pointage.formula.formula import MOST_PIECES, Formula
from pointage.formula.scale import (
    AS_THE_LEVAIN,
    FineScale,
    Scaled,
    ScaledRow,
    scale,
)
from pointage.kitchen.kitchen import Kitchen, Oven
from pointage.language import say, say_many
from pointage.mixture.flours import Flours
from pointage.quantities import parse_mass, print_measure, print_number

FOR_ONE_G = BREAD_EACH_G


@dataclass(frozen=True, slots=True)
class Wants:
    """What a batch is made to, beside pieces and their mass.

    baked_g: wanted mass of a piece out of the oven, which loses oven_loss of it. bowl_loss: share
    that sticks. flour_on_hand: "5kg", or "rye-whole:2kg" for a kind. levain_g: ripe levain that
    there is, as wet as the formula's. vessel_l: litres that the dough may fill at `rise` times its
    volume, the most of the bulk when that is None. loads: of the one of `ovens` that the formula is
    for, None where no loads are asked for. fine: a second scale, for small amounts.
    levain_hydration: of the levain that there is, where it is not the formula's; water moves
    between it and the dough, which stays the same. people: who eat of it. tin_l: litres of the
    tin that a piece fills when it has proofed. levain_flours: of the levain that there is, shares
    by kind, where they are not the formula's; levain_age_h: hours since it was mixed. discard_g: of
    discard that stands for flour and water of the dough, as wet and of the flours of the levain
    that there is, or of discard_hydration.
    """

    baked_g: Fraction | None = None
    oven_loss: Fraction = OVEN_LOSS
    bowl_loss: Fraction = Fraction()
    flour_on_hand: tuple[str, ...] = ()
    levain_g: Fraction | None = None
    vessel_l: Fraction | None = None
    rise: float | None = None
    ovens: tuple[Oven, ...] | None = None
    loads: int = 1
    fine: FineScale | None = None
    levain_hydration: Fraction | None = None
    people: int | None = None
    tin_l: Fraction | None = None
    levain_flours: Mapping[str, Fraction] | None = None
    levain_age_h: float | None = None
    discard_g: Fraction | None = None
    discard_hydration: Fraction | None = None


@dataclass(frozen=True, slots=True)
class ScaleAnswer:
    """A batch, weighed.

    warnings: what is too little for the scale, and the water that the flours' own figures ask for,
    a sentence each. notes: what another levain moves, and how it is.
    """

    batch: Scaled
    formula: Formula
    wants: Wants
    flours: Flours = field(default_factory=dict)
    notes: tuple[str, ...] = ()

    @property
    def warnings(self) -> tuple[str, ...]:
        grams = {row.name: row.grams for row in self.batch.rows}
        return (*self.batch.lost, *water_words(grams, {**self.flours, **self.formula.flours}))

    def as_json(self) -> dict[str, Any]:
        """Grams; percent of the total flour; hydration and prefermented flour as fractions."""
        batch, water = self.batch, self.formula.hydrations
        return {
            "ingredients": [_row(row) for row in batch.rows],
            "stages": [
                {
                    "name": stage.name,
                    "kind": stage.kind.value,
                    "rows": [_row(row) for row in stage.rows],
                    "takes": [
                        {"name": name, "grams": _number(grams)}
                        for name, grams in stage.takes.items()
                    ],
                    "total_g": _number(stage.total_g),
                    "whole_g": _number(stage.whole_g),
                    "hydration": _number(stage.hydration),
                }
                for stage in batch.stages
            ],
            "pieces": batch.pieces,
            "piece_g": _number(batch.piece_g),
            "baked_g": _number(batch.piece_g * (1 - self.wants.oven_loss)),
            "total_g": _number(batch.total_g),
            "drift_g": _number(batch.drift_g),
            "hydration": _number(batch.hydration),
            "hydration_as_poured": _number(water.poured),
            "hydration_without_soaked": _number(water.loose),
            "prefermented_flour": _number(batch.prefermented_flour),
            "dough_yield": _number(batch.dough_yield),
            "notes": list(self.notes),
        }


def scale_formula(
    formula: Formula,
    pieces: int | None,
    piece_g: Fraction | None,
    step_g: Fraction,
    *,
    wants: Wants | None = None,
    flours: Flours | None = None,
    kitchen: Kitchen | None = None,
    now: datetime | None = None,
) -> ScaleAnswer:
    """A formula for `pieces` pieces of `piece_g` grams, in steps of `step_g` grams.

    Pieces left out are as many as `wants` allows; a mass left out is the formula's own, or follows
    from what is wanted. A seed that the formula fixes is weighed apart, from a culture as wet as
    the levain it goes into; one that the plan is to fit stays in the levain's flour and water.
    flours: figures of the sacks in use; the formula's own stand before them. kitchen, now: where
    and when the age of a levain is looked at; without them it is not. Raises InputError.
    """
    wants = wants or Wants()
    own, formula = formula, as_on_hand(formula, wants)
    wanted = aimed(formula, pieces, piece_g, wants)
    formula = with_discard(formula, wants, wanted.pieces * wanted.piece_g)
    batch = scale(
        formula,
        wanted.pieces,
        wanted.piece_g,
        step_g,
        culture_hydration=AS_THE_LEVAIN,
        bowl_loss=wants.bowl_loss,
        fine=wants.fine,
    )
    notes = moved_words(own, wants, batch.total_g)
    if kitchen is not None and now is not None:
        notes += aged_words(own, wants, kitchen, now)
    return ScaleAnswer(batch, formula, wants, flours or {}, notes)


def aimed(formula: Formula, pieces: int | None, piece_g: Fraction | None, wants: Wants) -> Aim:
    """Pieces and their mass, as `scale_formula` makes them. Raises InputError."""
    if wants.baked_g is not None:
        if piece_g is not None:
            raise InputError(
                "baked",
                print_measure(wants.baked_g, "g"),
                say("either the baked weight or the piece, not both"),
            )
        piece_g = before_baking(wants.baked_g, wants.oven_loss)
    if wants.tin_l is not None:
        if piece_g is not None:
            raise InputError(
                "tin",
                say("{volume} l", volume=print_number(float(wants.tin_l), 2)),
                say("either a tin or the mass of a piece, not both"),
            )
        piece_g = _of_tin(formula, wants.tin_l)
    if wants.people is not None:
        if pieces is not None:
            given = say_many("{n} person", "{n} people", wants.people)
            raise InputError("people", given, say("either people or pieces, not both"))
        piece_g = piece_g or formula.piece_g  # as it is, however much more there may be of levain
        pieces = for_people(wants.people, piece_g, wants.oven_loss)
    limits: list[Limit] = []
    if wants.flour_on_hand:
        limits.append(_flour(formula, wants.flour_on_hand))
    if wants.levain_g is not None:
        limits.append(from_levain(formula, wants.levain_g, print_measure(wants.levain_g, "g")))
    if wants.vessel_l is not None:
        rise = wants.rise
        if rise is None:
            rise = formula.process.bulk_rise[2] if formula.process is not None else 2.0
        given = say(
            "{volume} l at a rise of {rise:g}",
            volume=print_number(float(wants.vessel_l), 2),
            rise=rise,
        )
        limits.append(from_vessel(formula, wants.vessel_l, rise, given))
    most = MOST_PIECES
    if wants.ovens is not None:
        if not wants.ovens:
            expected = say("an oven in the kitchen, or a number of pieces")
            raise InputError("loads", wants.loads, expected)
        from pointage.timetable.oven import load_of, ovens_for  # with how loaves bake

        oven = ovens_for(wants.ovens, formula.process)[0]
        most = wants.loads * load_of(oven, formula.process)
    return aim(
        limits, pieces, piece_g, formula.piece_g, bowl_loss=wants.bowl_loss, most_pieces=most
    )


def _of_tin(formula: Formula, litres: Fraction) -> Fraction:
    """The piece that comes to the rim of a tin when it has proofed as far as is wanted."""
    rise = 2.0 if formula.process is None else formula.process.proof_rise[1]
    return from_vessel(formula, litres, rise, "").dough_g


def _flour(formula: Formula, given: Sequence[str]) -> Limit:
    """The limit of "5kg", or of "wheat-white:4kg" and "rye-whole:1kg"."""
    return from_flour(formula, read_on_hand(given, "flour-on-hand"), all_of(given))


def read_on_hand(given: Sequence[str], field: str) -> Fraction | dict[str, Fraction]:
    """Grams of all flour, or of each kind. Raises InputError with every fault."""
    if len(given) == 1 and ":" not in given[0]:
        return parse_mass(given[0], field)
    kinds: dict[str, Fraction] = {}
    faults = Faults()
    for each in given:
        kind, colon, mass = each.partition(":")
        with faults:
            if not colon:
                raise InputError(
                    field, repr(each), say("a kind with its mass, such as rye-whole:2kg")
                )
            kinds[kind.strip()] = parse_mass(mass, field)
    faults.check()
    return kinds


def _row(row: ScaledRow) -> dict[str, Any]:
    return {"name": row.name, "grams": _number(row.grams), "percent": _number(row.percent)}


def _number(value: Fraction) -> float:
    return round(float(value), 6)
