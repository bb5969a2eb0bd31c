"""A culture in its prime: the state that regular feeding settles into, found by feeding it so."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import UTC, datetime
from functools import lru_cache

import numpy as np

from pointage.mixture.flours import FlourRecord, blend
from pointage.mixture.hold import hold
from pointage.mixture.mixture import Mixture, mix, raw
from pointage.mixture.state import S
from pointage.mixture.temperature.surroundings import Constant
from pointage.mixture.traits import Traits

# Where the feeding starts: mature leavens hold 1e9 bacteria and 1e7 yeasts per gram, about 100 to 1
# (Nutrients 2019, 11:2954; Scientific Reports 2017 s41598-017-00549-2). A few feeds forget it.
FIRST_YEAST = 1.5e7
FIRST_BACTERIA = 1.5e9
FEEDS = 4
FEED_SHARE = 0.2
KEPT_AT_C = 25.0
FEED_EVERY_H = 12.0
_ANY_DAY = datetime(2026, 1, 1, tzinfo=UTC)


def feed(
    culture: Mixture,
    seed_g: float,
    flours: Mapping[str, float],
    water_g: float,
    celsius: float,
    *,
    record: FlourRecord | None = None,
) -> Mixture:
    """Seed, flour and water put together, all fresh parts at one temperature.

    record: what the flours are together; None for what the tables have of them.
    """
    return mix([culture.scaled(seed_g), raw(flours, water_g, celsius=celsius, record=record)])


def mature(
    flours: Mapping[str, float],
    hydration: float,
    traits: Traits,
    record: FlourRecord | None = None,
) -> Mixture:
    """One kilogram of ripe culture on these flours (shares) at this hydration, one state a member.

    It is fed every twelve hours at 25 °C, one part of seed to five of flour, until the start is
    forgotten: each feed dilutes it eleven times, so four leave less than a ten-thousandth. record:
    what the flours are together; None for what the tables have of them.
    """
    record = record or blend(flours)
    members = (np.asarray(values).tobytes() for values in _columns(traits))
    keyed = _Keyed(traits, b"".join(members))
    return _mature(tuple(sorted(flours.items())), record, hydration, keyed)


class _Keyed:
    """Traits that can be looked up: equal when their numbers are."""

    def __init__(self, traits: Traits, key: bytes) -> None:
        self.traits = traits
        self.key = key

    def __hash__(self) -> int:
        return hash(self.key)

    def __eq__(self, other: object) -> bool:
        return isinstance(other, _Keyed) and self.key == other.key


def _columns(traits: Traits) -> list[object]:
    return [getattr(traits, name) for name in Traits.__dataclass_fields__]


@lru_cache(maxsize=64)
def _mature(
    flours: tuple[tuple[str, float], ...], record: FlourRecord, hydration: float, keyed: _Keyed
) -> Mixture:
    traits = keyed.traits
    per_flour = 1000.0 / (1.0 + hydration)
    fresh = {kind: share * per_flour for kind, share in flours}
    culture = raw(fresh, hydration * per_flour, celsius=KEPT_AT_C, record=record)
    culture.states[:, S.YEAST] = FIRST_YEAST
    culture.states[:, S.BACTERIA] = FIRST_BACTERIA
    culture.states[:, [S.YEAST_READY, S.BACTERIA_READY]] = 2.0
    culture.states[:, S.EARLY] = 0.0
    culture.states[:, S.GASSING] = 1.0
    culture.states[:, S.LACTIC] = 0.04
    culture.states[:, S.ACETIC] = 0.009
    for _ in range(FEEDS):
        seed_g = FEED_SHARE * sum(fresh.values())
        fed = feed(culture, seed_g, fresh, culture.water, KEPT_AT_C, record=record)
        course = hold(fed, Constant(KEPT_AT_C), _ANY_DAY, FEED_EVERY_H, traits, every_min=60)
        culture = course.final.scaled(1000.0)
    return culture
