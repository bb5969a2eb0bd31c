"""A young culture on its way: what was fed, where it stood and what was seen, then what is next."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import datetime, timedelta
from fractions import Fraction

from pointage.culture.life import FeedStand, Life
from pointage.culture.raising import (
    FeedDone,
    RaisedDay,
    Raising,
    Sign,
    questioned,
    raise_days,
)
from pointage.daybook.entry import Entry, EntryKind
from pointage.daybook.readings import Reading, ReadingKind, confirmed, readings_of
from pointage.errors import InputError
from pointage.kitchen.culture_state import place_of, surroundings_of
from pointage.kitchen.kitchen import Kitchen
from pointage.language import say
from pointage.mixture.temperature.surroundings import Stepped, Surroundings

DAY = timedelta(days=1)
AHEAD = 10
"""Days looked ahead of its last feed."""
GROWN_AT = timedelta(days=28)
"""After which nobody calls it young any more: ours."""
MOST_FEEDS = 60


def is_raised(life: Life) -> bool:
    """Whether it was begun here from flour and water, or split off one that was."""
    return bool(life.stands) and life.stands[0].fed.seed_g == 0


def is_young(life: Life, now: datetime) -> bool:
    """Whether it was begun from flour and water and is not four weeks old."""
    return is_raised(life) and life.state == "living" and now - life.stands[0].fed.at < GROWN_AT


def on_its_way(
    life: Life, entries: Iterable[Entry], kitchen: Kitchen, now: datetime
) -> tuple[RaisedDay, ...]:
    """Its days from the first feed to some days ahead, by what was done, moved and seen.

    Raises InputError for a culture that was not begun from flour and water.
    """
    if not is_raised(life):
        raise InputError("culture", life.name, say("one that was begun from flour and water"))
    stands = fed_days(life)
    last = stands[-1].fed
    place = place_of(kitchen, life.place or kitchen.warmest_place.name)
    flours = {kind: grams / last.flour_g for kind, grams in last.flours_g.items()}
    wish = Raising(
        flours=flours,
        hydration=_hydration(stands),
        daily_flour_g=max(Fraction(last.flour_g).limit_denominator(100), Fraction(1)),
        place=place.surroundings,
        start=stands[0].fed.at,
        room_c=kitchen.room.mean_c(now, -12.0, 0.0),
        record=kitchen.record(flours),
    )
    ends = [stand.fed.at for stand in stands[1:]] + [max(now, last.at) + AHEAD * DAY]
    done = [_done(stand, kitchen, end) for stand, end in zip(stands, ends, strict=True)]
    signs = [sign for _, sign in _signs(stands, entries)]
    return raise_days(wish, AHEAD, signs, done=done, left_g=life.mass_g, now=now)


def set_aside(
    life: Life, entries: Iterable[Entry], days: Sequence[RaisedDay]
) -> tuple[tuple[Reading, timedelta], ...]:
    """What was read while it was raised and does not fit, and how long after a feed; latest first.

    days: of `on_its_way`, by the same entries.
    """
    stands, odd = fed_days(life), frozenset(questioned(days))
    found = [
        (reading, reading.at - stands[sign.day - 1].fed.at)
        for reading, sign in _signs(stands, entries)
        if sign in odd
    ]
    return tuple(sorted(found, key=lambda each: each[0].at, reverse=True))


def _signs(stands: Sequence[FeedStand], entries: Iterable[Entry]) -> list[tuple[Reading, Sign]]:
    """What was read of the days and says how they went."""
    entries = list(entries)
    so = {str(each.body["reading"]) for each in entries if each.kind is EntryKind.CONFIRMED}
    return [
        (reading, Sign(_day(stands, reading.at), *_seen(reading), sure=reading.sure))
        for entry in entries
        for reading in confirmed(readings_of(entry), so)
        if reading.at >= stands[0].fed.at and reading.value is not None
        if reading.kind in (ReadingKind.RISE, ReadingKind.PH)
    ]


def fed_days(life: Life) -> tuple[FeedStand, ...]:
    """The feeds that were done while it was young, one for each of its first days."""
    begun = life.stands[0].fed.at
    return tuple(each for each in life.stands[:MOST_FEEDS] if each.fed.at - begun <= GROWN_AT)


def _done(stand: FeedStand, kitchen: Kitchen, ends: datetime) -> FeedDone:
    """A feed as it was done, and where it stood until `ends`: in each place as it was then."""
    fed = stand.fed
    places = stand.places or ((fed.at, kitchen.warmest_place.name),)
    until = [at for at, _ in places[1:]] + [ends]
    moves: list[tuple[datetime, Surroundings]] = []
    for (at, name), end in zip(places, until, strict=True):
        here = surroundings_of(kitchen, name, at, end)
        moves += here.moves if isinstance(here, Stepped) else [(at, here)]
    through = moves[0][1] if len(moves) < 2 else Stepped(moves)
    record = kitchen.record(fed.flours_g)
    return FeedDone(fed.at, fed.seed_g, fed.flours_g, fed.water_g, through, fed.celsius, record)


def _day(stands: Iterable[FeedStand], at: datetime) -> int:
    """The number of the feed after which something was seen."""
    return sum(1 for stand in stands if stand.fed.at <= at)


def _seen(reading: Reading) -> tuple[float | None, float | None]:
    rise = reading.kind is ReadingKind.RISE
    return (reading.value, None) if rise else (None, reading.value)


def _hydration(stands: Iterable[FeedStand]) -> Fraction:
    """Of the fresh flour and water of its last feed, within what a culture is raised at."""
    last = list(stands)[-1].fed
    found = Fraction(last.water_g / last.flour_g).limit_denominator(100)
    return min(max(found, Fraction(1, 2)), Fraction(2))
