"""A piece of a culture in another kitchen: how it wakes there, what feeds keep it, how it rests.

One answer for the sheet that goes along with it and for the page: a row a room.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from fractions import Fraction

import numpy as np

from pointage.culture.mature import mature
from pointage.culture.rest import WAKING_SHARE, Rest, longest, rests, waking
from pointage.culture.upkeep import Rhythm, Unkept, Upkeep, upkeep
from pointage.culture.vigour import to_peak_h
from pointage.errors import InputError
from pointage.kitchen.kitchen import CultureAtHand, Kitchen
from pointage.language import say
from pointage.mixture.course import Band, band
from pointage.mixture.hold import hold
from pointage.mixture.inverse import Fresh
from pointage.mixture.temperature.surroundings import Constant
from pointage.mixture.traits import Traits
from pointage.quantities import parse_temperature
from pointage.shown import warmth

ON_THE_WAY_D = (0.0, 3.0, 7.0, 14.0, 21.0)
"""Days in the cold since it was fed; between two the longer one's holds."""
EVERY_H = (24.0, 12.0, 48.0)
"""Once a day where that keeps it, else twice, else every other day."""
ODDS_ENOUGH = 0.15
"""Once a day is too seldom where fewer members than this are ripe at the next feed: ours."""
WAKING_PARTS = round(1 / WAKING_SHARE)
LAST_FEED_H = 6 * 24.0
"""On the seventh day it raises a bread or goes into the cold."""
ROOMS_C = 14.0, 32.0
"""Rooms in which people keep one."""
FRIDGE_C, ROOM_C = 5.0, 21.0
LOOKED_H = 60.0
EVERY_MIN = 30
_ANY_DAY = datetime(2026, 1, 1, tzinfo=UTC)


@dataclass(frozen=True, slots=True)
class GivenFeed:
    """A feed so many hours after the first: parts of flour for one of culture."""

    hour: float
    parts: int
    wakes: bool = False


@dataclass(frozen=True, slots=True)
class GivenRoom:
    """A room, °C. peak_h: hours from the first feed to its height, by ON_THE_WAY_D. feeds: those
    that wake it, by the same, `waking_h` apart. kept: the feeds that keep it; None where none do.
    """

    celsius: float
    peak_h: Mapping[float, Band]
    feeds: Mapping[float, int]
    waking_h: float
    kept: Upkeep | None

    def node(self, days: float) -> float:
        """That of ON_THE_WAY_D which stands for so many days in the cold."""
        return next((each for each in self.feeds if each >= days), max(self.feeds))

    def week(self, days: float) -> tuple[GivenFeed, ...]:
        """The feeds of its first week after so many days in the cold, to the one it bakes from."""
        found, h = list[GivenFeed](), 0.0
        while len(found) < self.feeds[self.node(days)]:
            found.append(GivenFeed(h, WAKING_PARTS, wakes=True))
            h += self.waking_h
        parts, every_h = WAKING_PARTS, self.waking_h
        if self.kept is not None:
            parts, every_h = self.kept.parts, self.kept.rhythm.every_h
        while h <= LAST_FEED_H:
            found.append(GivenFeed(h, parts))
            h += every_h
        return tuple(found)


@dataclass(frozen=True, slots=True)
class GivenCulture:
    """What is known of it anywhere: hours to its height at 25 °C and its rest in a fridge."""

    culture: CultureAtHand
    to_peak_h: float
    rest: Rest
    rooms: tuple[GivenRoom, ...]


def given(
    culture: CultureAtHand,
    kitchen: Kitchen,
    traits: Traits,
    rooms_c: Sequence[float],
    on_the_way_d: Sequence[float] = ON_THE_WAY_D,
) -> GivenCulture:
    """By what is believed of it (`traits`), in rooms that keep their temperature. on_the_way_d: as
    many of ON_THE_WAY_D as are asked for, 0 among them."""
    record = kitchen.record(culture.flours)
    flours, hydration = culture.flours, culture.hydration
    prime = mature(flours, hydration, traits, record)

    def fresh(celsius: float) -> Fresh:
        parts = {kind: 100.0 * share for kind, share in flours.items()}
        return Fresh(parts, 100.0 * hydration, celsius, record=record)

    rest = longest(
        rests(
            fresh(ROOM_C).with_seed(prime, 0.2),
            warm=Constant(ROOM_C),
            cold=Constant(FRIDGE_C),
            start=_ANY_DAY,
            traits=traits,
            days=[each for each in on_the_way_d if each],
        )
    )
    pieces = {0.0: prime, **rest.rested}

    def room(celsius: float) -> GivenRoom:
        place, peaks, feeds, every_h = Constant(celsius), {}, {}, 0.0
        for days, piece in pieces.items():
            fed = fresh(celsius).with_seed(piece, WAKING_SHARE)
            course = hold(fed, place, _ANY_DAY, LOOKED_H, traits, every_min=EVERY_MIN)
            peaks[days] = band(course.peak_h())
            woken = waking(
                piece, flours=flours, hydration=hydration, place=place, start=_ANY_DAY,
                traits=traits, record=record,
            )  # fmt: skip
            feeds[days], every_h = woken.feeds, woken.every_h
        kept = _kept(lambda every_h: upkeep(
            flours, hydration, Rhythm(every_h, place, _ANY_DAY, celsius), traits,
            needed_g=Fraction(0), record=record,
        ))  # fmt: skip
        return GivenRoom(celsius, peaks, feeds, every_h, kept)

    found = tuple(room(celsius) for celsius in rooms_c)
    return GivenCulture(culture, float(np.median(to_peak_h(traits))), rest, found)


def read_room(text: str, field: str = "at") -> float:
    """The temperature of a room that it is given to, °C. Raises InputError."""
    low, high = ROOMS_C
    celsius = parse_temperature(text, field).celsius
    if not low <= celsius <= high:
        expected = say("{low} to {high}", low=warmth(low), high=warmth(high))
        raise InputError(field, repr(text), expected)
    return celsius


def _kept(found: Callable[[float], Upkeep | Unkept]) -> Upkeep | None:
    """The first of EVERY_H whose odds are enough, else the one with the best; None for none."""
    best: Upkeep | None = None
    for every_h in EVERY_H:
        if best is not None and every_h > EVERY_H[0]:
            break  # every other day is for rooms in which nothing else keeps it
        upkept = found(every_h)
        if isinstance(upkept, Upkeep) and (best is None or upkept.odds > best.odds):
            best = upkept
            if best.odds >= ODDS_ENOUGH:
                break
    return best
