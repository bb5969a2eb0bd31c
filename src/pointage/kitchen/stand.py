"""A mixture standing in a vessel of the kitchen, in one of its places."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from pointage.heat.vessel import Around, Follow, follow
from pointage.kitchen.kitchen import Place, PlaceKind
from pointage.kitchen.vessel import Vessel, VesselUse
from pointage.mixture.mixture import Mixture
from pointage.mixture.temperature.thermal import USUAL_RISE, filling, stand_name
from pointage.mixture.traits import Traits

Floats = NDArray[np.float64]

FRIDGE_C, ROOM_C = 5.0, 20.0  # near enough for what a wall radiates
MOST_BESIDE = 3  # of several pieces on a shelf one has at most so many near it (ours)
LEVELLED = (VesselUse.JAR, VesselUse.TUB, VesselUse.BOWL)
"""What they hold has a level; a loaf may stand over its tin, and is none in a basket."""


@dataclass(frozen=True, eq=False, slots=True)
class VesselStand:
    """Where a mixture stands and how it follows the place.

    full: the share of the vessel's volume that it fills just after mixing; 0 where there is no
    level. warming: what was learned of this vessel in this place, one a member.
    """

    vessel: Vessel
    place: Place
    follow: Follow
    full: float = 0.0
    warming: Floats | None = None

    @property
    def name(self) -> str:
        return stand_name(self.vessel.name, self.place.name)

    def traits(self, traits: Traits) -> Traits:
        """The traits as they show here: with what was learned of it, if anything was."""
        if self.warming is None:
            return traits
        members = len(traits)
        known = self.warming
        if members == 1:
            known = np.array([np.median(known)])
        elif members != len(known):
            known = np.quantile(known, (np.arange(members) + 0.5) / members)
        return replace(traits, warming=known)


def stand(
    vessel: Vessel,
    place: Place,
    mixture: Mixture,
    *,
    rise: float = USUAL_RISE,
    pieces: int = 0,
    warming: Mapping[str, Floats] | None = None,
) -> VesselStand:
    """How `mixture` follows `place` in `vessel` while it stands at about `rise`.

    pieces: so many of its like stand together, each in its own basket or tin or on a tray; 0 where
    it is a mixture and no piece.
    """
    cold = place.kind is PlaceKind.FRIDGE
    beside = min(max(pieces - 1, 0), MOST_BESIDE)
    around = Around(place.air, FRIDGE_C if cold else ROOM_C, beside=beside)
    shell = vessel.shell
    if pieces and vessel.use is VesselUse.TRAY:
        shell = replace(shell, pieces=max(1, round(pieces / vessel.count)))
    found = follow(shell, filling(mixture, rise), around)
    level = mixture.volume * mixture.mass / 1000 / vessel.volume_l
    known = (warming or {}).get(stand_name(vessel.name, place.name))
    return VesselStand(vessel, place, found, level if vessel.use in LEVELLED else 0.0, known)
