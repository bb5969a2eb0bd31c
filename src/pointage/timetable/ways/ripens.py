"""How likely a culture ripens at all, by how often it is fed before and at what seed share.

A culture long in the cold may be so weak that a small seed of it hardly rises, or on the gas of
bacteria alone; each feed wakes it. The search goes by the likeliest course, which knows nothing of
that: so the ensemble is asked once for a culture.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime

import numpy as np

from pointage.mixture.course import Course
from pointage.mixture.hold import hold_several
from pointage.mixture.mixture import Mixture, raw
from pointage.mixture.temperature.temper import temper
from pointage.mixture.traits import Traits
from pointage.timetable.ways.levains import LONGEST_HOLD_H, MOST_FEEDS, Recipe

WAKING_SHARE = 0.5
FLOUR_G = 100.0


@dataclass(frozen=True, eq=False)
class CultureToWake:
    """A culture as it stands, one state a member, and what it is fed."""

    culture: Mixture
    traits: Traits
    waking: Recipe
    build: Recipe
    shares: Sequence[float]
    at: datetime


def ripening(waking: CultureToWake) -> list[Mapping[float, float]]:
    """The odds that a build ripens within a day, by its seed share, after so many feeds."""
    found: list[Mapping[float, float]] = []
    culture = waking.culture
    for feeds in range(MOST_FEEDS + 1):
        each = _by_share(waking, culture)
        found.append(each)
        if feeds < MOST_FEEDS:
            fed = _ripe(waking, culture, waking.waking, [WAKING_SHARE])
            if not fed:
                return found + [each] * (MOST_FEEDS - feeds)
            culture = fed[0][1]
    return found


def _by_share(waking: CultureToWake, culture: Mixture) -> dict[float, float]:
    """The odds by seed share: asked of every third, between them along a line of its logarithm."""
    shares = sorted(
        share
        for share in waking.shares
        if waking.build.fresh(culture.scaled(share * FLOUR_G), FLOUR_G) is not None
    )
    asked = sorted({*shares[::3], *shares[-1:]})
    odds = [each for each, _ in _ripe(waking, culture, waking.build, asked)]
    between: Sequence[float] = ()
    if shares:
        between = np.interp(np.log(shares), np.log(asked), odds).tolist()
    return dict(zip(shares, between, strict=True))


def _ripe(
    waking: CultureToWake, culture: Mixture, recipe: Recipe, shares: Sequence[float]
) -> list[tuple[float, Mixture]]:
    """The odds that a feed ripens within a day, and what it is in the middle of its window.

    By its seed share; of those that leave something to be fed.
    """
    mixed = []
    for share in shares:
        seed = culture.scaled(share * FLOUR_G)
        fresh = recipe.fresh(seed, FLOUR_G)
        if fresh is not None:
            dry = raw(fresh[0], celsius=recipe.wanted_c, record=recipe.record)
            mixed.append(temper([seed, dry], fresh[1], recipe.wanted_c, each=True).mixture)
    if not mixed:
        return []
    courses = hold_several(
        mixed,
        recipe.place.surroundings,
        waking.at,
        LONGEST_HOLD_H,
        recipe.stand.traits(waking.traits),
        follow_h=recipe.stand.follow.hours,
        every_min=30,
    )
    return list(map(_in_the_middle, courses))


def _in_the_middle(course: Course) -> tuple[float, Mixture]:
    """The share of members that ripen, and what each is in the middle of its window."""
    begin, until = course.ripe()
    middle = (begin + np.where(np.isnan(until), LONGEST_HOLD_H, until)) / 2
    ever = ~np.isnan(middle)
    usual = float(np.median(middle[ever])) if ever.any() else LONGEST_HOLD_H / 2
    row = np.abs(course.hours[None, :] - np.where(ever, middle, usual)[:, None]).argmin(axis=1)
    states = course.states[np.arange(len(row)), row].copy()
    return float(np.mean(ever)), replace(course.held, states=states)
