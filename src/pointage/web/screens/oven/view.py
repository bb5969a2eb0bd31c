"""A loaf in the oven: the form, the answer in words and figures."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import timedelta

from pointage.desk.calculators.bake import SCALDS, BakeAnswer
from pointage.errors import InputError
from pointage.heat.baking import BakedOn
from pointage.heat.loaf import BreadType, LoafShape
from pointage.kitchen.kitchen import Kitchen, Oven
from pointage.language import mark, say
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
    length,
    mass,
    percent,
    upper_first,
    warmth,
)

ROWS = 10
SHAPES = (
    Choice(LoafShape.BOULE, mark("Boule")),
    Choice(LoafShape.BATARD, mark("Bâtard")),
    Choice(LoafShape.TIN, mark("Tin")),
    Choice(LoafShape.ROLL, mark("Roll")),
    Choice(LoafShape.FLAT, mark("Flat")),
)
FIRST = Form((
    Asked("mass", mark("Dough"), mark("for one loaf"), usual="900g"),
    Asked("shape", mark("Shape"), usual="boule", choices=SHAPES, ours=True),
    Asked("oven", mark("Oven"), mark("as set"), usual="240", warm="point"),
    Asked("from", mark("Dough at"), mark("as it goes in"), usual="25", warm="point"),
))  # fmt: skip
BREADS = (
    Choice(BreadType.LEAN, mark("Lean wheat")),
    Choice(BreadType.SOFT, mark("Soft, enriched")),
    Choice(BreadType.RYE, mark("Rye, whole grain")),
)
STANDS = (
    Choice(BakedOn.STONE, mark("Stone")),
    Choice(BakedOn.SHEET, mark("Steel sheet")),
    Choice(BakedOn.POT, mark("Hot pot with a lid")),
    Choice(BakedOn.TIN, mark("Tin")),
)
OTHERS = Form(
    (
        Asked("type", mark("Bread"), choices=BREADS, usual="lean", ours=True),
        Asked("on", mark("Baked on"), choices=STANDS, ours=True),
        Asked("loaves", mark("Loaves"), mark("in the oven at once"), usual="1"),
        Asked("steam", mark("Steam"), mark("in a pot: with its lid")),
        Asked("core", mark("Core"), mark("if not the usual"), warm="point"),
    )
)
WHICH = "in"
"""Asked only in a kitchen with several ovens."""
ANY_OVEN = Oven("", loaves=1, rolls=12, preheat_minutes=45.0)
"""Where the kitchen has none."""


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
        where=_where(kitchen, kitchen.oven_called(typed.get(WHICH, "")) or first_oven(kitchen)),
        wrong=tuple(
            f"{labels.get(each.field, each.field)}: {under_field(each)}"
            for each in (error.faults if error else ())
        ),
        baked=None if answer is None else _baked(answer),
        caution=say(SCALDS),
    )


def first_oven(kitchen: Kitchen) -> Oven:
    """The first, or one like any other where there is none."""
    return kitchen.ovens[0] if kitchen.ovens else ANY_OVEN


def _which(kitchen: Kitchen, typed: Mapping[str, str]) -> tuple[Field, ...]:
    if len(kitchen.ovens) < 2:
        return ()
    choices = tuple(Choice(each.name, each.name) for each in kitchen.ovens)
    return (Field(WHICH, say("Which oven"), typed.get(WHICH, ""), "select", choices),)


def _where(kitchen: Kitchen, oven: Oven) -> str:
    name, height = oven.name, f"{print_number(kitchen.altitude_m, 0)}{FIXED}m"
    if oven is ANY_OVEN:
        return say("An oven that bakes as its dial says, at {height} above the sea.", height=height)
    if not oven.offset_k:
        return say("{name}, at {height} above the sea.", name=name, height=height)
    if oven.offset_k > 0:
        message = mark(
            "{name}, which bakes {apart} hotter than its dial, at {height} above the sea."
        )
    else:
        message = mark(
            "{name}, which bakes {apart} cooler than its dial, at {height} above the sea."
        )
    return say(message, name=name, apart=apart(abs(oven.offset_k)), height=height)


def _baked(answer: BakeAnswer) -> BakedAnswer:
    baked, grams = answer.baked, 1000 * answer.asked.mass_kg
    cut = baked.cut_after_minutes
    cool = warmth(baked.cut_at_c)
    if cut is None:
        when = say("not in so warm a room, at {core} in the core", core=cool)
    else:
        time = length(timedelta(minutes=round(cut, -1)))
        when = say("after {time} on a rack, at {core} in the core", time=time, core=cool)
    course = baked.course
    every = max(1, round(baked.minutes / ROWS))
    last = len(course.minutes) - 1
    shown = [each for each in range(0, last, every) if last - each >= every / 2 or not each]
    return BakedAnswer(
        minutes=f"{baked.minutes:.0f}",
        until=say("until the core is at {core}", core=warmth(baked.done_c)),
        facts=(
            (
                say("Out of the oven"),
                say("{mass}, {loss} lost", mass=mass(answer.baked_g), loss=percent(baked.loss, 1)),
            ),
            (say("Cut"), when),
            (say("Crust at the end"), warmth(round(baked.crust_c))),
            (
                say("Water boils at"),
                say("{boiling}; the core gets no hotter", boiling=warmth(baked.boils_c)),
            ),
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
        warnings=tuple(f"{upper_first(each)}." for each in answer.warnings),
    )
