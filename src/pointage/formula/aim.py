"""How many pieces of what mass: from baked loaves, flour on hand, a vessel or the oven."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from math import ceil, floor

from pointage.bounds import DOUGH_LOSS
from pointage.errors import MISSING, InputError
from pointage.formula.formula import MOST_PIECES, Formula, IngredientPercents
from pointage.formula.ingredients import split
from pointage.formula.names import find_ingredient
from pointage.language import say, say_many, written
from pointage.mixture.mixture import raw
from pointage.quantities import print_number

OVEN_LOSS = Fraction(12, 100)
"""Share of the dough that a loaf loses in the oven: 8 to 15 %, small ones more; from memory."""


@dataclass(frozen=True, slots=True)
class Limit:
    """The most dough that something allows, grams. field: what it is, as a person named it."""

    field: str
    given: str
    dough_g: Fraction


@dataclass(frozen=True, slots=True)
class Aim:
    """Pieces, and the mass of one before baking."""

    pieces: int
    piece_g: Fraction


def before_baking(baked_g: Fraction, loss: Fraction = OVEN_LOSS) -> Fraction:
    """Dough for a loaf that weighs `baked_g` out of the oven: m / (1 − loss).

    Units: grams; loss as a share of the dough, 0 to 0.5. Raises InputError, field "oven-loss".
    """
    DOUGH_LOSS.check(100 * loss, "oven-loss")
    return baked_g / (1 - loss)


BREAD_EACH_G = 120
"""Bread for one at a meal: common practice, no source."""


def for_people(people: int, piece_g: Fraction, loss: Fraction = OVEN_LOSS) -> int:
    """Pieces that give so many people BREAD_EACH_G of bread each: ⌈n · b / (m · (1 − loss))⌉."""
    return ceil(people * BREAD_EACH_G / (piece_g * (1 - loss)))


def from_flour(formula: Formula, on_hand: Mapping[str, Fraction] | Fraction, given: str) -> Limit:
    """The dough that flour on hand makes: of all kinds together, or of those that are named.

    Units: grams. Raises InputError, field "flour-on-hand", for none, and for a kind that the
    formula has none of.
    """
    field = "flour-on-hand"
    whole = IngredientPercents(formula.total)
    if not isinstance(on_hand, Mapping):
        on_hand = {"": on_hand}
    most = []
    for kind, grams in on_hand.items():
        part = whole.flour
        if kind:
            kind = find_ingredient(kind, field).name  # noqa: PLW2901
            part = whole.ingredients.get(kind, Fraction())
            if not split(kind).flour or not part:
                kinds = [name for name in whole.ingredients if split(name).flour]
                expected = say("a flour of the formula, {flours}", flours=", ".join(kinds))
                raise InputError(field, repr(kind), expected)
        if grams <= 0:
            raise InputError(field, given, say("some flour, such as 5kg"))
        most.append(grams * whole.mass / part)
    return Limit(field, given, min(most))


def from_levain(formula: Formula, grams: Fraction, given: str) -> Limit:
    """The dough that so much ripe levain makes, as wet as the formula's own.

    m = grams · (whole formula) / (last build). Units: grams. Raises InputError, field
    "levain-on-hand", for none, and for a formula without a levain.
    """
    field = "levain-on-hand"
    if not formula.builds:
        raise InputError(field, given, say("a formula with a levain"))
    if grams <= 0:
        raise InputError(field, given, say("some levain, such as 300g"))
    levain = formula.whole(formula.builds[-1]).mass
    return Limit(field, given, grams * IngredientPercents(formula.total).mass / levain)


def from_vessel(formula: Formula, litres: Fraction, rise: float, given: str) -> Limit:
    """The dough that fills a vessel of `litres` when it has risen to `rise` times its volume.

    m = V / (v · rise), with v the dough's volume just after mixing, litres per kilogram, from its
    flour, water, salt and the rest (`mixture.Mixture.volume`). Range: rise of 1 or more. Raises
    InputError, field "rise".
    """
    if rise < 1:
        raise InputError(
            "rise", written(f"{rise:g}"), say("the volume over that after mixing, 1 or more")
        )
    flours: dict[str, float] = {}
    water = salt = other = 0.0
    for name, part in formula.total.items():
        shares = split(name)
        if shares.flour:
            flours[name] = float(part)
        water += float(part * shares.water)
        salt += float(part * shares.salt)
        other += float(part * shares.other)
    litres_per_kg = Fraction(raw(flours, water, salt, other).volume * rise)
    return Limit("vessel", given, 1000 * litres / litres_per_kg)


def aim(
    limits: Sequence[Limit],
    pieces: int | None,
    piece_g: Fraction | None,
    usual_g: Fraction,
    *,
    bowl_loss: Fraction = Fraction(),
    most_pieces: int = MOST_PIECES,
) -> Aim:
    """Pieces and their mass such that the dough, with what sticks to the bowl, is within `limits`.

    pieces without piece_g: the piece is as large as the limits allow, or `usual_g` where there are
    none. piece_g without pieces: as many as they allow and the oven takes, `most_pieces`. Raises
    InputError for a limit too small for what is asked, and for neither pieces nor a limit.
    """
    least = min(limits, key=lambda each: each.dough_g, default=None)
    if pieces is None:
        piece = usual_g if piece_g is None else piece_g
        if least is None and most_pieces == MOST_PIECES:
            raise InputError("pieces", MISSING, say("a number of pieces, or what limits it"))
        found = most_pieces
        if least is not None and piece > 0:
            found = min(found, floor(least.dough_g * (1 - bowl_loss) / piece))
        if not found and least is not None:
            raise _too_little(least, piece / (1 - bowl_loss), say("one piece"))
        return Aim(found, piece)
    if piece_g is None and least is not None and pieces > 0:
        return Aim(pieces, least.dough_g * (1 - bowl_loss) / pieces)
    piece = usual_g if piece_g is None else piece_g
    dough_g = pieces * piece / (1 - bowl_loss)
    if least is not None and dough_g > least.dough_g:
        raise _too_little(least, dough_g, say_many("{n} piece", "{n} pieces", pieces))
    return Aim(pieces, piece)


def _too_little(limit: Limit, dough_g: Fraction, what: str) -> InputError:
    return InputError(
        limit.field,
        limit.given,
        say(
            "enough for the {needed} of dough in {pieces}; it allows {allowed}",
            needed=_grams(dough_g),
            pieces=what,
            allowed=_grams(limit.dough_g),
        ),
    )


def _grams(grams: Fraction) -> str:
    return f"{print_number(float(grams), 0)} g"
