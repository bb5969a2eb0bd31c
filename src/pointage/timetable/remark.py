"""What a plan has to say besides its figures, as codes: words are made where they are shown.

A remark is a code with what it is about by name. Its own text is none but an author's: of the
formula, or of a plan from before there were codes.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime
from enum import StrEnum


class Unit(StrEnum):
    """The unit of a quantity. ONE: a count, a share of 1, or times as much."""

    GRAM = "g"
    CELSIUS = "°C"
    HOUR = "h"
    LITRE = "l"
    ONE = "1"


@dataclass(frozen=True, slots=True)
class Quantity:
    """A number with its unit."""

    value: float
    unit: Unit


Argument = str | Quantity | datetime | tuple[datetime, ...]
"""A place, vessel, stage or culture by name; a quantity; an instant, or several."""


class RemarkCode(StrEnum):
    """What is said. After each, what it is about."""

    AUTHOR = "author"  # text

    CULTURE_FROM = "culture-from"  # culture, place
    # Of plans from before the keeping feed had its own amounts.
    FEED_ALL_LEFT = "feed-all-left"  # culture, mass, place; hours and warm_place if it waits there
    FEED_SOME_LEFT = "feed-some-left"  # the same
    KEEPING = "keeping"  # discard, place; then and moved if it is put elsewhere
    CHILLED = "chilled"  # place, at, until; out where it comes out again before
    LID_LOOSE = "lid-loose"
    LID_AJAR = "lid-ajar"  # vessel
    BRIM = "brim"  # vessel, at, odds; larger: a vessel that holds it, else volume: what would

    SOAK_COVERED = "soak-covered"
    SCALD_AT_ONCE = "scald-at-once"
    DOUGH_WANTED = "dough-wanted"  # temperature
    DOUGH_OUT_OF_REACH = "dough-out-of-reach"  # temperature, reached
    OLD_DOUGH = "old-dough"
    RAW_FLOUR = "raw-flour"
    BULK_RISE = "bulk-rise"  # rise
    FOLDING = "folding"
    LATE_WATER = "late-water"  # temperature
    PIECES_OF = "pieces-of"  # pieces, mass
    PROOF_RISE = "proof-rise"  # rise
    NO_FRIDGE = "no-fridge"
    BAKED_THROUGH = "baked-through"  # core, mass
    STEAM_SCALDS = "steam-scalds"
    ON_RACKS = "on-racks"

    MOULD = "mould"
    GLUTEN = "gluten"


@dataclass(frozen=True, slots=True)
class Remark:
    """One thing to say. text: an author's own words, with AUTHOR only."""

    code: RemarkCode
    about: Mapping[str, Argument] = field(default_factory=dict)
    text: str = ""


class ConflictName(StrEnum):
    """A wish that can stand in the way. After each, what it is about."""

    READY = "ready"  # ready, possible
    SLEEP = "sleep"  # ready; work and at of the first work that falls in the night
    AWAY = "away"  # ready, spells: an instant each way
    OVEN = "oven"  # loads
    FRIDGE = "fridge"  # capacity, needed, free, missing, since, most, pieces; freed: from when
    OTHER_BAKES = "other-bakes"
    START = "start"  # begin
    EVERYTHING = "everything-at-once"


@dataclass(frozen=True, slots=True)
class Conflict:
    """One wish that stands in the way, and what giving it up would bring."""

    name: ConflictName
    about: Mapping[str, Argument] = field(default_factory=dict)


def litres(value: float) -> Quantity:
    """A volume in litres."""
    return Quantity(value, Unit.LITRE)


def celsius(value: float) -> Quantity:
    """A temperature in °C."""
    return Quantity(value, Unit.CELSIUS)


def grams(value: float) -> Quantity:
    """A mass in grams."""
    return Quantity(value, Unit.GRAM)


def number(value: float) -> Quantity:
    """A count, a share or a ratio."""
    return Quantity(value, Unit.ONE)
