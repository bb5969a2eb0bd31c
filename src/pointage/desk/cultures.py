"""The cultures at hand and what the engine says of each."""

from __future__ import annotations

from datetime import datetime, timedelta

import numpy as np

from pointage.culture.mature import feed, mature
from pointage.desk.answers import CultureNow
from pointage.kitchen.kitchen import CultureAtHand, Kitchen
from pointage.kitchen.standing import FED_AT_C, standing
from pointage.mixture.hold import hold
from pointage.mixture.state import S
from pointage.mixture.traits import Traits, draw_traits
from pointage.timetable.bands import standing_of

MEMBERS = 60
SEED = 20261125
AHEAD_H = 12.0
REST_D = 35
DROWSY = 0.25
"""Share of its readiness and yeast below which a culture wants more than one feed (ours)."""


def cultures(kitchen: Kitchen, now: datetime) -> list[CultureNow]:
    """Every culture of the kitchen with its course since it went where it stands."""
    traits = draw_traits(MEMBERS, SEED)
    return [_culture(each, kitchen, now, traits) for each in kitchen.cultures]


def _culture(culture: CultureAtHand, kitchen: Kitchen, now: datetime, traits: Traits) -> CultureNow:
    prime = mature(culture.flours, culture.hydration, traits)
    fresh = {kind: 100 * share for kind, share in culture.flours.items()}
    fed = feed(prime, 100 * culture.seed_share, fresh, 100 * culture.hydration, FED_AT_C)
    warm = kitchen.place(culture.warm_place).surroundings
    first = hold(fed.scaled(culture.mass_g), warm, culture.fed, culture.warm_hours, traits)
    chilled = culture.fed + timedelta(hours=culture.warm_hours)
    cold = kitchen.place(culture.place).surroundings
    hours = max((now - chilled).total_seconds() / 3600, 0.0) + AHEAD_H
    course = hold(first.final, cold, chilled, hours, traits)
    return CultureNow(
        culture=culture,
        standing=standing_of(course, now, ripe=False),
        holds_until=_holds_until(culture, kitchen, traits),
        doubling_h=float(np.median(traits.yeast_doubling_h)),
    )


def _holds_until(culture: CultureAtHand, kitchen: Kitchen, traits: Traits) -> datetime | None:
    """When half of the members would want more than one feed to wake, on a grid of days."""
    prime = mature(culture.flours, culture.hydration, traits).states
    for days in range(1, REST_D + 1):
        at = culture.fed + timedelta(days=days)
        rested = standing(culture, kitchen, at, traits).states
        awake = np.minimum(
            rested[:, S.YEAST_READY] / prime[:, S.YEAST_READY],
            rested[:, S.YEAST] / prime[:, S.YEAST],
        )
        if np.median(awake) < DROWSY:
            return at
    return None
