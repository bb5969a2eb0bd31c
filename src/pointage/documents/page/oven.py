"""Minutes in a reader's oven: a small table by the oven's physics."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np

from pointage.documents.page.grid import packed
from pointage.errors import RangeError
from pointage.heat.baking import BakedOn, LoafInOven, bake
from pointage.heat.loaf import LoafShape
from pointage.timetable.oven import ROLLS_FOR_CRUST

MASSES = (0.4, 0.7, 1.2, 2.0)
"""Of the formula's own piece."""
HEATS_K = (-50.0, -15.0, 30.0)
"""Beside the formula's own oven."""
HOTTEST_C = 300.0
HEIGHTS_M = (0.0, 1800.0, 3600.0)
ON = (BakedOn.STONE, BakedOn.SHEET, BakedOn.POT)


def oven_table(what: LoafInOven, own_minutes: float | None) -> dict[str, Any]:
    """Minutes by what it stands on, mass (g), oven (°C) and height (m).

    what: the formula's own piece as its author's oven meets it. own_minutes: what the author bakes
    it for; the table then says by how much longer or shorter elsewhere (`factor`). warm: what a
    piece that comes in at the dough's warmth takes of one that comes cold.
    """
    on = (BakedOn.TIN,) if what.stands is BakedOn.TIN else ON
    masses = [what.mass_kg * each for each in MASSES]
    ovens = [what.oven_c + each for each in HEATS_K if what.oven_c + each <= HOTTEST_C]
    base = [
        [
            [
                _minutes(replace(what, stands=each, mass_kg=kg, oven_c=c, altitude_m=0.0))
                for c in ovens
            ]
            for kg in masses
        ]
        for each in on
    ]
    by_height = np.array([_minutes(replace(what, altitude_m=each)) for each in HEIGHTS_M])
    table = np.array(base)[..., None] * (by_height / by_height[0])
    own = _minutes(what)
    rolls = ROLLS_FOR_CRUST if what.shape == LoafShape.ROLL else 1.0
    return {
        "on": [each.value for each in on],
        "own": what.stands.value,
        "mass": np.log(1000 * np.array(masses)).tolist(),
        "oven": ovens,
        "height": HEIGHTS_M,
        "table": packed(table),
        "factor": rolls if own_minutes is None or np.isnan(own) else own_minutes / own,
        "start": what.start_c,
        "pieces": what.loaves,
    }


def warm_share(what: LoafInOven, warm_c: float) -> float:
    """Minutes of a piece that goes in at `warm_c` over those of `what`; 1 where unknown."""
    share = _minutes(replace(what, start_c=warm_c)) / _minutes(what)
    return 1.0 if np.isnan(share) else share


def _minutes(what: LoafInOven) -> float:
    try:
        return bake(what).minutes
    except RangeError:
        return float("nan")
