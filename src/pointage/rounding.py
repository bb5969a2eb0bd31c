"""Round grams to the step of a scale, once, so that the total is kept."""

from __future__ import annotations

from collections.abc import Hashable, Mapping
from fractions import Fraction
from math import floor
from typing import TypeVar

from pointage.errors import RangeError

K = TypeVar("K", bound=Hashable)


def round_to_step(grams: Fraction, step: Fraction) -> Fraction:
    """The multiple of `step` nearest to `grams`; halfway, the even one."""
    return round(grams / step) * step


def round_to_total(
    exact: Mapping[K, Fraction], step: Fraction, total: Fraction | None = None
) -> dict[K, Fraction]:
    """Round each of `exact` to a multiple of `step`, so that they sum to `total`.

    Method of the largest remainder: all are rounded down, then one step more is given to those that
    lost the most, the earlier first where they lost the same. So each is less than one step from
    what it was, and nothing stays nothing. total: a multiple of `step` less than one step from the
    exact sum; the nearest one when it is left out.
    Units: grams. Raises RangeError for a step or mass below nothing and for a total out of reach.
    """
    if step <= 0:
        raise RangeError("step", float(step), 0.0, float("inf"), "g")
    if any(grams < 0 for grams in exact.values()):
        raise RangeError("mass", float(min(exact.values())), 0.0, float("inf"), "g")
    wanted = round_to_step(sum(exact.values(), Fraction()), step) if total is None else total
    down = {key: floor(grams / step) for key, grams in exact.items()}
    lost = {key: grams / step - down[key] for key, grams in exact.items()}
    losers = sorted((key for key in exact if lost[key]), key=lambda key: -lost[key])
    missing = wanted / step - sum(down.values())
    if missing.denominator != 1 or not 0 <= missing <= len(losers):
        low = float(sum(down.values()) * step)
        raise RangeError("total", float(wanted), low, low + float(len(losers) * step), "g")
    for key in losers[: int(missing)]:
        down[key] += 1
    return {key: steps * step for key, steps in down.items()}
