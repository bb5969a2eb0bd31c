"""A young culture on its way: what was fed, where it stood and what was seen, then what is next."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime, timedelta
from fractions import Fraction

import numpy as np

from pointage.culture.life import Life, Stand
from pointage.culture.raising import FeedDone, RaisedDay, Raising, Sign, raise_days
from pointage.daybook.entry import Entry
from pointage.daybook.readings import Reading, ReadingKind, readings_of
from pointage.errors import InputError
from pointage.kitchen.kitchen import Kitchen, PlaceKind
from pointage.kitchen.standing import place_of
from pointage.mixture.surroundings import Stepped

DAY = timedelta(days=1)
AHEAD = 10
"""Days looked ahead of its last feed."""
GROWN_AT = timedelta(days=28)
"""After which nobody calls it young any more: ours."""
MOST_FEEDS = 60


def is_raised(life: Life) -> bool:
    """Whether it was begun here from flour and water."""
    return len(life.stands) > life.inherited and life.stands[0].fed.seed_g == 0


def is_young(life: Life, now: datetime) -> bool:
    """Whether it was begun from flour and water and is not four weeks old."""
    return is_raised(life) and life.state == "living" and now - life.began < GROWN_AT


def on_its_way(
    life: Life, entries: Iterable[Entry], kitchen: Kitchen, now: datetime
) -> tuple[RaisedDay, ...]:
    """Its days from the first feed to some days ahead, by what was done, moved and seen.

    Raises InputError for a culture that was not begun from flour and water.
    """
    if not is_raised(life):
        raise InputError("culture", life.name, "one that was begun from flour and water")
    begun = life.stands[0].fed.at
    stands = [each for each in life.stands[:MOST_FEEDS] if each.fed.at - begun <= GROWN_AT]
    last = stands[-1].fed
    place = place_of(kitchen, life.place or kitchen.warmest_place.name)
    flours = {kind: grams / last.flour_g for kind, grams in last.flours_g.items()}
    wish = Raising(
        flours=flours,
        hydration=_hydration(stands),
        daily_flour_g=Fraction(last.flour_g).limit_denominator(100),
        place=place.surroundings,
        start=stands[0].fed.at,
        room_c=_room_c(kitchen, now),
        record=kitchen.record(flours),
    )
    done = [_done(stand, kitchen) for stand in stands]
    signs = [
        Sign(_day(stands, reading.at), *_seen(reading))
        for entry in entries
        for reading in readings_of(entry)
        if reading.at >= stands[0].fed.at and reading.value is not None
        if reading.kind in (ReadingKind.RISE, ReadingKind.PH)
    ]
    return raise_days(wish, AHEAD, signs, done=done, now=now)


def _done(stand: Stand, kitchen: Kitchen) -> FeedDone:
    fed = stand.fed
    moves = [(at, place_of(kitchen, name).surroundings) for at, name in stand.places]
    place = moves[0][1] if moves else kitchen.warmest_place.surroundings
    through = place if len(moves) < 2 else Stepped(moves)
    record = kitchen.record(fed.flours_g)
    return FeedDone(fed.at, fed.seed_g, fed.flours_g, fed.water_g, through, fed.celsius, record)


def _day(stands: Iterable[Stand], at: datetime) -> int:
    """The number of the feed after which something was seen."""
    return sum(1 for stand in stands if stand.fed.at <= at)


def _seen(reading: Reading) -> tuple[float | None, float | None]:
    rise = reading.kind is ReadingKind.RISE
    return (reading.value, None) if rise else (None, reading.value)


def _hydration(stands: Iterable[Stand]) -> Fraction:
    """Of the fresh flour and water of its last feed, within what a culture is raised at."""
    last = list(stands)[-1].fed
    found = Fraction(last.water_g / last.flour_g).limit_denominator(100)
    return min(max(found, Fraction(1, 2)), Fraction(2))


def _room_c(kitchen: Kitchen, at: datetime) -> float:
    rooms = [place for place in kitchen.places if place.kind is PlaceKind.ROOM]
    room = (rooms or list(kitchen.places))[0]
    return float(room.surroundings.temperatures(at, np.linspace(-12.0, 0.0, 13)).mean())
