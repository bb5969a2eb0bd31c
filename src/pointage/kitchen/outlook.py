"""What the engine expects of a culture where it stands: when it is ripe, how long it rests."""

from __future__ import annotations

from datetime import datetime, timedelta
from math import isnan

import numpy as np

from pointage.culture.life import Fed
from pointage.culture.mature import feed, mature
from pointage.culture.rest import AWAKE, holds_h
from pointage.kitchen.culture_state import FED_AT_C, fed_last, place_of, surroundings_of
from pointage.kitchen.kitchen import CultureAtHand, Kitchen, PlaceKind
from pointage.kitchen.needs import Outlook
from pointage.mixture.course import Course, band
from pointage.mixture.hold import hold
from pointage.mixture.mixture import Mixture
from pointage.mixture.temperature.surroundings import Surroundings
from pointage.mixture.traits import Traits

SEEN_RISEN_H = 72.0
"""A culture that has not risen so long after its feed does not any more."""
LEAST_H = 0.25


def outlook_of(
    culture: CultureAtHand, kitchen: Kitchen, traits: Traits, until: datetime
) -> Outlook:
    """The outlook after its last feed, looked at until an instant, in the warm SEEN_RISEN_H at
    the least. What comes later is not seen, and None."""
    mixed, stand = fed_last(culture, kitchen, max(until, culture.fed), traits)
    found = Outlook()
    for number, (since, name) in enumerate(stand.places):
        last = number + 1 == len(stand.places)
        cold = place_of(kitchen, name).kind is PlaceKind.FRIDGE
        looked = max(until, since if cold else since + timedelta(hours=SEEN_RISEN_H))
        ends = looked if last else stand.places[number + 1][0]
        hours = max((ends - since) / timedelta(hours=1), LEAST_H)
        here = surroundings_of(kitchen, name, since, ends)
        course = hold(mixed, here, since, hours, traits, every_min=60)
        mixed = course.final
        if last and cold:
            found = in_the_cold(course, traits)
        elif last:
            prime = None if number else prime_of(culture, stand.fed, kitchen, traits)
            found = in_the_warm(course, prime, here, traits)
    return found


def in_the_cold(course: Course, traits: Traits) -> Outlook:
    """How long one feed wakes it; None: not seen to end."""
    hours = band(holds_h(course, traits))
    found = (None if isnan(h) else course.at(h) for h in (hours.p10, hours.p50, hours.p90))
    sure, likely, hardly = found
    return Outlook(surely_until=sure, likely_until=likely, hardly_until=hardly)


def in_the_warm(
    course: Course, prime: Mixture | None, here: Surroundings, traits: Traits
) -> Outlook:
    """When it is ripe, and how many members rise as `prime` would; None where it was moved."""
    begin, end = (band(each).p50 for each in course.ripe())
    awake = 1.0
    if prime is not None:
        best = hold(prime, here, course.start, SEEN_RISEN_H, traits, every_min=60).rise.max(axis=1)
        seen = course.rise[:, course.hours <= SEEN_RISEN_H].max(axis=1)
        awake = float(np.mean(seen - 1.0 >= AWAKE * (best - 1.0)))
    return Outlook(
        None if isnan(begin) else course.at(begin), None if isnan(end) else course.at(end), awake
    )


def prime_of(culture: CultureAtHand, fed: Fed, kitchen: Kitchen, traits: Traits) -> Mixture | None:
    """A culture in its prime, fed as this one was."""
    if not fed.seed_g or not fed.flours_g:
        return None
    best = mature(culture.flours, culture.hydration, traits, kitchen.record(culture.flours))
    celsius = FED_AT_C if fed.celsius is None else fed.celsius
    record = kitchen.record(fed.flours_g)
    return feed(best, fed.seed_g, fed.flours_g, fed.water_g, celsius, record=record)
