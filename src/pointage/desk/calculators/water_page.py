"""The water for a formula's dough in this kitchen, or for a plain mix of flour and levain."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from contextlib import suppress
from dataclasses import dataclass, field
from datetime import datetime
from fractions import Fraction
from typing import TYPE_CHECKING

from pointage.bounds import PIECES_MADE
from pointage.desk.now.unrecorded import PlainKitchen
from pointage.errors import InputError
from pointage.formula.flour.figures import water_words
from pointage.formula.formula import FERMENTED, Formula, StageKind
from pointage.formula.warmth import WATER, heat_capacity_curve, is_flour
from pointage.formula.water import Ingoing, WaterFound, WaterQuestion, answer
from pointage.kitchen.friction import Friction
from pointage.kitchen.kitchen import Place
from pointage.language import say
from pointage.mixture.flours import Flours
from pointage.science.heat_balance import LATENT_HEAT_OF_ICE

if TYPE_CHECKING:
    from pointage.desk.now.present import Present

FLOUR, LEVAIN, ROOM = "flour", "levain", "room"
"""By these the parts of a mix have their temperature: all that is none of the first two has stood
in the room."""

SINCE_H = 12
WATER_HEAT, ICE_HEAT = WATER, LATENT_HEAT_OF_ICE
"""The heat capacity of water, kJ/(kg·K), and what melting ice takes, kJ/kg."""
USUAL_C = 25.0
USUAL_G = {FLOUR: 1000.0, "water": 650.0, LEVAIN: 200.0}


@dataclass(frozen=True, slots=True)
class Group:
    """Parts that share a temperature: which (FLOUR, LEVAIN or ROOM), and kilograms by kind."""

    warmth: str
    kilograms: Mapping[str, float]

    @property
    def total_kg(self) -> float:
        return sum(self.kilograms.values())


@dataclass(frozen=True, slots=True)
class Mix:
    """A mix whose water is asked for. formula, pieces: what it is for; "" and 0 for a plain one.

    flours: the own figures of its flours. advice: the water they ask for, a sentence each without
    its end.
    """

    water_kg: float
    groups: tuple[Group, ...]
    formula: str = ""
    pieces: int = 0
    flours: Flours = field(default_factory=dict)
    advice: tuple[str, ...] = ()

    def moisture(self, kind: str) -> float | None:
        """A flour's own moisture, percent; None for that of its record."""
        own = self.flours.get(kind)
        return None if own is None else own.moisture

    def group(self, warmth: str) -> Group | None:
        return next((each for each in self.groups if each.warmth == warmth), None)

    def heat_curve(self, group: Group) -> tuple[float, ...]:
        """The heat capacity of a group, kJ/K, as coefficients of 1, °C and °C²."""
        sums = [0.0, 0.0, 0.0]
        for kind, kilograms in group.kilograms.items():
            for power, coefficient in enumerate(heat_capacity_curve(kind, self.moisture(kind))):
                sums[power] += kilograms * coefficient
        return tuple(sums)


@dataclass(frozen=True, slots=True)
class Warmths:
    """The temperatures of a mix, °C, and what working warms it by, K."""

    wanted: float
    flour: float
    levain: float
    room: float
    tap: float
    friction: float


def question(mix: Mix, warmths: Warmths) -> WaterQuestion:
    """The question that a mix at these temperatures puts."""
    at = {FLOUR: warmths.flour, LEVAIN: warmths.levain, ROOM: warmths.room}
    return WaterQuestion(
        wanted_c=warmths.wanted,
        water_kg=mix.water_kg,
        parts=tuple(
            Ingoing(kind, kilograms, at[group.warmth], mix.moisture(kind))
            for group in mix.groups
            for kind, kilograms in group.kilograms.items()
        ),
        friction=warmths.friction,
        room_c=warmths.room,
        tap_c=warmths.tap,
    )


def water_of(mix: Mix, warmths: Warmths) -> tuple[WaterQuestion, WaterFound]:
    """The question that a mix puts, and its answer."""
    asked = question(mix, warmths)
    return asked, answer(asked)


def plain_mix(grams: Mapping[str, float]) -> Mix:
    """A mix of flour, water and, if there is some, a levain of half water. Raises InputError."""
    for name in (FLOUR, "water"):
        if grams[name] <= 0:
            raise InputError(f"{name}_g", f"{grams[name]:g} g", say("a mass above 0 g"))
    groups = [Group(FLOUR, {"flour": grams[FLOUR] / 1000})]
    if grams[LEVAIN]:
        groups.append(Group(LEVAIN, {"levain": grams[LEVAIN] / 1000}))
    return Mix(grams["water"] / 1000, tuple(groups))


