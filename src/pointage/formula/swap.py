"""One flour for another: the water corrected by what each takes up, and what else changes."""

from __future__ import annotations

from dataclasses import dataclass, replace
from fractions import Fraction

from pointage.errors import InputError
from pointage.formula.final_water import more_water
from pointage.formula.formula import Formula
from pointage.formula.ingredients import Ingredient, ingredient, split
from pointage.language import mark, say, written

WATER_FOR_PROTEIN = Fraction(15, 10)
"""Water for each part of protein more: gluten holds about its own mass and half as much again;
common practice, no source."""
WATER_FOR_BRAN = Fraction(1, 1)
"""… for each part of fibre more, which stands for the bran; common practice, no source."""
MUCH_ASH = 0.3  # percent of dry matter from which a baker notices (ours)


@dataclass(frozen=True, slots=True)
class Swapped:
    """A formula with one flour for another.

    water: water more (or less) than before, percent of the total flour. by: how that was found.
    notes: what else changes, a sentence each.
    """

    formula: Formula
    water: Fraction
    by: str
    notes: tuple[str, ...]


def swap_flour(
    formula: Formula, old: str, new: str, share: Fraction = Fraction(1), *, keep_water: bool = False
) -> Swapped:
    """`formula` with the share of `old` (1 is all of it) replaced by `new`, in every stage alike.

    The final dough's water changes by ΔW = F·(a_new − a_old), with F the flour swapped and a what a
    flour takes up in a farinograph; where that is not known of both,
    ΔW = F·(1.5·Δprotein + 1.0·Δfibre). Units: percent of the total flour. keep_water leaves the
    water alone. Raises InputError for a flour that the formula has not, for one that is no flour,
    for a share that is none, and where the final dough has not enough water to give up.
    """
    was, will = ingredient(old, "old flour"), ingredient(new, "new flour")
    part = formula.total.get(old, Fraction()) * share
    if not split(old).flour or not part:
        kinds = [name for name in formula.total if split(name).flour]
        expected = say("a flour of the formula, {flours}", flours=", ".join(kinds))
        raise InputError("old flour", repr(old), expected)
    if not split(new).flour:
        raise InputError("new flour", repr(new), say("a kind of flour"))
    if not 0 < share <= 1:
        raise InputError(
            "share", written(f"{float(100 * share):g}") + " %", say("above 0 and up to 100 %")
        )
    stages = []
    for stage in formula.stages:
        parts = dict(stage.ingredients)
        moved = parts.get(old, Fraction()) * share
        if moved:
            parts[old] -= moved
            parts[new] = parts.get(new, Fraction()) + moved
        stages.append(replace(stage, ingredients={n: p for n, p in parts.items() if p}))
    changed = replace(formula, stages=tuple(stages))
    water, by = takes_up(was, will)
    added = Fraction() if keep_water else part * water
    field = say("{new} for {old}", new=say(will.label), old=say(was.label))
    return Swapped(more_water(changed, added, field), added, by, _notes(was, will, part))


def takes_up(was: Ingredient, will: Ingredient) -> tuple[Fraction, str]:
    """Water that one part of flour takes up more than another, and by what it was calculated.

    By farinograph absorption where it is known of both, else by protein and fibre. Units: g/g.
    """
    if was.absorption is not None and will.absorption is not None:
        gap = _exact(will.absorption) - _exact(was.absorption)
        return gap / 100, say(
            "absorption {old:g} % and {new:g} %",
            old=was.absorption,
            new=will.absorption,
        )
    protein = _exact(will.protein) - _exact(was.protein)
    bran = _exact(will.fibre) - _exact(was.fibre)
    water = WATER_FOR_PROTEIN * protein + WATER_FOR_BRAN * bran
    return water / 100, say("protein and bran: common practice, no source")


def _notes(was: Ingredient, will: Ingredient, part: Fraction) -> tuple[str, ...]:
    notes = []
    share = float(part) / 100
    protein = (will.protein - was.protein) * share
    if abs(protein) >= 0.2:
        if protein > 0:
            note = mark(
                "{percent:.1f} % more protein in the flour: a stronger dough, if it is wheat's."
            )
        else:
            note = mark(
                "{percent:.1f} % less protein in the flour: a weaker dough, if it is wheat's."
            )
        notes.append(say(note, percent=abs(protein)))
    ash = (will.ash - was.ash) * share
    if abs(ash) >= MUCH_ASH * share and ash:
        if ash > 0:
            note = mark("{percent:.2f} % more ash in the flour: it ferments quicker and sourer.")
        else:
            note = mark("{percent:.2f} % less ash in the flour: it ferments slower and milder.")
        notes.append(say(note, percent=abs(ash)))
    bran = (will.fibre - was.fibre) * share
    if bran >= 1:
        note = mark(
            "{percent:.1f} % more bran: a denser loaf, and a dough that absorbs water slowly."
        )
        notes.append(say(note, percent=bran))
    return tuple(notes)


def _exact(number: float) -> Fraction:
    return Fraction(str(number))
