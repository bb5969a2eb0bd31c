"""Pours on the kitchen's scales: a ladder in a vessel, by the scale that carries it."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

from pointage.formula.ladder import Bowl, Ladder, Pour, in_bowls, ladder
from pointage.kitchen.kitchen import Kitchen
from pointage.kitchen.vessel import Vessel


def pouring(kitchen: Kitchen, vessel: Vessel, pours: Sequence[Pour], *more: Vessel) -> Ladder:
    """A ladder in a vessel, on the scale for it. more: the further bowls of a batch in several."""
    bowls = 1 + len(more)
    heaviest = max(each.tare_g for each in (vessel, *more))
    weighed = kitchen.scale_for(poured_g(pours) / bowls + heaviest)
    named = [pour for pour in pours if pour.grams]
    if more:
        named = in_bowls(named, bowls, float(weighed.step_g))
    others = tuple(Bowl(each.name, each.tare_g) for each in more)
    return ladder(vessel.name, vessel.tare_g, float(weighed.step_g), named, others)


def poured_g(pours: Sequence[Pour]) -> float:
    """Grams of all pours together."""
    return float(sum(Fraction(str(pour.grams)) for pour in pours))
