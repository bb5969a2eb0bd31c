"""A formula made with what is there: a levain of other water, flour or age, and discard."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime, timedelta
from fractions import Fraction
from math import isnan
from typing import TYPE_CHECKING

from pointage.desk.wording.amounts import length
from pointage.errors import Faults, InputError
from pointage.formula.adjust import with_levain_flours, with_levain_hydration
from pointage.formula.discard import with_discard_stage
from pointage.formula.file.figures import number
from pointage.formula.formula import Formula
from pointage.formula.ingredients import ingredient, split
from pointage.formula.names import find_ingredient
from pointage.kitchen.kitchen import Kitchen
from pointage.language import mark, say
from pointage.quantities import print_number

if TYPE_CHECKING:
    from pointage.desk.formulas.scale import Wants

LONGEST_H = 48
"""How long a levain is followed: by then every one is past its best."""


def read_flours(text: str, field: str, country: str = "") -> dict[str, Fraction]:
    """Shares of flours of "rye-whole", or of "rye-whole 60, wheat-white 40". Raises InputError."""
    found: dict[str, Fraction] = {}
    faults = Faults()
    for part in filter(None, (each.strip() for each in text.split(","))):
        name, _, amount = part.rpartition(" ")
        if not amount.rstrip("%")[-1:].isdecimal() or not name:
            name, amount = part, "100"
        with faults:
            kind = find_ingredient(name, field, country).name
            if not split(kind).flour:
                raise InputError(field, repr(name), say("a kind of flour, such as rye-whole"))
            expected = say("a kind with its percent, such as rye-whole 60")
            share = number(amount, field, expected, most=100, says_most=False) / 100
            found[kind] = found.get(kind, Fraction()) + share
    faults.check()
    if sum(found.values(), Fraction()) != 1:
        given = print_number(float(100 * sum(found.values(), Fraction())), 2)
        raise InputError(field, f"{given} %", say("flours that come to 100 %"))
    return found


def as_on_hand(formula: Formula, wants: Wants) -> Formula:
    """The formula with its levain of the flour and as wet as the one on hand. Raises InputError."""
    asked = {
        "levain-hydration": wants.levain_hydration, "levain-flour": wants.levain_flours,
        "levain-age": wants.levain_age_h,
    }  # fmt: skip
    for field, value in asked.items():
        if value is not None and not formula.builds:
            given = _given(value)
            raise InputError(field, given, say("a formula with a levain"))
    if wants.levain_flours is not None:
        formula = with_levain_flours(formula, wants.levain_flours)
    if wants.levain_hydration is None:
        return formula
    try:
        return with_levain_hydration(formula, formula.builds[-1].name, wants.levain_hydration)
    except InputError as error:
        raise error.at(lambda _: "levain-hydration") from None


def _given(value: Fraction | float | Mapping[str, Fraction]) -> str:
    if isinstance(value, Mapping):
        return ", ".join(value)
    return f"{float(100 * value):g} %" if isinstance(value, Fraction) else f"{value:g} h"


def with_discard(formula: Formula, wants: Wants, total_g: Fraction) -> Formula:
    """The formula with the discard that there is as a stage of its own, in a batch of so many
    grams: it stands for as much flour and water of the dough. Raises InputError, field "discard".

    It is as wet as the levain, and of its flours, unless `wants` says otherwise.
    """
    if wants.discard_g is None:
        return formula
    flours, wet = wants.levain_flours, wants.discard_hydration
    if formula.builds:
        whole = formula.whole(formula.builds[-1])
        kinds = {name: part for name, part in whole.ingredients.items() if split(name).flour}
        flours = flours or {name: part / whole.flour for name, part in kinds.items()}
        wet = whole.hydration if wet is None else wet
    if flours is None:
        kinds = {n: part for n, part in formula.dough.ingredients.items() if split(n).flour}
        all_flour = sum(kinds.values(), Fraction())
        flours = {name: part / all_flour for name, part in kinds.items()}
    name = say("Discard")
    while name in (each.name for each in formula.stages):
        name += "+"
    wet = Fraction(1) if wet is None else wet
    return with_discard_stage(formula, name, wants.discard_g, wet, flours, total_g=total_g)


def moved_words(formula: Formula, wants: Wants, total_g: Fraction) -> tuple[str, ...]:
    """What another levain moves in a batch of so many grams, and what is a guess about it."""
    other = as_on_hand(formula, wants)
    if other == formula:
        return ()
    gram = total_g / sum(formula.total.values(), Fraction())
    own, now = (each.whole(each.builds[-1]) for each in (formula, other))
    notes = []
    if own.hydration != now.hydration:
        more = (own.water - now.water) * gram
        said = (
            mark("The levain has {now} % water, not {own} %: {mass} g more goes into the dough.")
            if more > 0
            else mark("The levain has {now} % water, not {own} %: {mass} g less goes in.")
        )
        notes.append(
            say(
                said,
                now=print_number(float(100 * now.hydration), 1),
                own=print_number(float(100 * own.hydration), 1),
                mass=print_number(abs(float(more)), 0),
            )
        )
    before, after = formula.dough.ingredients, other.dough.ingredients
    for name in sorted({*before, *after} - {"water"}):
        grams = (after.get(name, Fraction()) - before.get(name, Fraction())) * gram
        if grams:
            said = (
                mark("{flour}: {mass} g more goes into the dough.")
                if grams > 0
                else mark("{flour}: {mass} g less goes into the dough.")
            )
            flour = say(ingredient(name).label)
            notes.append(say(said, flour=flour, mass=print_number(abs(float(grams)), 0)))
    foreign = [
        say(
            "{mass} g of {flour} in the levain stands in for other flour: it is another dough.",
            mass=print_number(float(more * gram), 0),
            flour=say(ingredient(name).label).lower(),
        )
        for name, part in other.total.items()
        if (more := part - formula.total.get(name, Fraction())) > 0
    ]
    guess = (
        mark("How sour it is is not known: a stiffer levain is more sour, a young one milder.")
        if foreign
        else mark(
            "The dough stays the same but for its acid, which is not known: a stiffer levain is "
            "more sour, a young one milder and weaker. Go by the rise."
        )
    )
    return (*notes, *foreign, say(guess))


def aged_words(formula: Formula, wants: Wants, kitchen: Kitchen, now: datetime) -> tuple[str, ...]:
    """How a levain so many hours after its mix is, and the bulk that it makes, by the engine.

    Of the likeliest culture, in the place of the formula's last build; a reading on the Bench says
    more than an age.
    """
    if wants.levain_age_h is None:
        return ()
    # The engine is loaded for whoever asks for an age: most tables ask for none.
    from pointage.culture.mature import FEED_SHARE, feed, mature
    from pointage.desk.formulas.compare import bulk_hours, bulk_of, planned
    from pointage.mixture.hold import hold

    formula = as_on_hand(formula, wants)
    problem = planned(formula, kitchen, now)
    if problem is None:
        return (
            say(
                "What its age does is not known: the formula has no process, or the kitchen no "
                "culture, to calculate with."
            ),
        )
    recipe, stage, traits = problem.builds[-1], problem.levain_stage, problem.likeliest
    prime = mature(recipe.flours, recipe.hydration, traits, recipe.record)
    share = FEED_SHARE if stage.seed is None else float(stage.seed) / (1 + recipe.hydration)
    flour = {kind: 1000 * part * (1 - share) for kind, part in recipe.flours.items()}
    water = 1000 * (1 - share) * recipe.hydration
    fed = feed(prime, 1000 * share * (1 + recipe.hydration), flour, water, recipe.wanted_c,
               record=recipe.record)  # fmt: skip
    start = now - timedelta(hours=wants.levain_age_h)
    course = hold(fed, recipe.place.surroundings, start, LONGEST_H, traits)
    ripe_from, ripe_until = (float(each[0]) for each in course.ripe())
    age = wants.levain_age_h
    if isnan(ripe_from) or age < ripe_from:
        said = mark("A levain {age} after its mix is young; it is ripe from {from_h} to {until_h}.")
    elif age <= ripe_until:
        said = mark("A levain {age} after its mix is ripe, as it is from {from_h} to {until_h}.")
    else:
        said = mark(
            "A levain {age} after its mix is past its best, which was {from_h} to {until_h}: "
            "sourer, and a dough that weakens sooner."
        )
    is_known = not (isnan(ripe_from) or isnan(ripe_until))
    notes = [
        say(said, age=_hours(age), from_h=_hours(ripe_from), until_h=_hours(ripe_until))
        if is_known
        else say("A levain {age} after its mix: when it is ripe is not known.", age=_hours(age))
    ]
    usual, aged = bulk_hours(formula, kitchen, now), bulk_of(problem, course.after(age), now)
    if usual is not None and aged is not None:
        words = say(
            "The bulk takes {aged} with it, and {usual} with one in its prime. Go by the rise.",
            aged=_hours(aged),
            usual=_hours(usual),
        )
        notes.append(words)
    return tuple(notes)


def _hours(hours: float) -> str:
    return length(timedelta(minutes=round(hours * 12) * 5)) if not isnan(hours) else "–"
