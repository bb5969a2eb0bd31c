"""What a kitchen has of each thing that several bakes need at once, by name."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from enum import StrEnum
from math import inf

from pointage.kitchen.kitchen import Kitchen, PlaceKind
from pointage.kitchen.vessel import VesselUse

HANDS = "hands"
"""The name of the one pair of hands."""


class CapacityKind(StrEnum):
    """What sort of thing is shared."""

    HANDS = "hands"
    OVEN = "oven"
    FRIDGE = "fridge"
    BASKET = "basket"
    TIN = "tin"
    TRAY = "tray"
    BOWL = "bowl"
    TUB = "tub"
    JAR = "jar"
    SCALE = "scale"


@dataclass(frozen=True, slots=True)
class Capacity:
    """A named capacity: `count` alike, each of which takes `amount` in `unit`.

    unit: "pair" of hands, "load" of an oven (its loaves and rolls are the oven's), "l" of a fridge,
    "piece" to a basket or tin, "tray", and "g" of what a bowl, tub or jar is filled with or a scale
    carries, tare included. A fridge whose litres are not said takes `inf`.
    """

    name: str
    kind: CapacityKind
    amount: float
    unit: str
    count: int = 1

    @property
    def whole(self) -> float:
        """All that there is of it, in `unit`."""
        return self.amount * self.count


_EACH_ONE = {VesselUse.BASKET: "piece", VesselUse.TIN: "piece", VesselUse.TRAY: "tray"}


def capacities(kitchen: Kitchen) -> tuple[Capacity, ...]:
    """Every capacity of a kitchen: hands, ovens, fridges, vessels and scales, no two of one name.

    Within a kind the kitchen's file makes names unique. Where things of two kinds share a name, the
    later in that order has its kind added: "Fridge (tub)".
    """
    found: dict[str, Capacity] = {}
    for each in _as_called(kitchen):
        name = each.name
        while name.casefold() in found:
            name = f"{name} ({each.kind})"
        found[name.casefold()] = replace(each, name=name)
    return tuple(found.values())


def capacity_called(kitchen: Kitchen, kind: CapacityKind, name: str) -> Capacity | None:
    """The capacity of the kitchen's thing of this kind that its file calls `name`, if any."""
    for called, each in zip(_as_called(kitchen), capacities(kitchen), strict=True):
        if called.kind is kind and called.name.casefold() == name.casefold():
            return each
    return None


def _as_called(kitchen: Kitchen) -> Iterator[Capacity]:
    """The capacities under the names that the file gives them."""
    yield Capacity(HANDS, CapacityKind.HANDS, 1.0, "pair")
    for oven in kitchen.ovens:
        yield Capacity(oven.name, CapacityKind.OVEN, 1.0, "load")
    for place in kitchen.places:
        if place.kind is PlaceKind.FRIDGE:
            litres = inf if place.room_l is None else place.room_l
            yield Capacity(place.name, CapacityKind.FRIDGE, litres, "l")
    for vessel in kitchen.vessels:
        kind = CapacityKind(vessel.use.value)
        if vessel.use in _EACH_ONE:
            yield Capacity(vessel.name, kind, 1.0, _EACH_ONE[vessel.use], vessel.count)
        else:
            yield Capacity(vessel.name, kind, vessel.most_g, "g", vessel.count)
    for scale in kitchen.scales:
        yield Capacity(scale.name, CapacityKind.SCALE, float(scale.capacity_g), "g")
