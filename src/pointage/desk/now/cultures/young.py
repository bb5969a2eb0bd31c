"""A young culture on its way: what was fed, where it stood and what was seen, then what is next."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from fractions import Fraction

from pointage.culture.life import FeedStand, Life
from pointage.culture.raising import (
    FeedDone,
    RaisedDay,
    Raising,
    Sign,
    calendar_day,
    questioned,
    raise_days,
)
from pointage.data import load
from pointage.daybook.entry import Entry, EntryKind
from pointage.daybook.readings import Reading, ReadingKind, confirmed, readings_of
from pointage.errors import InputError
from pointage.kitchen.culture_state import place_of, surroundings_of
from pointage.kitchen.kitchen import Kitchen, Place, PlaceKind
from pointage.language import say
from pointage.mixture.temperature.surroundings import Constant, Stepped, Surroundings

DAY = timedelta(days=1)
AHEAD = 10
"""Days looked ahead of its last feed, at least."""
LOOKED_AT = 21
"""Days looked ahead, from its first, for the one from which it may be trusted."""
GROWN_AT = timedelta(days=28)
"""After which nobody calls it young any more: ours."""
MOST_FEEDS = 60
SPOILED = frozenset({"mould", "pink or orange"})
"""What means that all of it goes away (common practice, no source)."""


JUST_FED = timedelta(hours=1)
"""After a feed nothing has happened yet: ours."""
WARMER_K = 1.0  # so much, or it is not worth moving it: ours
MEANS = {"lamp": 26.0, "box": 24.0}
"""What stands in for a warm place, °C: an oven that is off with its lamp on, the door ajar; an
insulated box with a jar of hot water, changed morning and evening (common practice, no source)."""


def number_of_day(days: Sequence[RaisedDay], now: datetime) -> int:
    """Which day of a young culture it is now, by the calendar; the first is day 1."""
    return calendar_day((now - days[0].at) / timedelta(hours=1))


@dataclass(frozen=True, slots=True)
class Elsewhere:
    """A place, or else one of MEANS, with its mean in °C and the day from which a culture may be
    trusted there; None: not within the days looked at."""

    place: str
    means: str
    celsius: float
    day: int | None


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
    wish, done, signs = _asked(life, entries, kitchen, now)
    return raise_days(wish, _ahead(done), signs, done=done, left_g=life.mass_g, now=now)


def elsewhere(
    life: Life,
    entries: Iterable[Entry],
    kitchen: Kitchen,
    now: datetime,
) -> tuple[Elsewhere, ...]:
    """When it may be trusted in each place and by each means there is, were it moved there now."""
    wish, done, signs = _asked(life, entries, kitchen, now)

    def days(place: Surroundings) -> tuple[RaisedDay, ...]:
        moved = replace(wish, place=place)
        return raise_days(
            moved, _ahead(done), signs, done=done, left_g=life.mass_g, now=now, draws=2
        )

    return compared(kitchen, now, raised_in(life, kitchen).name, days)


def elsewhere_of(wish: Raising, kitchen: Kitchen, here: str) -> tuple[Elsewhere, ...]:
    """The same of one that is yet to be begun."""
    return compared(
        kitchen, wish.start, here, lambda place: raise_days(replace(wish, place=place), LOOKED_AT)
    )


def compared(
    kitchen: Kitchen,
    now: datetime,
    here: str,
    days: Callable[[Surroundings], Sequence[RaisedDay]],
) -> tuple[Elsewhere, ...]:
    """The place where it is and those places and means that are sooner, by the days of each."""
    places = [place for place in kitchen.places if place.kind is not PlaceKind.FRIDGE]
    places.sort(key=lambda place: place.name != here)
    every = [(each.name, "", each.mean_c(now, 0.0, 24.0), each.surroundings) for each in places]
    every += [("", means, celsius, Constant(celsius)) for means, celsius in MEANS.items()]
    own, *others = (
        Elsewhere(name, means, celsius, _trusted_day(days(around)))
        for name, means, celsius, around in every
        if (name == here or celsius > every[0][2] + WARMER_K)
    )
    sooner = (each for each in others if each.day is not None)
    return (own, *(each for each in sooner if own.day is None or (each.day or 0) < own.day))


def _ahead(done: Sequence[FeedDone]) -> int:
    return max(AHEAD, LOOKED_AT - len(done))


def _trusted_day(days: Sequence[RaisedDay]) -> int | None:
    """The first day with even odds or better that it may be trusted."""
    return next((day.calendar for day in days if day.ready >= 0.5), None)


def _asked(
    life: Life, entries: Iterable[Entry], kitchen: Kitchen, now: datetime
) -> tuple[Raising, list[FeedDone], list[Sign]]:
    """What it is raised from, what was done and what was seen. Raises InputError."""
    if not is_raised(life):
        raise InputError("culture", life.name, say("one that was begun from flour and water"))
    stands = fed_days(life)
    last = stands[-1].fed
    place = raised_in(life, kitchen)
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
    said = list(entries)
    signs = [sign for _, sign in _signs(stands, said)]
    signs += [
        Sign(_day(stands, entry.happened), words=words, hours=_hours(stands, entry.happened))
        for entry in said
        if (words := words_of(entry)) and entry.happened >= stands[0].fed.at
    ]
    return wish, done, signs


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
        (
            reading,
            Sign(
                _day(stands, reading.at),
                *_seen(reading),
                sure=reading.sure,
                hours=_hours(stands, reading.at),
            ),
        )
        for entry in entries
        for reading in confirmed(readings_of(entry), so)
        if reading.at >= stands[0].fed.at and reading.value is not None
        if reading.kind in (ReadingKind.RISE, ReadingKind.PH)
    ]


def words_of(entry: Entry) -> tuple[str, ...]:
    """What was seen or smelled, in words."""
    said = entry.body.get("signs") if entry.kind in (EntryKind.SEEN, EntryKind.SMELLED) else ()
    return tuple(str(each).strip().casefold() for each in said or ())


def rises_seen(entries: Iterable[Entry]) -> list[tuple[datetime, float]]:
    """How far it had risen when: read off, or as an eye had it."""
    by_eye: Mapping[str, float] = load("raising.toml")["rise_words"]
    found = []
    for entry in entries:
        found += [
            (reading.at, reading.value)
            for reading in readings_of(entry)
            if reading.kind is ReadingKind.RISE and reading.value is not None
        ]
        found += [(entry.happened, by_eye[word]) for word in words_of(entry) if word in by_eye]
    return found


def spoiled_at(life: Life, entries: Iterable[Entry]) -> datetime | None:
    """When mould, or pink or orange, was first seen since it began and while it is kept."""
    found = [e.happened for e in entries if SPOILED & set(words_of(e))]
    return min((at for at in found if at >= life.began), default=None)


def raised_in(life: Life, kitchen: Kitchen) -> Place:
    """Where it is raised: the last place of it that is no fridge, else the warmest."""
    names = [name for stand in life.stands for _, name in stand.places]
    places = [place_of(kitchen, name) for name in reversed(names)]
    warm = [place for place in places if place.kind is not PlaceKind.FRIDGE]
    return warm[0] if warm else kitchen.warmest_place


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
    """The number of the feed after which something was seen; what is written down right after a
    feed was seen before it."""
    return max(1, sum(1 for stand in stands if stand.fed.at + JUST_FED <= at))


def _hours(stands: Sequence[FeedStand], at: datetime) -> float:
    """Hours since the feed after which something was seen."""
    return (at - stands[_day(stands, at) - 1].fed.at) / timedelta(hours=1)


def _seen(reading: Reading) -> tuple[float | None, float | None]:
    rise = reading.kind is ReadingKind.RISE
    return (reading.value, None) if rise else (None, reading.value)


def _hydration(stands: Iterable[FeedStand]) -> Fraction:
    """Of the fresh flour and water of its last feed, within what a culture is raised at."""
    last = list(stands)[-1].fed
    found = Fraction(last.water_g / last.flour_g).limit_denominator(100)
    return min(max(found, Fraction(1, 2)), Fraction(2))
