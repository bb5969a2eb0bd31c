"""A kitchen as plain frozen data: places, vessels, scales, oven, hours and the cultures kept there."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import datetime, time
from enum import StrEnum
from fractions import Fraction
from zoneinfo import ZoneInfo

from pointage.mixture.surroundings import Surroundings


class PlaceKind(StrEnum):
    """What sort of place it is: a plan retards only in a fridge, proofs anywhere else."""

    ROOM = "room"
    WARM = "warm"
    FRIDGE = "fridge"


@dataclass(frozen=True, slots=True)
class Place:
    """Where a mixture can stand."""

    name: str
    kind: PlaceKind
    surroundings: Surroundings


@dataclass(frozen=True, slots=True)
class Vessel:
    """What a mixture can stand in. tare_g in grams, volume_l in litres to the brim."""

    name: str
    tare_g: float
    volume_l: float
    material: str


@dataclass(frozen=True, slots=True)
class Scale:
    """A scale: the step of its display and the most it can carry, in grams."""

    name: str
    step_g: Fraction
    capacity_g: Fraction


@dataclass(frozen=True, slots=True)
class Oven:
    """The oven: pieces of each load by the mass of a piece is the formula's; a load is `loaves`."""

    name: str
    loaves: int
    rolls: int
    preheat_minutes: float


@dataclass(frozen=True, slots=True)
class Hours:
    """When no hand can be asked for: nightly sleep (local clock) and spells away (instants)."""

    sleep: tuple[tuple[time, time], ...]
    away: tuple[tuple[datetime, datetime], ...] = ()


@dataclass(frozen=True, slots=True)
class CultureAtHand:
    """A culture as it stands in the kitchen.

    flours: kind to share (sums to 1); hydration: water over flour; seed_share: seed over new flour
    at the last feed; mass_g: what there is of it; fed: the instant of the last feed; warm_hours:
    how long it stood at `warm_place` before it went to `place`.
    """

    name: str
    flours: dict[str, float]
    hydration: float
    mass_g: float
    seed_share: float
    fed: datetime
    warm_place: str
    warm_hours: float
    place: str


@dataclass(frozen=True, slots=True)
class Kitchen:
    """Everything about the kitchen that a plan must know."""

    name: str
    zone: ZoneInfo
    places: tuple[Place, ...]
    vessels: tuple[Vessel, ...]
    scales: tuple[Scale, ...]
    oven: Oven
    hours: Hours
    cultures: tuple[CultureAtHand, ...]
    tap_c: float
    friction_k: float = 0.0
    altitude_m: float = 0.0
    notes: dict[str, str] = field(default_factory=dict)
