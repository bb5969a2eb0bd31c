"""How long a loaf bakes, what its core must reach, what it loses, and when it may be cut."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from difflib import get_close_matches
from enum import StrEnum
from typing import TypeVar

from pointage.bounds import (
    ALTITUDE_M,
    DONE_C,
    DOUGH_TO_BAKE_C,
    LOAF_G,
    LOAVES_AT_ONCE,
    OVEN_C,
    OVEN_OFFSET_K,
    STEAM_MIN,
)
from pointage.desk.at_hand import stored
from pointage.desk.wording import flag_words
from pointage.errors import Faults, InputError, RangeError
from pointage.heat.baking import (
    Baked,
    BakedOn,
    LoafInOven,
    bake,
    done_at,
)
from pointage.heat.loaf import BreadType, LoafShape
from pointage.language import mark, say
from pointage.quantities import print_number
from pointage.science.boiling_point import boiling_point
from pointage.shown import at_least, at_most, warmth

SCALDS = mark("Oven, stone and pot burn; stand aside as you open door or lid: steam scalds.")

# How long there is steam when nothing is said; common practice, no source. In a pot it is the lid.
STEAM_MINUTES = {BakedOn.STONE: 10.0, BakedOn.SHEET: 10.0, BakedOn.POT: 20.0, BakedOn.TIN: 0.0}

Word = TypeVar("Word", bound=StrEnum)


@dataclass(frozen=True, slots=True)
class BakeAnswer:
    """What was asked, and the oven's answer."""

    asked: LoafInOven
    baked: Baked

    @property
    def baked_g(self) -> float:
        """What the loaf weighs when it comes out, grams."""
        return 1000 * self.asked.mass_kg * (1 - self.baked.loss)

    @property
    def warnings(self) -> tuple[str, ...]:
        """What to know of it, a sentence each without its capital and its full stop."""
        return tuple(map(flag_words, self.baked.flags))

    @property
    def doubt(self) -> str | None:
        """The question whether the oven's temperature is meant so, where it is unusual."""
        return OVEN_C.doubt(self.asked.oven_c)

    def as_json(self) -> dict[str, object]:
        """One JSON object; minutes and °C to a tenth."""
        baked = self.baked
        cut = baked.cut_after_minutes
        return {
            "minutes": round(baked.minutes, 1),
            "core": [
                {"minute": round(minute, 2), "temperature_c": round(celsius, 1)}
                for minute, celsius in zip(baked.course.minutes, baked.course.core_c, strict=True)
            ],
            "bake_loss_fraction": round(baked.loss, 4),
            "baked_g": round(self.baked_g, 1),
            "done_core_c": round(baked.done_c, 1),
            "boiling_point_c": round(baked.boils_c, 2),
            "crust_c": round(baked.crust_c, 1),
            "cut_after_minutes": None if cut is None else round(cut),
            "warnings": [*self.warnings, *filter(None, (self.doubt,))],
            "caution": say(SCALDS),
        }


def own_oven(now: datetime) -> tuple[str, str]:
    """The height of your kitchen, and how much hotter its first oven bakes than it says.

    As a person writes them; sea level and nothing where no kitchen is stored.
    """
    found = stored(now)
    if found is None:
        return "0m", "0C"
    kitchen = found.kitchen
    offset = kitchen.ovens[0].offset_k if kitchen.ovens else 0.0
    return f"{print_number(kitchen.altitude_m)}m", f"{print_number(offset)}C"


def bake_for(
    mass: str,
    shape: str,
    oven: str,
    start: str,
    *,
    altitude: str = "0m",
    core: str | None = None,
    steam: str | None = None,
    on: str | None = None,
    loaves: str = "1",
    offset: str = "0C",
    bread: str = "lean",
) -> BakeAnswer:
    """The bake of a loaf, each quantity as a person writes it ("900g", "boule", "240C").

    Raises InputError whose field is "mass", "shape", "oven", "from", "altitude", "core", "steam",
    "on", "loaves", "offset" or "type": each that cannot be read or is
    out of its range; where none is, one with which the loaf would never be done.
    """
    faults = Faults()
    take = faults.take
    loaf = take(_word, LoafShape, shape, "shape")
    stands = take(_word, BakedOn, on, "on") if on else take(_usual_stand, loaf)
    grams = take(LOAF_G.read, mass, "mass")
    oven_c, start_c = take(OVEN_C.read, oven, "oven"), take(DOUGH_TO_BAKE_C.read, start, "from")
    kind = take(_word, BreadType, bread, "type")
    altitude_m = take(ALTITUDE_M.read, altitude, "altitude")
    steam_minutes = None if steam is None else take(STEAM_MIN.read, steam, "steam")
    number = take(LOAVES_AT_ONCE.count, loaves, "loaves")
    offset_k = take(OVEN_OFFSET_K.read, offset, "offset")
    wanted_c = None if core is None else take(DONE_C.read, core, "core")
    faults.check()
    asked = LoafInOven(
        mass_kg=grams / 1000,
        shape=loaf,
        oven_c=oven_c,
        start_c=start_c,
        bread=kind,
        stands=stands,
        altitude_m=altitude_m,
        steam_minutes=STEAM_MINUTES[stands] if steam_minutes is None else steam_minutes,
        loaves=number,
        offset_k=offset_k,
        core_c=wanted_c,
    )
    _refuse_never_done(asked, oven, core)
    try:
        return BakeAnswer(asked, bake(asked))
    except RangeError as error:
        raise InputError(
            "mass",
            mass,
            say("a lighter loaf or a hotter oven: {why}", why=_never(asked, error)),
        ) from None


def _refuse_never_done(asked: LoafInOven, oven: str, core: str | None) -> None:
    boils, done = boiling_point(asked.altitude_m), done_at(asked)
    here = say(
        "water boils at {boils} at {altitude} m",
        boils=warmth(boils, tenths=True),
        altitude=print_number(asked.altitude_m),
    )
    if core is not None and done > boils - 1.0:
        raise InputError(
            "core",
            core,
            say(
                "at most {hottest}: {here}, and the core gets no hotter",
                hottest=at_most(boils - 1.0),
                here=here,
            ),
        )
    if asked.oven_c + asked.offset_k < done + 20.0:
        raise InputError(
            "oven",
            oven,
            say(
                "{coldest} or more: the core is done at {done}, and in a cooler oven it never is",
                coldest=at_least(done + 20.0 - asked.offset_k),
                done=warmth(done),
            ),
        )


def _never(asked: LoafInOven, error: RangeError) -> str:
    return say(
        "in 6 h its core comes to {reached}, and it is done at {done}",
        reached=warmth(error.high),
        done=warmth(done_at(asked)),
    )


def _usual_stand(loaf: LoafShape) -> BakedOn:
    return BakedOn.TIN if loaf is LoafShape.TIN else BakedOn.STONE


def _word(words: type[Word], text: str, field: str) -> Word:
    wanted = text.strip().casefold()
    known: Iterable[str] = [each.value for each in words]
    for each in words:
        if wanted in (each.value, each.value.replace("â", "a")):
            return each
    near = get_close_matches(wanted, known, 1, 0.6)
    expected = say("one of {known}", known=", ".join(known))
    if near:
        expected = say("{expected}; {near!r} perhaps", expected=expected, near=near[0])
    raise InputError(field, repr(text), expected)
