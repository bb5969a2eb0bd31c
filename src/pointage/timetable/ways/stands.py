"""Which vessel each mixture of a bake stands in, where, and whether that will hold it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from math import ceil

import numpy as np
from numpy.typing import NDArray

from pointage.formula.formula import Process
from pointage.kitchen.fill import Overflow, overflow
from pointage.kitchen.kitchen import Kitchen, Place
from pointage.kitchen.stand import VesselStand, stand
from pointage.kitchen.vessel import Vessel, VesselUse, usual_vessel
from pointage.mixture.course import Course
from pointage.mixture.mixture import Mixture
from pointage.timetable.remark import (
    Argument,
    Quantity,
    Remark,
    RemarkCode,
    Unit,
    number,
)

IN_TUB = (VesselUse.TUB, VesselUse.BOWL)
IN_BOWL = (VesselUse.BOWL, VesselUse.TUB)
CULTURE_GROWS = 3.0  # room in the vessel: litres for each kilogram
LEVAIN_GROWS = 2.6
SPARE = 1.05  # of the volume that a risen dough is expected to have
CULTURE_RISE, DOUGH_RISE = 1.7, 1.3  # about which a feed and a dough stand for most of their time
PROOF_RISE = 1.5

# By the shape of the loaf: what its pieces wait in, and litres for each kilogram of piece.
_IN = {"tin": VesselUse.TIN, "roll": VesselUse.TRAY, "flat": VesselUse.TRAY}
_PIECE_GROWS = 1.6


@dataclass(frozen=True, eq=False)
class KitchenStands:
    """The vessels of a kitchen as a bake uses them. warming: learned, by the name of the stand."""

    kitchen: Kitchen
    process: Process
    warming: Mapping[str, NDArray[np.float64]] = field(default_factory=dict)

    def fed(self, mixture: Mixture, place: Place, *, last: bool) -> VesselStand:
        """A feed of the culture, or at last the levain, in its tub."""
        vessel = tub_for(self.kitchen, mixture.mass, last=last)
        return stand(vessel, place, mixture, rise=CULTURE_RISE, warming=self.warming)

    def bulk(self, dough: Mixture, place: Place) -> VesselStand:
        """The dough where it was mixed: in what will hold it once it has risen; one of several
        bowls where it takes more than one."""
        bowls = self.bowls(dough)
        part = dough if len(bowls) == 1 else dough.scaled(dough.mass / len(bowls))
        return stand(bowls[0], place, part, rise=DOUGH_RISE, warming=self.warming)

    def bowls(self, dough: Mixture) -> tuple[Vessel, ...]:
        """What a dough is mixed in and rises in: one vessel, or several for equal parts of it."""
        return bowls_for(self.kitchen, self.process, dough.mass, dough.volume)

    def piece(self, piece: Mixture, pieces: int, place: Place) -> VesselStand:
        """One of the shaped pieces in its basket or tin, or on its tray."""
        vessel = self.piece_vessel(piece.mass)
        return stand(
            vessel, place, piece, rise=PROOF_RISE, pieces=max(pieces, 1), warming=self.warming
        )

    def piece_vessel(self, grams: float) -> Vessel:
        """What a shaped piece of so many grams waits in or on."""
        use = _IN.get(self.process.shape, VesselUse.BASKET)
        litres = grams / 1000 * _PIECE_GROWS
        if any(each.use is use for each in self.kitchen.vessels):
            return self.kitchen.vessel_for((use,), litres, grams)
        return usual_vessel(use, litres)

    def over_the_brim(self, course: Course, stands: VesselStand, hours: float) -> Remark | None:
        """Whether the mixture may pass the brim within `hours`, and what would hold it."""
        found = overflow(course, stands.full, hours)
        if found is None:
            return None
        about: dict[str, Argument] = {"vessel": stands.vessel.name, "at": found.at}
        about["odds"] = number(round(found.odds, 2))
        return Remark(RemarkCode.BRIM, about | self._instead(found, stands))

    def _instead(self, found: Overflow, stands: VesselStand) -> dict[str, Argument]:
        """The smallest vessel of the kitchen that would do, else how large one must be."""
        litres = found.rise * stands.full * stands.vessel.volume_l
        fit = [
            each
            for each in self.kitchen.vessels
            if each.use in (*IN_BOWL, VesselUse.JAR) and each.volume_l >= litres
        ]
        if fit:
            return {"larger": min(fit, key=lambda each: each.volume_l).name}
        return {"volume": Quantity(ceil(2 * litres) / 2, Unit.LITRE)}


def litres_on_shelf(vessel: Vessel | None, piece_g: float) -> float:
    """What a piece takes of a fridge: its basket or tin to the brim, else itself, risen (ours)."""
    if vessel is None or vessel.use is VesselUse.TRAY:
        return piece_g / 1000 * _PIECE_GROWS
    return vessel.volume_l


def tub_for(kitchen: Kitchen, grams: float, *, last: bool) -> Vessel:
    """The tub that a feed is mixed in and stands in; `last`: the levain itself."""
    grows = LEVAIN_GROWS if last else CULTURE_GROWS
    return kitchen.vessel_for(IN_TUB, grams / 1000 * grows, grams)


def bowls_for(
    kitchen: Kitchen, process: Process, grams: float, litres_per_kg: float
) -> tuple[Vessel, ...]:
    """The bowl, or the tub, that a dough is mixed in and rises in; as few as hold equal parts of
    it where none holds all. Where the kitchen has not so many, its largest alone."""
    risen = grams / 1000 * litres_per_kg * process.bulk_rise[2] * SPARE
    whole = kitchen.vessel_for(IN_BOWL, risen, grams)
    there = [v for use in IN_BOWL for v in kitchen.vessels if v.use is use for _ in range(v.count)]
    for parts in () if whole.takes(risen, grams) else range(2, len(there) + 1):
        fit = [each for each in there if each.takes(risen / parts, grams / parts)]
        if len(fit) >= parts:
            return tuple(fit[:parts])
    return (whole,)
