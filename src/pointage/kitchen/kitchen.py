"""A kitchen as plain frozen data: places, vessels, scales, oven, hours and cultures kept there."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from datetime import datetime, time
from enum import StrEnum
from fractions import Fraction
from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo

import numpy as np
from numpy.typing import NDArray

from pointage.errors import Complaint, InputError
from pointage.heat.vessel import Air
from pointage.kitchen.file.heater import Heater
from pointage.kitchen.file.mixer import Mixer
from pointage.kitchen.vessel import Vessel as Vessel  # noqa: PLC0414
from pointage.kitchen.vessel import VesselUse as VesselUse  # noqa: PLC0414
from pointage.language import say
from pointage.mixture.flours import FlourRecord, Flours, blend
from pointage.mixture.temperature.surroundings import Straying, Surroundings

if TYPE_CHECKING:
    from pointage.culture.life import Life


class PlaceKind(StrEnum):
    """What sort of place it is: a plan retards only in a fridge, proofs anywhere else.

    A warm place is a cupboard or the like, a box one with a thermostat of its own.
    """

    ROOM = "room"
    WARM = "warm"
    BOX = "box"
    FRIDGE = "fridge"
    OUTDOORS = "outdoors"


@dataclass(frozen=True, slots=True)
class Place:
    """Where a mixture can stand, how warm it is there (with its spread, `Straying`), its air.

    room_l: litres that are free for dough in a fridge; None where the file does not say.
    """

    name: str
    kind: PlaceKind
    surroundings: Surroundings
    air: Air = Air.STILL
    room_l: float | None = None

    def mean_c(self, at: datetime, since_h: float, until_h: float) -> float:
        """Its mean in °C between two hours counted from `at`, looked at every hour."""
        hours = np.linspace(since_h, until_h, round(until_h - since_h) + 1)
        return float(self.surroundings.temperatures(at, hours).mean())


@dataclass(frozen=True, slots=True)
class Scale:
    """A scale: the step of its display and the most it can carry, tare included, in exact grams."""

    name: str
    step_g: Fraction
    capacity_g: Fraction


@dataclass(frozen=True, slots=True)
class Oven:
    """An oven: the loaves or the rolls of one load, and the minutes it takes to heat.

    heater: what it draws, if the file says. surface: what loaves stand on, stone or sheet.
    offset_k: how much hotter it bakes than it says. steam_minutes: how long it is steamed; None
    for the usual. cooling_minutes: from one bread's heat to that of a cooler one; hottest_c: the
    most it can be set to; None where the file does not say.
    """

    name: str
    loaves: int
    rolls: int
    preheat_minutes: float
    heater: Heater | None = None
    surface: str = "stone"
    offset_k: float = 0.0
    steam_minutes: float | None = None
    cooling_minutes: float | None = None
    hottest_c: float | None = None


@dataclass(frozen=True, slots=True)
class Hours:
    """When no hand can be asked for.

    sleep: spans of the kitchen's own clock, every day; one that ends before it starts passes
    midnight. away: spells between two UTC instants.
    """

    sleep: tuple[tuple[time, time], ...]
    away: tuple[tuple[datetime, datetime], ...] = ()


@dataclass(frozen=True, slots=True)
class CultureAtHand:
    """A culture as it was last fed and where it stands.

    flours: kind to share, summing to 1. hydration: water over flour (1.0 is 100 %). mass_g: what
    there is of it. seed_share: seed over the new flour of its last feed. fed: the UTC instant of
    that feed. It stood `warm_hours` at `warm_place` and has been at `place` since. life: what the
    daybook has it, once it has something; then its state follows from that.
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
    life: Life | None = None

    def called(self, name: str) -> bool:
        """Whether it is called so, or once was."""
        names = (self.name,) if self.life is None else (self.name, *self.life.names)
        return name.casefold() in {each.casefold() for each in names}

    @property
    def kept_g(self) -> float:
        """The mass at which it is kept: that of the last feed that was for keeping it."""
        kept = self.life.kept if self.life is not None else None
        return self.mass_g if kept is None else kept.fed.mass_g