def dough_mix(formula: Formula, pieces: int, flours: Flours | None = None) -> Mix:
    """The final dough of a formula: what goes into the bowl with its water.

    flours: figures of the sacks in use; the formula's own stand before them. Raises InputError.
    """
    scale = float(pieces * formula.piece_g / sum(formula.total.values(), Fraction())) / 1000
    kilograms: dict[str, dict[str, float]] = {FLOUR: {}, LEVAIN: {}, ROOM: {}}
    water_kg = 0.0
    for name, percent in formula.dough.ingredients.items():
        if name == "water":
            water_kg = float(percent) * scale
        else:
            _add(kilograms[FLOUR if is_flour(name) else ROOM], name, float(percent) * scale)
    for name, share in formula.dough.parts_of.items():
        stage = formula.stage(name)
        whole = formula.whole(stage)
        if stage.kind in FERMENTED and 10 * whole.hydration > 1:
            kind = f"levain/{float(100 * whole.hydration):.6g}"
            _add(kilograms[LEVAIN], kind, float(share * whole.mass) * scale)
        elif stage.kind is not StageKind.ADDITION:  # an addition comes after the mix
            for each, percent in whole.ingredients.items():
                _add(kilograms[ROOM], each, float(share * percent) * scale)
    if not water_kg:
        raise InputError("formula", formula.name, say("a formula whose dough has water of its own"))
    groups = (Group(warmth, parts) for warmth, parts in kilograms.items() if parts)
    own = {**(flours or {}), **formula.flours}
    grams = {name: part * Fraction(1000 * scale) for name, part in formula.total.items()}
    return Mix(water_kg, tuple(groups), formula.slug, pieces, own, water_words(grams, own))


class WaterDesk:
    """The water page of one stored kitchen."""

    def __init__(self, present: Callable[[], Present], clock: Callable[[], datetime]) -> None:
        self._present = present
        self._clock = clock

    def mix(self, slug: str, pieces: int | None = None) -> Mix:
        """The dough of a formula, for its own pieces or so many. Raises NotThere, InputError."""
        formula = self._present().formula(slug)
        if pieces is not None:
            PIECES_MADE.check(pieces, "pieces")
        return dough_mix(formula, pieces or formula.pieces, self._present().flours)

    def warmths(self, mix: Mix) -> Warmths:
        """The temperatures that the kitchen, the formula and the daybook let expect of a mix."""
        present = self._present()
        formula = present.formula(mix.formula) if mix.formula else None
        return warmths_of(mix, formula, present, self._clock())

    def friction_of(self, mix: Mix) -> Friction:
        """What mixing such a dough warms it by, as the kitchen's file says and its doughs teach."""
        present = self._present()
        formula = present.formula(mix.formula) if mix.formula else None
        return friction_of(present, formula, mix.pieces)


def warmths_of(mix: Mix, formula: Formula | None, present: PlainKitchen, now: datetime) -> Warmths:
    """The same of a formula that need not be kept; None for a plain mix. Raises InputError."""
    kitchen = present.file
    room_c = _mean(kitchen.room, now)
    levain = None if formula is None else formula.levain
    wanted = USUAL_C
    if formula is not None and formula.process is not None:
        wanted = formula.process.dough_temperature.celsius
    place = kitchen.warmest_place
    if levain is not None and levain.place is not None:
        with suppress(InputError):  # a place of another kitchen: planning says so
            place = kitchen.place(levain.place)
    friction = friction_of(present, formula, mix.pieces)
    return Warmths(
        wanted, room_c, _mean(place, now), room_c, kitchen.tap_c, round(friction.kelvin, 1)
    )


def friction_of(
    present: PlainKitchen, formula: Formula | None, pieces: int, piece_g: Fraction | None = None
) -> Friction:
    """What mixing so many pieces of a formula warms the dough by; of a plain kilogram for None."""
    minutes, dough_kg = 10.0, 1.0
    if formula is not None and formula.process is not None:
        minutes = formula.process.mix_minutes
        dough_kg = float(pieces * (piece_g or formula.piece_g)) / 1000
    return present.friction(minutes, dough_kg)


def _add(sums: dict[str, float], name: str, kilograms: float) -> None:
    sums[name] = sums.get(name, 0.0) + kilograms


def _mean(place: Place, now: datetime) -> float:
    """The mean of a place over the hours that what stood there has had, to a tenth."""
    return round(place.mean_c(now, -SINCE_H, 0.0), 1)
