"""A culture at hand and what the engine says of it."""

from __future__ import annotations

from datetime import datetime, timedelta
from math import isnan

import numpy as np

from pointage.culture.mature import feed, mature
from pointage.culture.rest import holds_h
from pointage.desk.answers import CultureNow
from pointage.kitchen.kitchen import CultureAtHand, Kitchen
from pointage.kitchen.standing import FED_AT_C
from pointage.mixture.course import Course, band
from pointage.mixture.hold import hold
from pointage.mixture.learning import Posterior
from pointage.mixture.scores import Scores
from pointage.mixture.traits import Traits, draw_traits
from pointage.timetable.bands import standing_of

MEMBERS = 60
SEED = 20261125
AHEAD_H = 12.0
REST_D = 35


def culture_now(
    culture: CultureAtHand,
    kitchen: Kitchen,
    now: datetime,
    believed: Posterior | None = None,
    foretold: Scores | None = None,
) -> CultureNow:
    """A culture with its course since it went where it stands, by what is believed of it."""
    traits = draw_traits(MEMBERS, SEED) if believed is None else believed.traits
    record = kitchen.record(culture.flours)
    prime = mature(culture.flours, culture.hydration, traits, record)
    fresh = {kind: 100 * share for kind, share in culture.flours.items()}
    seed_g, water_g = 100 * culture.seed_share, 100 * culture.hydration
    fed = feed(prime, seed_g, fresh, water_g, FED_AT_C, record=record)
    warm = kitchen.place(culture.warm_place).surroundings
    first = hold(fed.scaled(culture.mass_g), warm, culture.fed, culture.warm_hours, traits)
    chilled = culture.fed + timedelta(hours=culture.warm_hours)
    cold = kitchen.place(culture.place).surroundings
    rested_h = max((now - chilled).total_seconds() / 3600, 0.0)
    course = hold(
        first.final, cold, chilled, max(rested_h + AHEAD_H, 24.0 * REST_D), traits, every_min=60
    )
    return CultureNow(
        culture=culture,
        standing=standing_of(course, now + timedelta(hours=AHEAD_H), ripe=False),
        holds_until=_holds_until(course, traits),
        doubling_h=float(np.median(traits.yeast_doubling_h)),
        foretold=foretold,
    )


def _holds_until(course: Course, traits: Traits) -> datetime | None:
    """When half of the members would want more than one feed to wake; None: not within reach."""
    hours = band(holds_h(course, traits)).p50
    return None if isnan(hours) else course.at(hours)
