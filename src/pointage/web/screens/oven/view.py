"""A loaf in the oven: the form, the answer in words and figures."""

from __future__ import annotations

from collections.abc import Mapping

from pointage.desk.calculators.bake import SCALDS, BakeAnswer
from pointage.errors import InputError
from pointage.heat.baking import BakedOn
from pointage.heat.loaf import BreadType, LoafShape
from pointage.kitchen.kitchen import Kitchen, Oven
from pointage.quantities import print_number
from pointage.shown import FIXED, in_degrees
from pointage.web.forms.faults import under_field
from pointage.web.forms.field import Choice, Field
from pointage.web.forms.form import Asked, Form
from pointage.web.frame import Frame
from pointage.web.screens.oven.drawing import oven_curve
from pointage.web.screens.oven.page import BakedAnswer, OvenPage
from pointage.web.words.words import (
    apart,
    mass,
    percent,
    warmth,
)

ROWS = 10
FIRST = Form((
    Asked("mass", "Dough", "for one loaf", usual="900g"),
    Asked("shape", "Shape", usual="boule",
          choices=tuple(Choice(each, each.capitalize()) for each in LoafShape)),
    Asked("oven", "Oven", "as set", usual="240", warm="point"),
    Asked("from", "Dough at", "as it goes in", usual="24", warm="point"),
))  # fmt: skip
BREADS = (
    Choice(BreadType.LEAN, "Lean wheat"),
    Choice(BreadType.SOFT, "Soft, enriched"),
    Choice(BreadType.RYE, "Rye, whole grain"),
)
STANDS = (
    Choice(BakedOn.STONE, "Stone"),
    Choice(BakedOn.SHEET, "Steel sheet"),
    Choice(BakedOn.POT, "Hot pot with a lid"),
    Choice(BakedOn.TIN, "Tin"),
)
OTHERS = Form(
    (
        Asked("type", "Bread", choices=BREADS, usual="lean"),
        Asked("on", "Baked on", choices=STANDS),
        Asked("loaves", "Loaves", "in the oven at once", usual="1"),
        Asked("steam", "Steam", "in a pot: with its lid"),
        Asked("core", "Core", "if not the usual", warm="point"),
    )
)
WHICH = "in"
"""Asked only in a kitchen with several ovens."""


def oven_page(
    typed: Mapping[str, str],
    answer: BakeAnswer | None,
    error: InputError | None,
    kitchen: Kitchen,
    frame: Frame,
) -> OvenPage:
    """typed: every field as it stands in the form. error: what of them cannot be used."""
    first, others = (form.fields(typed, error)[0] for form in (FIRST, OTHERS))
    labels = {each.name: each.label for each in (*first, *others)}
    return OvenPage(
        frame=frame,
        first=(*first, *_which(kitchen, typed)),
        others=others,
        opened=any(each.error for each in others),
        where=_where(kitchen, kitchen.oven_called(typed.get(WHICH, "")) or kitchen.oven),
        wrong=tuple(
            f"{labels.get(each.field, each.field)}: {under_field(each)}"
            for each in (error.faults if error else ())
        ),
        baked=None if answer is None else _baked(answer),
        caution=SCALDS,
    )


def _which(kitchen: Kitchen, typed: Mapping[str, str]) -> tuple[Field, ...]:
    if len(kitchen.ovens) == 1:
        return ()
    choices = tuple(Choice(each.name, each.name) for each in kitchen.ovens)
    return (Field(WHICH, "Which oven", typed.get(WHICH, ""), "select", choices),)


def _where(kitchen: Kitchen, oven: Oven) -> str:
    metres = print_number(kitchen.altitude_m, 0)
    off = ""
    if oven.offset_k:
        way = "hotter" if oven.offset_k > 0 else "cooler"
        off = f", which bakes {apart(abs(oven.offset_k))} {way} than its dial"
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
                f"{in_degrees(course.core_c[i]):.0f}",
                f"{in_degrees(course.surface_c[i]):.0f}",
                f"{grams * (1 - course.loss[i]):.0f}",
            )
            for i in [*shown, last]
        ),
        warnings=tuple(f"{each[0].upper()}{each[1:]}." for each in answer.warnings),
    )
