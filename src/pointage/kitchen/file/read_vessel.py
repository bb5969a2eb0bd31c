"""Read the [[vessel]] tables of a kitchen file."""

from __future__ import annotations

from pointage.bounds import TARE_G
from pointage.errors import InputError
from pointage.heat.materials import materials
from pointage.kitchen.file import shape
from pointage.kitchen.vessel import Lid, Vessel, VesselUse
from pointage.quantities import parse_length, parse_mass, parse_volume
from pointage.toml import nearest, place_of

# Common practice, no source: outside these a unit was mistaken.
INSIDE_MM = (20.0, 2000.0)
WALL_MM = (0.05, 100.0)
ROOMY = 1.6
"""Measures that make so many times its volume, or less than a part of it, do not belong to it."""
ROUND = (VesselUse.JAR, VesselUse.TUB, VesselUse.BOWL, VesselUse.BASKET)


def read_vessel(table: shape.VesselTable, source: str) -> Vessel:
    """The vessel that `table` tells of. Raises InputError with `source`, the file's name."""
    here = place_of(source, f"vessel {table.name!r}")
    if table.material not in materials():
        known = nearest(table.material, list(materials()))
        raise InputError(place_of(here, "material"), repr(table.material), known)
    if table.diameter is not None and table.width is not None:
        raise InputError(place_of(here, "width"), repr(table.width), "either it or the diameter")
    across = "width" if table.diameter is None else "diameter"
    vessel = Vessel(
        name=table.name,
        tare_g=TARE_G.read(table.tare, place_of(here, "tare")),
        volume_l=float(parse_volume(table.volume, place_of(here, "volume"))),
        material=table.material,
        use=VesselUse(table.use),
        lid=None if table.lid is None else Lid(table.lid),
        wall_mm=_length(table.wall, place_of(here, "wall"), WALL_MM),
        height_mm=_length(table.height, place_of(here, "height"), INSIDE_MM),
        width_mm=_length(getattr(table, across), place_of(here, across), INSIDE_MM),
        count=table.count,
        said_most_g=_most(table.most, place_of(here, "most")),
    )
    _check_measures(vessel, table, here, across)
    return vessel


def _most(text: str | None, field: str) -> float | None:
    if text is None:
        return None
    grams = float(parse_mass(text, field))
    if not grams:
        raise InputError(field, repr(text), "a mass above nothing")
    return grams


def _length(text: str | None, field: str, limits: tuple[float, float]) -> float | None:
    if text is None:
        return None
    found = float(parse_length(text, field))
    low, high = limits
    if not low <= found <= high:
        raise InputError(field, repr(text), f"a length of {low:g} to {high:g} mm")
    return found


def _check_measures(vessel: Vessel, table: shape.VesselTable, here: str, across: str) -> None:
    """Refuse a height and width that cannot make the volume: one of the three is mistaken."""
    if vessel.height_mm is None or vessel.width_mm is None or vessel.use not in ROUND:
        return
    cylinder = 0.785398 * vessel.width_mm**2 * vessel.height_mm / 1e6
    # A round bottom holds down to half of the cylinder about it.
    if not cylinder / (2 * ROOMY) <= vessel.volume_l <= cylinder * ROOMY:
        raise InputError(
            place_of(here, across),
            f"{getattr(table, across)} by {table.height}",
            f"measures inside that fit {table.volume}; a cylinder of these holds {cylinder:.2g} l",
        )