@dataclass(frozen=True, slots=True)
class Kitchen:
    """Everything about the kitchen that a plan must know.

    tap_c: cold tap water, °C. friction_k: what mixing by hand adds to a dough, in kelvin. mixed_in:
    the mixer that doughs are mixed in, "" when it is by hand. altitude_m: metres above the sea.
    currency: of its prices; energy_price: of a kWh, None where the file does not say. shown: how
    things are shown, as far as the file says. flours: the figures of the sacks in use, by flour.
    before: its places as they were, each with the instant until which they were so, the earliest
    first; empty where they were never otherwise. There is always a place for dough that is no
    fridge; there may be no fridge and no oven.
    """

    name: str
    zone: ZoneInfo
    places: tuple[Place, ...]
    vessels: tuple[Vessel, ...]
    scales: tuple[Scale, ...]
    ovens: tuple[Oven, ...]
    hours: Hours
    cultures: tuple[CultureAtHand, ...]
    tap_c: float
    friction_k: float = 0.0
    altitude_m: float = 0.0
    mixers: tuple[Mixer, ...] = ()
    mixed_in: str = ""
    currency: str = "EUR"
    energy_price: Fraction | None = None
    shown: Mapping[str, str] = field(default_factory=dict)
    flours: Flours = field(default_factory=dict)
    before: tuple[tuple[datetime, tuple[Place, ...]], ...] = ()

    def record(self, flours: Mapping[str, float]) -> FlourRecord:
        """What these flours, by mass or share, are together, out of the sacks in use."""
        return blend(flours, self.flours)

    def place(self, name: str, field: str = "place") -> Place:
        """The place called `name`, capitals or not. Raises InputError with the known names."""
        for each in self.places:
            if each.name.casefold() == name.casefold():
                return each
        known = ", ".join(each.name for each in self.places)
        expected = say("a place of {kitchen}: {known}", kitchen=self.name, known=known)
        raise InputError(field, repr(name), expected)

    @property
    def oven(self) -> Oven:
        """The first oven, where nothing says which; of a kitchen that has one."""
        return self.ovens[0]

    def check_oven(self) -> None:
        """Raises InputError where there is none to plan a bake in."""
        if not self.ovens:
            raise InputError(
                say("{kitchen}, oven", kitchen=self.name),
                Complaint(say("none")),
                say("an oven on the Kitchen screen, for a plan that ends with baked bread"),
            )

    def check_culture(self) -> None:
        """Raises InputError where there is none to build a levain from."""
        if not self.cultures:
            raise InputError(
                say("{kitchen}, culture", kitchen=self.name),
                Complaint(say("none")),
                say("a [[culture]] to build a levain from"),
            )

    @property
    def has_fridge(self) -> bool:
        """Whether anything can be retarded, or rested cold, in it."""
        return self.fridge is not None

    @property
    def fridge(self) -> Place | None:
        """The first of its places that is cold."""
        return next((each for each in self.places if each.kind is PlaceKind.FRIDGE), None)

    def oven_called(self, name: str) -> Oven | None:
        """The oven called so, or the only one there is, whatever it was called; else None."""
        for each in self.ovens:
            if each.name.casefold() == name.casefold():
                return each
        return self.ovens[0] if len(self.ovens) == 1 else None

    def culture(self, name: str, field: str = "culture") -> CultureAtHand:
        """The culture that is called `name`, else the one that once was, which a formula may mean.

        Raises InputError with the names there are.
        """
        for each in self.cultures:
            if each.name.casefold() == name.casefold():
                return each
        for each in self.cultures:
            if each.called(name):
                return each
        known = ", ".join(each.name for each in self.cultures) or say("none is kept yet")
        expected = say("a culture of {kitchen}: {known}", kitchen=self.name, known=known)
        raise InputError(field, repr(name), expected)

    def gained_k(self, minutes: float, dough_kg: float) -> float:
        """What mixing adds to a dough, in kelvin: by hand as given, else what the mixer does."""
        for each in self.mixers:
            if each.name == self.mixed_in:
                return each.warming_k(minutes, dough_kg)
        return self.friction_k

    def that_strays(self, offsets: Mapping[str, NDArray[np.float64]]) -> Kitchen:
        """The same on a day of which more is known: by place, how far it is off its history (K)."""

        def today(place: Place) -> Surroundings:
            if place.name in offsets and isinstance(place.surroundings, Straying):
                return replace(place.surroundings, offsets=offsets[place.name])
            return place.surroundings

        return replace(
            self, places=tuple(replace(each, surroundings=today(each)) for each in self.places)
        )

    def that_gains(self, kelvin: float) -> Kitchen:
        """The kitchen in which mixing adds so much, whatever its file says."""
        return replace(self, friction_k=kelvin, mixed_in="")

    @property
    def room(self) -> Place:
        """Where the flour stands: the first room, else the first place."""
        rooms = [each for each in self.places if each.kind is PlaceKind.ROOM]
        return (rooms or list(self.places))[0]

    @property
    def warmest_place(self) -> Place:
        """The place for waking a culture: a warm one where there is one, else the first room."""
        ranking = (PlaceKind.WARM, PlaceKind.BOX, PlaceKind.ROOM)
        ranked = [each for kind in ranking for each in self.places if each.kind is kind]
        return ranked[0]

    def vessel_for(self, uses: tuple[VesselUse, ...], litres: float, grams: float = 0.0) -> Vessel:
        """The smallest vessel for `litres` of the first use that has one, else the largest.

        Where there is none of these uses, the largest of all. grams: of what stands in it, for
        those whose file says how much they take.
        """
        for use in uses:
            fit = [v for v in self.vessels if v.use is use and v.takes(litres, grams)]
            if fit:
                return min(fit, key=lambda each: each.volume_l)
        used = [each for each in self.vessels if each.use in uses]
        return max(used or self.vessels, key=lambda each: each.volume_l)

    def jar_of(self, culture: str) -> Vessel:
        """What a culture lives in: the vessel called after it, else the largest jar, else tub."""
        named = [v for v in self.vessels if culture.casefold() in v.name.casefold()]
        jars = [v for v in self.vessels if v.use is VesselUse.JAR]
        tubs = [v for v in self.vessels if v.use is VesselUse.TUB]
        return max(named or jars or tubs or self.vessels, key=lambda each: each.most_g)

    def scale_for(self, grams: float) -> Scale:
        """The finest scale that carries `grams`, tare included, else the strongest."""
        fit = [s for s in self.scales if s.capacity_g >= grams]
        if fit:
            return min(fit, key=lambda each: each.step_g)
        return max(self.scales, key=lambda each: each.capacity_g)
