"""Read the [[vessel]] tables of a kitchen file."""

from __future__ import annotations

from pointage.errors import InputError
from pointage.kitchen.file import shape
from pointage.kitchen.vessel import Lid, Vessel, VesselUse
from pointage.language import say
from pointage.toml import place_of

ROOMY = 1.6
"""Measures that make so many times its volume, or less than a part of it, do not belong to it."""
ROUND = (VesselUse.JAR, VesselUse.TUB, VesselUse.BOWL, VesselUse.BASKET)


def read_vessel(table: shape.VesselTable, here: str) -> Vessel:
    """The vessel in `table`. Raises InputError with `here`, its place."""
    if table.diameter is not None and table.width is not None:
        expected = say("either width or diameter, not both")
        raise InputError(place_of(here, "width"), say("{width:g} mm", width=table.width), expected)
    across = "width" if table.diameter is None else "diameter"
    vessel = Vessel(
        name=table.name,
        tare_g=table.tare,
        volume_l=table.volume,
        material=table.material,
        use=VesselUse(table.use),
        lid=None if table.lid is None else Lid(table.lid),
        wall_mm=table.wall,
        height_mm=table.height,
        width_mm=getattr(table, across),
        count=table.count,
        said_most_g=None if table.most is None else float(table.most),
    )
    _check_measures(vessel, place_of(here, across))
    return vessel


def _check_measures(vessel: Vessel, field: str) -> None:
    """Refuse a height and width that cannot make the volume: one of the three is mistaken."""
    if vessel.height_mm is None or vessel.width_mm is None or vessel.use not in ROUND:
        return
    cylinder = 0.785398 * vessel.width_mm**2 * vessel.height_mm / 1e6
    # A round bottom holds down to half of the cylinder about it.
    if not cylinder / (2 * ROOMY) <= vessel.volume_l <= cylinder * ROOMY:
        raise InputError(
            field,
            say("{width:g} mm by {height:g} mm", width=vessel.width_mm, height=vessel.height_mm),
            say(
                "measures inside that fit {litres:g} l; a cylinder of these holds {cylinder:.2g} l",
                litres=vessel.volume_l,
                cylinder=cylinder,
            ),
        )
