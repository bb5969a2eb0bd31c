"""The heat that flour gives off as it takes up water."""

from __future__ import annotations

from math import exp

from pointage.errors import RangeError
from pointage.language import mark

DRY = 105.0  # kJ per kg of dry flour wetted from bone dry; 25 cal/g, from memory for wheat starch
FALL = 13.95  # per kg of water on a kg of dry flour; through 15.1 kJ per kg of flour at 11.5 %
DRIEST, DAMPEST = 0.0, 0.20


def heat_of_wetting(moisture: float) -> float:
    """Heat that a kilogram of flour gives off when it is wetted to a dough, less when damper.

    q = 105·(1 − w)·e^(−13.95·w/(1 − w)).

    Units: moisture w as a share of the flour's mass, 0.14 for 14 %; kJ per kg of flour out.
    Range: 0 to 20 % moisture, enough water to wet all of it; RangeError outside. The two anchors
    leave it uncertain by about a third at 14 %, which is 0.7 K in a dough of 65 % hydration.
    Source: a bakers' dictionary (Sosland) gives 6.5 Btu per pound, 15.1 kJ/kg, at 11 to 12 %
    moisture; the dry end, and the fall as an exponential of the moisture on dry matter between the
    two, are ours, after the course that Winkler & Geddes 1931, Cereal Chemistry 8:455-475, found
    (from memory).
    """
    if not DRIEST <= moisture <= DAMPEST:
        raise RangeError("flour moisture", moisture, DRIEST, DAMPEST, mark("of its mass"))
    return DRY * (1.0 - moisture) * exp(-FALL * moisture / (1.0 - moisture))
