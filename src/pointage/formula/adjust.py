"""Adjust a formula: its salt, its dough yield, its levain's water, its seed by a ripening time."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from fractions import Fraction
from typing import TYPE_CHECKING

from pointage import bounds
from pointage.errors import At, Complaint, InputError
from pointage.formula.final_water import (
    WATER,
    more_water,
    with_part,
    with_stage,
)
from pointage.formula.formula import Formula, Stage
from pointage.formula.ingredients import split
from pointage.language import say
from pointage.quantities import print_number

if TYPE_CHECKING:
    from pointage.mixture.flours import FlourRecord
    from pointage.mixture.mixture import Mixture
    from pointage.mixture.temperature.surroundings import Surroundings
    from pointage.mixture.traits import Traits

SALT = "salt"
YIELDS = (120, 300)
ROUNDS = 4  # the fresh water hangs on the seed, and the seed on the water: it settles in two
FINEST = 10_000


@dataclass(frozen=True, slots=True)
class Seeded:
    """A formula whose seed ripens its levain in time, and the odds that it is ripe then."""

    formula: Formula
    seed: Fraction
    odds: float


def with_salt(formula: Formula, percent: Fraction) -> Formula:
    """The formula with `percent` of the total flour of salt, all that changes in the final dough.

    Range: 0 to 5 %. Raises InputError, field "salt", beyond it and for less than other stages hold.
    """
    bounds.SALT.check(percent, "salt", _percent(percent))
    holders = [each for each in formula.stages if SALT in each.ingredients]
    stage = formula.dough
    if holders and stage not in holders:
        stage = holders[-1]  # salt that is held back stays so
    elsewhere = sum((each.ingredients[SALT] for each in holders if each is not stage), Fraction())
    if percent < elsewhere:
        raise InputError(
            "salt",
            _percent(percent),
            say("{percent} or more, which is in other stages", percent=_percent(elsewhere)),
        )
    return with_stage(formula, with_part(stage, SALT, percent - elsewhere))


def with_dough_yield(formula: Formula, wanted: Fraction) -> Formula:
    """The formula with a dough yield of `wanted`: flour and water for 100 of flour.

    The final dough's water changes. Range: 120 to 300. Raises InputError, field "dough yield".
    """
    low, high = YIELDS
    if not low <= wanted <= high:
        given = print_number(float(wanted), 1)
        raise InputError(
            "dough yield",
            given,
            say("flour and water for 100 of flour, {low} to {high}", low=low, high=high),
        )
    return more_water(formula, wanted - formula.dough_yield, "dough yield")


def with_levain_hydration(formula: Formula, name: str, hydration: Fraction) -> Formula:
    """The formula with a levain of another hydration, its flour and the total formula kept.

    hydration: water over flour of the whole stage, what it takes from others counted. The final
    dough gives or takes the water. Raises InputError, field "stage …, hydration", for one that is
    no levain's, that would need less water than the stage has from others, or more than there is.
    """
    stage = next((each for each in formula.levains if each.name == name), None)
    if stage is None:
        names = ", ".join(each.name for each in formula.levains) or say("a levain first of all")
        raise InputError("stage", repr(name), say("a levain of the formula: {names}", names=names))
    field = At(say("stage {name}, hydration", name=name), ("stage", name, "hydration"))
    whole = formula.whole(stage)
    added = hydration * whole.flour - whole.water
    own = stage.ingredients.get(WATER, Fraction()) + added
    if own < 0:
        least = (whole.water - stage.ingredients.get(WATER, Fraction())) / whole.flour
        raise InputError(
            field,
            _percent(100 * hydration),
            say("{percent} or more", percent=_percent(100 * least)),
        )
    changed = with_stage(formula, with_part(stage, WATER, own))
    return more_water(changed, -added, field)


def with_levain_flours(formula: Formula, shares: Mapping[str, Fraction]) -> Formula:
    """The formula with its levain of other flours, as wet and as large; the total formula kept.

    shares: of its flour by kind, 1 in all. The final dough gives the new flours and has the old
    ones; what it has none of, or too little, stands in for its other flours in proportion. Raises
    InputError, field "levain-flour", for a formula without a levain, and for more than the dough
    has flour.
    """
    if not formula.builds:
        expected = say("a formula with a levain")
        raise InputError("levain-flour", Complaint(say("no levain")), expected)
    changed, dough = formula, dict(formula.dough.ingredients)
    for stage in formula.builds:
        old = {name: part for name, part in stage.ingredients.items() if split(name).flour}
        flour = sum(old.values(), Fraction())
        new = {name: flour * share for name, share in shares.items()}
        rest = {name: part for name, part in stage.ingredients.items() if name not in old}
        changed = with_stage(changed, replace(stage, ingredients={**new, **rest}))
        for name in {*old, *new}:
            dough[name] = dough.get(name, Fraction()) + old.get(name, 0) - new.get(name, 0)
    lacking = sum((part for part in dough.values() if part < 0), Fraction())
    has = {name: part for name, part in dough.items() if split(name).flour and part > 0}
    whole = sum(has.values(), Fraction())
    if whole + lacking <= 0:
        expected = say("less levain, or a flour that the dough has")
        raise InputError("levain-flour", ", ".join(shares), expected)
    dough |= {name: part + lacking * part / whole for name, part in has.items()}
    kept = {name: part for name, part in dough.items() if part > 0}
    return with_stage(changed, replace(formula.dough, ingredients=kept))


def with_levain_share(formula: Formula, factor: Fraction) -> Formula:
    """The formula with `factor` times as much levain, its flour and water taken out of the dough.

    All builds of it grow alike, so each is as wet and seeded as before; its water comes out of the
    final dough's, its flours out of the same flours there, else out of all of them. Flour, water
    and salt of the whole stay. Raises InputError, field "levain", for a formula without one and
    for more than the final dough can give.
    """
    builds = formula.builds
    if not builds:
        raise InputError("levain", Complaint(say("no levain")), say("a formula with a levain"))
    dough = dict(formula.dough.ingredients)
    changed = formula
    for stage in builds:
        changed = with_stage(changed, replace(stage, ingredients=stage.times(factor).ingredients))
        for name, part in stage.ingredients.items():
            moved = (factor - 1) * part
            if name == WATER or dough.get(name, Fraction()) >= moved:
                dough[name] = dough.get(name, Fraction()) - moved
                continue
            flours = {each: has for each, has in dough.items() if split(each).flour == 1}
            whole = sum(flours.values(), Fraction())
            for each, has in flours.items():
                dough[each] = has - moved * has / whole
    if any(part < 0 for part in dough.values()) or dough.get(WATER, Fraction()) <= 0:
        given = say("{factor} times as much", factor=print_number(float(factor), 2))
        expected = say(
            "as much as the flour and water of the {dough} leave", dough=formula.dough.name
        )
        raise InputError("levain", given, expected)
    kept = {name: part for name, part in dough.items() if part}
    return with_stage(changed, replace(formula.dough, ingredients=kept))


def with_ripening(
    formula: Formula,
    culture: Mixture,
    surroundings: Surroundings,
    *,
    start: datetime,
    hours: float,
    celsius: float,
    traits: Traits,
    record: FlourRecord | None = None,
) -> Seeded:
    """The formula with the seed that makes its first build ripe `hours` after `start`.

    culture: as it is when the seed is taken. celsius: of the build after mixing; surroundings:
    where it then stands. record: what its fresh flours are together; None for what the tables have
    of them. Asks the engine (`mixture.inverse.seed_share`) for the seed over fresh
    flour s, and gives it over the stage's flour, s / (1 + s/(1 + h)), with h the culture's
    hydration; the fresh water is what the stage's hydration leaves. Raises InputError, field
    "ripe after", for a time that no seed can meet, and field "seed" for one that brings more water
    than the stage has.
    """
    from pointage.mixture.inverse import Fresh, OutOfReach, seed_share  # the engine, for this alone

    if not formula.builds:
        raise InputError("stage", Complaint(say("no levain")), say("a formula with a levain"))
    stage = formula.builds[0]
    kinds = {name: float(part) for name, part in stage.ingredients.items() if split(name).flour}
    flour = sum(kinds.values())
    share, odds = 0.2, 0.0
    for _ in range(ROUNDS):
        water = _fresh_water(stage, culture.hydration, share)
        grams = {kind: 100 * part / flour for kind, part in kinds.items()}
        fresh = Fresh(grams, water, celsius, record=record)
        found = seed_share(
            culture,
            fresh,
            surroundings,
            start=start,
            ripe_at=start + timedelta(hours=hours),
            traits=traits,
        )
        if isinstance(found, OutOfReach):
            given = say("{hours:g} h", hours=hours)
            expected = say("another time; {reason}", reason=found.reason)
            raise InputError("ripe after", given, expected)
        share, odds = found.value, found.odds
    seed = Fraction(share / (1 + share / (1 + culture.hydration))).limit_denominator(FINEST)
    return Seeded(with_stage(formula, replace(stage, seed=seed)), seed, odds)


def _fresh_water(stage: Stage, wet: float, share: float) -> float:
    """Water for 100 g of fresh flour, so that with the seed the stage has its hydration."""
    seed_flour = 100 * share / (1 + wet)
    water = float(stage.hydration) * (100 + seed_flour) - seed_flour * wet
    if water < 0:
        raise InputError(
            "seed",
            _percent(Fraction(100 * share)),
            say(
                "a stiffer culture, or a levain wetter than {hydration:.0%}",
                hydration=float(stage.hydration),
            ),
        )
    return water


def _percent(part: Fraction) -> str:
    return f"{print_number(float(part), 1)} %"
