"""The water of a mix."""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar

from pointage.web.forms.field import Field
from pointage.web.frame import Frame


@dataclass(frozen=True, slots=True)
class Dial:
    """A number that moves the answer: a field, and a slider where there is JavaScript.

    value: as it was typed. least, most, step: plain numbers, the slider's ends. note: a word on
    where the value is from, or empty.
    """

    name: str
    label: str
    unit: str
    value: str
    least: str
    most: str
    step: str
    note: str = ""
    error: str = ""


@dataclass(frozen=True, slots=True)
class HeatLine:
    """Parts that share a temperature, for the phone: the dial that has it, and their heat capacity
    in kJ/K as three plain numbers, a + b·t + d·t²."""

    dial: str
    capacity: str
    text: str


@dataclass(frozen=True, slots=True)
class WaterTerms:
    """What the phone calculates with, so that it needs no network; plain numbers and sentences.

    zero, kelvin: what 0 °C and one of its degrees are in those shown. In a sentence {water}, {gap},
    {ice}, {liquid} and {nearest} stand for numbers.
    """

    water_kg: str
    water_heat: str
    latent_heat: str
    stop: str
    warm: str
    agree: str
    zero: str
    kelvin: str
    same: str
    warmer: str
    colder: str
    iced: str
    too_hot: str
    too_cold: str
    care: str


@dataclass(frozen=True, slots=True)
class WaterPage:
    """The water, its ice and the factor method. Empty strings are lines that do not apply now.

    water: the big numeral, in `unit`. mass: how much of it. asked: a line on the mix. harms: it is
    so warm that yeast is harmed where it meets it. mix: the fields of what it is for. formula,
    pieces: as typed, "" and "" for a mix by its `masses`. advice: on the amount of water, by the
    flours' figures.
    """

    template: ClassVar[str] = "water.html"
    frame: Frame
    mix: tuple[Field, ...]
    formula: str
    pieces: str
    asked: str
    water: str
    unit: str
    mass: str
    ice: str
    unreachable: str
    harms: bool
    factor: str
    why: str
    advice: tuple[str, ...]
    masses: tuple[Field, ...]
    dials: tuple[Dial, ...]
    lines: tuple[HeatLine, ...]
    terms: WaterTerms
