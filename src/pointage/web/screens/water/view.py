"""The water of a mix as a page. Number by number the phone does the same (static/water.js)."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from math import ceil, floor

from pointage.bounds import (
    DOUGH_WANTED_C,
    FRICTION_K,
    PART_G,
    PIECES_MADE,
    TAP_C,
    WARMEST_WATER_C,
    WEIGHED_G,
)
from pointage.desk.answers import FormulaSummary
from pointage.desk.calculators.water import AGREE_K, why, why_sentences
from pointage.desk.calculators.water_page import (
    FLOUR,
    ICE_HEAT,
    LEVAIN,
    WATER_HEAT,
    Group,
    Mix,
    Warmths,
    water_of,
)
from pointage.formula.water import STOP_C, WaterFound
from pointage.kitchen.friction import Friction
from pointage.language import mark, say
from pointage.quantities import print_number
from pointage.shown import (
    FIXED,
    apart_in_degrees,
    degrees_sign,
    in_degrees,
    shown,
    warmth_number,
)
from pointage.web.forms.field import Choice, Field
from pointage.web.forms.form import Asked
from pointage.web.frame import Frame
from pointage.web.screens.water.page import Dial, HeatLine, WaterPage, WaterTerms
from pointage.web.words.words import apart, count, mass, warmth

# name and label, and the slider's least, most and step, in °C and in °F; the field of the same name
# is on Warmths.
DIALS = (
    ("wanted", mark("Dough temperature"), {"C": (15.0, 35.0, 0.5), "F": (60.0, 95.0, 1.0)}),
    ("flour", mark("Flour"), {"C": (0.0, 35.0, 0.5), "F": (32.0, 95.0, 1.0)}),
    ("levain", mark("Levain"), {"C": (0.0, 35.0, 0.5), "F": (32.0, 95.0, 1.0)}),
    ("room", mark("Room"), {"C": (5.0, 35.0, 0.5), "F": (40.0, 95.0, 1.0)}),
    ("friction", mark("Mixing warms the dough by"), {"C": (0.0, 15.0, 0.1), "F": (0.0, 27.0, 0.2)}),
    ("tap", mark("Tap"), {"C": (1.0, 35.0, 0.5), "F": (34.0, 95.0, 1.0)}),
)
BOUNDS = {"wanted": DOUGH_WANTED_C, "friction": FRICTION_K, "tap": TAP_C}
"""Of the dials; MIXED_IN_C of the others."""
MASSES = (
    Asked("flour_g", mark("Flour"), "g", PART_G.read, "decimal"),
    Asked("water_g", mark("Water"), "g", PART_G.read, "decimal"),
    Asked("levain_g", mark("Levain, half water"), "g", WEIGHED_G.read, "decimal"),
)
PIECES = Asked("pieces", mark("Pieces"), read=PIECES_MADE.count, kind="numeric", needed=False)

HEATED = {FLOUR: mark("{mass} flour"), LEVAIN: mark("{mass} levain")}


# Where the phone calculates as a dial moves, it fills the numbers in itself: it gets these
# sentences with {ice} and the like left in them.


def _iced(ice: int | str = "{ice}", liquid: int | str = "{liquid}") -> str:
    return say("{ice} g of it as ice, {liquid} g from the tap.", ice=ice, liquid=liquid)


def _harms() -> str:
    return say(
        "Water above {temperature} harms yeast where it meets it (common practice): mix it with "
        "the flour first, or warm the flour.",
        temperature=warmth(WARMEST_WATER_C),
    )


def _too_hot(water: int | str = "{water}", nearest: str = "{nearest}") -> str:
    return say(
        "Not possible: it would take water at {water} {degrees}, and yeast dies from about "
        "{limit}. The warmest this mix can be is {nearest} {degrees}.",
        water=water,
        degrees=degrees_sign(),
        limit=warmth(STOP_C),
        nearest=nearest,
    )


def _too_cold(nearest: str = "{nearest}") -> str:
    return say(
        "Not possible: it would take more ice than there is water. The coldest this mix can be is "
        "{nearest} {degrees}.",
        nearest=nearest,
        degrees=degrees_sign(),
    )


def water_page(
    mix: Mix,
    warmths: Warmths,
    friction: Friction,
    formulas: Sequence[FormulaSummary],
    *,
    typed: Mapping[str, str],
    errors: Mapping[str, str],
    frame: Frame,
) -> WaterPage:
    """typed: fields as they were typed, shown again beside their errors."""
    asked, found = water_of(mix, warmths)
    same, warmer, colder = (each.replace(" °", f"{FIXED}°") for each in why_sentences(asked))
    names = {each.slug: each.name for each in formulas}
    reachable = found.nearest_c is None
    pieces = typed.get("pieces", str(mix.pieces or ""))
    choices = (
        *(Choice(each.slug, each.name) for each in formulas),
        Choice("", say("A mix by masses")),
    )
    return WaterPage(
        frame=frame,
        mix=(
            Field(
                "formula",
                say("For"),
                mix.formula,
                "select",
                choices,
                error=errors.get("formula", ""),
            ),
            PIECES.field(pieces, errors.get("pieces", "")),
        ),
        formula=mix.formula,
        pieces=pieces,
        asked=_asked(mix, names),
        water=warmth_number(found.water_c) if reachable else "–",
        unit=degrees_sign(),
        mass=say("{mass} of water", mass=mass(1000 * mix.water_kg)),
        ice=_ice(mix, found) if reachable and found.ice_kg else "",
        unreachable="" if reachable else _unreachable(found),
        harms=reachable and found.water_c > WARMEST_WATER_C,
        factor="" if found.factor_c is None else warmth_number(found.factor_c),
        why=why(asked, found).replace(" °", f"{FIXED}°"),
        advice=tuple(f"{each}." for each in mix.advice),
        masses=()
        if mix.formula
        else tuple(it.field(typed.get(it.name, ""), errors.get(it.name, "")) for it in MASSES),
        dials=tuple(_dials(mix, warmths, friction, typed, errors)),
        lines=tuple(_line(group, mix) for group in mix.groups),
        terms=WaterTerms(
            water_kg=repr(mix.water_kg),
            water_heat=repr(WATER_HEAT),
            latent_heat=repr(ICE_HEAT),
            stop=repr(STOP_C),
            warm=repr(WARMEST_WATER_C),
            agree=repr(AGREE_K),
            zero=repr(in_degrees(0.0)),
            kelvin=repr(apart_in_degrees(1.0)),
            same=same,
            warmer=warmer,
            colder=colder,
            iced=_iced(),
            too_hot=_too_hot(),
            too_cold=_too_cold(),
            care=_harms(),
        ),
    )


def _asked(mix: Mix, names: Mapping[str, str]) -> str:
    if not mix.formula:
        return say("A mix by masses")
    return f"{names.get(mix.formula, mix.formula)}, {count(mix.pieces, 'piece')}"


def _ice(mix: Mix, found: WaterFound) -> str:
    ice = floor(1000 * found.ice_kg + 0.5)
    return _iced(ice, floor(1000 * mix.water_kg + 0.5) - ice)


def _unreachable(found: WaterFound) -> str:
    assert found.nearest_c is not None
    if found.water_c > STOP_C:
        nearest = floor(in_degrees(found.nearest_c) * 10) / 10
        water = floor(in_degrees(found.water_c) + 0.5)
        return _too_hot(water, f"{nearest:.1f}")
    return _too_cold(f"{ceil(in_degrees(found.nearest_c) * 10) / 10:.1f}")


def _dials(
    mix: Mix,
    warmths: Warmths,
    friction: Friction,
    typed: Mapping[str, str],
    errors: Mapping[str, str],
) -> list[Dial]:
    dials = []
    for name, label, spans in DIALS:
        least, most, step = spans[shown().degrees]
        if name in (FLOUR, LEVAIN) and mix.group(name) is None:
            continue
        field = f"{name}_c"
        dials.append(
            Dial(
                name=field,
                label=say(label),
                unit=degrees_sign(),
                value=typed.get(field, print_number(_as_shown(name, getattr(warmths, name)))),
                least=print_number(least),
                most=print_number(most),
                step=print_number(step),
                note=friction_words(friction) if name == "friction" else "",
                error=errors.get(field, ""),
            )
        )
    return dials


def _as_shown(name: str, value: float) -> float:
    return apart_in_degrees(value) if name == "friction" else in_degrees(value)


def friction_words(friction: Friction) -> str:
    """ "learned from 6 doughs: 3.1 ± 0.6 °C", or that nothing has been learned yet."""
    if not friction.doughs:
        return say("the kitchen’s own figure; no dough has been recorded yet")
    doughs = count(friction.doughs, "dough")
    kelvin = print_number(apart_in_degrees(friction.kelvin))
    return say(
        "learned from {doughs}: {number} ± {spread}",
        doughs=doughs,
        number=kelvin,
        spread=apart(friction.spread_k),
    )


def _line(group: Group, mix: Mix) -> HeatLine:
    message = HEATED.get(group.warmth, mark("{mass} of other ingredients"))
    return HeatLine(
        f"{group.warmth}_c",
        " ".join(map(repr, mix.heat_curve(group))),
        say(message, mass=mass(1000 * group.total_kg)),
    )
