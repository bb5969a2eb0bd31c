"""A sample jar: what a spoon of dough in a small jar tells of the dough that it came from.

The jar follows the room within the hour, the dough only over many, so that in a cold kitchen the
jar lags its dough and in a hot one it is ahead. Both began as one mix: each member of an ensemble
carries both, and counts by how near its jar comes to what the real one shows.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import datetime, timedelta

import numpy as np

from pointage.heat.flag import Flag
from pointage.mixture.course import Band, weighted_band
from pointage.mixture.hold import hold
from pointage.mixture.learning.observation import RISE_ERROR, Rise
from pointage.mixture.learning.surface import FREEDOM
from pointage.mixture.mixture import Mixture
from pointage.mixture.temperature.surroundings import Surroundings
from pointage.mixture.traits import Traits

BEYOND = 2.0
"""Errors of a reading past every member's jar from which none is like it (ours)."""


@dataclass(frozen=True, slots=True)
class Stood:
    """Where a part of the mix stands, and hours of the time constant by which it follows that."""

    around: Surroundings
    follow_h: float


@dataclass(frozen=True, slots=True)
class Sampled:
    """The rise of the dough by what its sample shows, and of both before anyone looked.

    beyond: the sample shows what no member's comes to; its band is then wide.
    """

    dough: Band
    dough_before: Band
    jar_before: Band
    jar_least: float
    jar_most: float
    beyond: bool
    flags: tuple[Flag, ...]


def sampled(
    mixed: Mixture,
    *,
    dough: Stood,
    jar: Stood,
    start: datetime,
    hours: float,
    shows: float,
    traits: Traits,
) -> Sampled:
    """How far the dough has risen `hours` after mixing, when its sample stands at `shows`.

    Weight of a member = (1 + z²/ν)^(−(ν+1)/2), Student's t, as learning takes errors of readings
    (`surface.FREEDOM`), z = (rise of its jar − shows) / RISE_ERROR. Its tail makes a reading say
    less the further it is past every jar. mixed: as it was mixed, one state or one a member. How
    fast jar and dough warm is drawn apart, for they are two vessels. Raises InputError for a
    `shows` outside bounds.RISE.
    """
    seen = Rise(start + timedelta(hours=hours), shows)
    other = replace(traits, warming=np.roll(traits.warming, len(traits) // 2))
    courses = [
        hold(mixed, each.around, start, hours, whose, follow_h=each.follow_h)
        for each, whose in ((dough, traits), (jar, other))
    ]
    far, shown = (seen.expected(each) for each in courses)
    gaps = (shown - shows) / RISE_ERROR
    weights = (1 + gaps**2 / FREEDOM) ** (-(FREEDOM + 1) / 2)
    alike = np.ones(len(far))
    return Sampled(
        dough=weighted_band(far, weights),
        dough_before=weighted_band(far, alike),
        jar_before=weighted_band(shown, alike),
        jar_least=float(shown.min()),
        jar_most=float(shown.max()),
        beyond=bool(np.abs(gaps).min() > BEYOND),
        flags=tuple(dict.fromkeys(flag for each in courses for flag in each.flags)),
    )
