"""How a culture of the kitchen stands at an instant: fed, left in the warm, then in the cold."""

from __future__ import annotations

from datetime import datetime, timedelta

from pointage.culture.mature import feed, mature
from pointage.errors import InputError
from pointage.kitchen.kitchen import CultureAtHand, Kitchen
from pointage.mixture.hold import hold
from pointage.mixture.mixture import Mixture
from pointage.mixture.traits import Traits

FED_AT_C = 22.0
"""Temperature of the last feed, when nobody noted it; the place soon takes over."""


def standing(culture: CultureAtHand, kitchen: Kitchen, now: datetime, traits: Traits) -> Mixture:
    """The culture as it stands at `now`, one state a member, with the mass there is of it.

    It is taken as in its prime at its last feed. Raises InputError when that lies after `now`.
    """
    if culture.fed > now:
        raise InputError(
            f"culture {culture.name}, fed",
            culture.fed.astimezone(kitchen.zone).isoformat(timespec="minutes"),
            "a last feed before now",
        )
    prime = mature(culture.flours, culture.hydration, traits)
    fresh = {kind: 100 * share for kind, share in culture.flours.items()}
    water = 100 * culture.hydration
    mixed = feed(prime, 100 * culture.seed_share, fresh, water, FED_AT_C)
    mixed = mixed.scaled(culture.mass_g)
    elapsed = (now - culture.fed).total_seconds() / 3600
    warm_h = min(culture.warm_hours, elapsed)
    if warm_h > 0:
        place = kitchen.place(culture.warm_place)
        mixed = hold(mixed, place.surroundings, culture.fed, warm_h, traits).final
    cold_h = elapsed - warm_h
    if cold_h > 0:
        chilled = culture.fed + timedelta(hours=warm_h)
        place = kitchen.place(culture.place)
        mixed = hold(mixed, place.surroundings, chilled, cold_h, traits).final
    return mixed
