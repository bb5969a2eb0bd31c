"""A loaf in the oven: the form, the answer in words and figures."""

from __future__ import annotations

from collections.abc import Mapping

from pointage.desk.calculators.bake import SCALDS, BakeAnswer
from pointage.heat.baking import Stands
from pointage.heat.loaf import BreadType, LoafShape
from pointage.kitchen.kitchen import Kitchen, Oven
from pointage.quantities import print_number
from pointage.web.forms.field import Choice
from pointage.web.frame import Frame
from pointage.web.screens.oven.drawing import oven_curve
from pointage.web.screens.oven.page import Asked, BakedAnswer, OvenPage
from pointage.web.words.words import (
    FIXED,
    mass,
    percent,
    warmth,
)

ROWS = 10
FIRST = ("mass", "shape", "oven", "from")
OTHERS = ("type", "on", "loaves", "steam", "core")
WHICH = "in"
"""Asked only in a kitchen with several ovens."""

LABELS = {
    "mass": ("Dough", "for one loaf"),
    "shape": ("Shape", ""),
    "oven": ("Oven", "as set"),
    "from": ("Dough at", "as it goes in"),
    "type": ("Bread", ""),
    "on": ("Stands on", ""),
    "loaves": ("Together", "loaves in one load"),
    "steam": ("Steam", "in a pot: with its lid"),
    "core": ("Core", "if other than usual"),
}
CHOICES = {
    "shape": tuple(Choice(each, each.capitalize()) for each in LoafShape),
    "type": (
        Choice(BreadType.LEAN, "Lean wheat"),
        Choice(BreadType.SOFT, "Soft, enriched"),
        Choice(BreadType.RYE, "Rye, whole grain"),
    ),
    "on": (
        Choice(Stands.STONE, "Stone"),
        Choice(Stands.SHEET, "Steel sheet"),
        Choice(Stands.POT, "Hot pot with a lid"),
        Choice(Stands.TIN, "Tin"),
    ),
}


def oven_page(
    typed: Mapping[str, str],
    answer: BakeAnswer | None,
    errors: Mapping[str, str],
    kitchen: Kitchen,
    frame: Frame,
) -> OvenPage:
    """typed: every field as it stands in the form. errors: the line under each that will not do."""
    return OvenPage(
        frame=frame,
        first=(*(_asked(name, typed, errors) for name in FIRST), *_which(kitchen, typed)),
        others=tuple(_asked(name, typed, errors) for name in OTHERS),
        opened=any(name in errors for name in OTHERS),
        where=_where(kitchen, kitchen.oven_called(typed.get(WHICH, "")) or kitchen.oven),
        wrong=tuple(
            f"{LABELS[name][0] if name in LABELS else name}: {line}"
            for name, line in errors.items()
        ),
        baked=None if answer is None else _baked(answer),
        caution=SCALDS,
    )


def _asked(name: str, typed: Mapping[str, str], errors: Mapping[str, str]) -> Asked:
    label, rest = LABELS[name]
    value, choices = typed.get(name, ""), CHOICES.get(name, ())
    return Asked(name, label, value, rest, choices, errors.get(name, ""))


def _which(kitchen: Kitchen, typed: Mapping[str, str]) -> tuple[Asked, ...]:
    if len(kitchen.ovens) == 1:
        return ()
    choices = tuple(Choice(each.name, each.name) for each in kitchen.ovens)
    return (Asked(WHICH, "In", typed.get(WHICH, ""), "which oven", choices, ""),)


def _where(kitchen: Kitchen, oven: Oven) -> str:
    metres = print_number(kitchen.altitude_m, 0)
    off = ""
    if oven.offset_k:
        way = "hotter" if oven.offset_k > 0 else "cooler"
        off = f", which bakes {print_number(abs(oven.offset_k))}{FIXED}°C {way} than it says"
    return f"{oven.name}{off}, at {metres}{FIXED}m above the sea."


def _baked(answer: BakeAnswer) -> BakedAnswer:
    baked, grams = answer.baked, 1000 * answer.asked.mass_kg
    cut = baked.cut_after_minutes
    later = (
        f"after {print_number(cut / 60)}{FIXED}h on a rack"
        if cut is not None
        else "not in so warm a room"
    )
    course = baked.course
    every = max(1, round(baked.minutes / ROWS))
    last = len(course.minutes) - 1
    shown = [each for each in range(0, last, every) if last - each >= every / 2 or not each]
    return BakedAnswer(
        minutes=f"{baked.minutes:.0f}",
        until=f"until the core is at {warmth(baked.done_c)}",
        facts=(
            ("Out of the oven", f"{mass(answer.baked_g)}, {percent(baked.loss, 1)} lost"),
            ("Cut", f"{later}, at {warmth(baked.cut_at_c)} in the core"),
            ("Crust at the end", warmth(round(baked.crust_c))),
            ("Water boils at", f"{warmth(baked.boils_c)}; the core gets no hotter"),
        ),
        curve=oven_curve(baked),
        rows=tuple(
            (
                f"{course.minutes[i]:.0f}",
                f"{course.core_c[i]:.0f}",
                f"{course.surface_c[i]:.0f}",
                f"{grams * (1 - course.loss[i]):.0f}",
            )
            for i in [*shown, last]
        ),
        warnings=tuple(f"{each[0].upper()}{each[1:]}." for each in baked.flags),
    )
