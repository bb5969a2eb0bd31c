"""How long a formula's pieces bake in a kitchen's oven, and what they are then."""

from __future__ import annotations

import math
from collections.abc import Sequence
from fractions import Fraction

from pointage.errors import InputError, RangeError
from pointage.formula.formula import Formula, Process
from pointage.formula.ingredients import ingredient, split
from pointage.heat.baking import (
    BakedOn,
    LoafInOven,
    bake,
    baked_for,
    done_at,
)
from pointage.heat.loaf import BreadType, LoafShape
from pointage.kitchen.kitchen import Kitchen, Oven
from pointage.language import say
from pointage.timetable.remark import (
    Quantity,
    Remark,
    RemarkCode,
    Unit,
    celsius,
)

FRIDGE_C = 5.0  # a retarded loaf as it goes in
RICH = 6.0  # percent of fat and sweetener from which a dough is enriched (ours)
ROLLS_FOR_CRUST = 1.3  # rolls are baked on past a done core, for their crust (ours)


def ovens_for(ovens: Sequence[Oven], process: Process | None) -> tuple[Oven, ...]:
    """The ovens a formula can be baked in, the one to be taken first; none if there is none.

    That which it names where it is there; else each that gets hot enough, as the kitchen has them;
    else the hottest.
    """
    if process is None or not ovens:
        return tuple(ovens)
    named = [each for each in ovens if each.name.casefold() == process.oven_name.casefold()]
    hot = [each for each in ovens if reaches(each, process)]
    return tuple(named or hot or [max(ovens, key=lambda each: each.hottest_c or 0.0)])


def reaches(oven: Oven, process: Process) -> bool:
    """Whether it can be set as hot as the formula wants it."""
    return oven.hottest_c is None or oven.hottest_c >= process.oven.celsius


def load_of(oven: Oven, process: Process | None) -> int:
    """The pieces of one load: its rolls, or its loaves of whatever other shape."""
    rolls = process is not None and process.shape == LoafShape.ROLL
    return oven.rolls if rolls else oven.loaves


def oven_bake(
    formula: Formula,
    process: Process,
    kitchen: Kitchen,
    piece_g: Fraction,
    pieces: int,
    *,
    oven: Oven | None = None,
) -> LoafInOven:
    """The bake of one load of at most `pieces`. A dough that may be retarded comes cold.

    oven: the first for the formula if it is left out.
    """
    oven = oven or ovens_for(kitchen.ovens, process)[0]
    tin = process.shape == LoafShape.TIN
    usual = 0.0 if tin else 10.0
    return LoafInOven(
        mass_kg=float(piece_g) / 1000,
        shape=LoafShape(process.shape),
        oven_c=process.oven.celsius,
        start_c=FRIDGE_C if process.retard_place else process.dough_temperature.celsius,
        bread=bread_type(formula),
        stands=BakedOn.TIN if tin else BakedOn(oven.surface),
        altitude_m=kitchen.altitude_m,
        steam_minutes=usual if oven.steam_minutes is None or tin else oven.steam_minutes,
        loaves=min(load_of(oven, process), pieces),
        offset_k=oven.offset_k,
    )


def bread_type(formula: Formula) -> BreadType:
    """rye when most of the flour is rye or whole; soft with much fat or sweetener; else lean."""
    heavy = sum(
        float(part * split(name).flour)
        for name, part in formula.total.items()
        if name.startswith("rye") or name.endswith("-whole")
    )
    if heavy > 50.0:
        return BreadType.RYE
    rich = sum(
        float(part)
        for name, part in formula.total.items()
        if ingredient(name).kind in ("fat", "sweetener")
    )
    return BreadType.SOFT if rich >= RICH else BreadType.LEAN


def bake_minutes(
    formula: Formula,
    process: Process,
    kitchen: Kitchen,
    piece_g: Fraction,
    pieces: int,
    *,
    oven: Oven | None = None,
) -> float:
    """Minutes in the oven: the formula's own, else until the core is done, whole minutes up.

    Raises InputError when the formula gives none and the pieces would never be done.
    """
    if process.bake_minutes is not None:
        return process.bake_minutes
    what = oven_bake(formula, process, kitchen, piece_g, pieces, oven=oven)
    try:
        minutes = bake(what).minutes
    except RangeError as error:
        field = say("{formula}, process, oven", formula=formula.name)
        raise InputError(
            field,
            f"{process.oven.celsius:g}C",
            say("a hotter oven, or 'bake': {error}", error=error),
        ) from None
    return float(math.ceil(minutes * (ROLLS_FOR_CRUST if what.shape == LoafShape.ROLL else 1.0)))


def baked_through(what: LoafInOven, minutes: float) -> Remark:
    """What to look for: the core that is done, and what a piece weighs after so many minutes."""
    _, loss = baked_for(what, minutes)
    grams = 1000 * what.mass_kg * (1 - loss)
    step = 1 if grams < 200 else 5
    weighs = float(step * round(grams / step))
    about = {"core": celsius(round(done_at(what))), "mass": Quantity(weighs, Unit.GRAM)}
    return Remark(RemarkCode.BAKED_THROUGH, about)
