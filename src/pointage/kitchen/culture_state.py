"""How a culture of the kitchen stands at an instant: fed and left, in the warm and in the cold."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime, timedelta

from pointage.culture.life import (
    Began,
    Fed,
    FeedStand,
    Life,
    Stated,
    lived,
)
from pointage.culture.mature import feed, mature
from pointage.kitchen.kitchen import (
    CultureAtHand,
    Kitchen,
    Place,
    PlaceKind,
)
from pointage.mixture.hold import hold
from pointage.mixture.mixture import Mixture, raw
from pointage.mixture.temperature.surroundings import Stepped, Surroundings, alike
from pointage.mixture.traits import Traits

FED_AT_C = 22.0
"""Temperature of a feed, when nobody noted it; the place soon takes over."""
REMEMBERED = 8
"""Feeds gone through; of what was before them each leaves a small part only."""
LEAST_H = 0.25  # a shorter spell is no hold
COARSE_H = 48.0  # a longer one is given by the hour
LONGEST = timedelta(weeks=16)
"""A culture is carried no further after a feed, and so far in all through the feeds before the
last; left longer it is taken as it was then. Ours: the work for a date would else have no end."""


def culture_at(culture: CultureAtHand, kitchen: Kitchen, now: datetime, traits: Traits) -> Mixture:
    """The culture as it stands at `now`, one state a member, with the mass there is of it.

    It is carried through its feeds from the first remembered one, at which it is taken as in its
    prime, or as raw flour and water where it began then. Before that feed it stands as just fed.
    """
    mixed, stand = fed_last(culture, kitchen, now, traits)
    return _left(mixed, stand, kitchen, now, traits).scaled(culture.mass_g)


def fed_last(
    culture: CultureAtHand, kitchen: Kitchen, now: datetime, traits: Traits
) -> tuple[Mixture, FeedStand]:
    """The culture just after its last feed before `now`, with the mass of that feed, and the feed.

    One state a member.
    """
    every = remembered(culture)
    stands = [stand for stand in every if stand.fed.at <= now] or every[:1]
    record = kitchen.record(culture.flours)
    mixed = mature(culture.flours, culture.hydration, traits, record)
    stands = _within(stands)
    for number, stand in enumerate(stands):
        mixed = _fed(mixed, stand.fed, kitchen)
        if number + 1 < len(stands):
            mixed = _left(mixed, stand, kitchen, stands[number + 1].fed.at, traits)
    return mixed, stands[-1]


def place_of(kitchen: Kitchen, name: str) -> Place:
    """The kitchen's place of that name; where it has none of it any more, its first room."""
    return _among(kitchen.places, name)


def surroundings_of(kitchen: Kitchen, name: str, since: datetime, ends: datetime) -> Surroundings:
    """What it was like in a place of that name from `since` to `ends`, as it was then.

    A place that was changed meanwhile is the one until then and the other afterwards.
    """
    moves = [(since, _then(kitchen, name, since))]
    for at in [until for until, _ in kitchen.before if since < until < ends]:
        place = _then(kitchen, name, at)
        if not alike(moves[-1][1], place):
            moves.append((at, place))
    return moves[0][1] if len(moves) == 1 else Stepped(moves)


def _then(kitchen: Kitchen, name: str, at: datetime) -> Surroundings:
    """The place as the kitchen had it at an instant; as it has it now where it had none then."""
    for until, places in kitchen.before:
        if at < until:
            known = any(each.name.casefold() == name.casefold() for each in places)
            return _among(places if known else kitchen.places, name).surroundings
    return place_of(kitchen, name).surroundings


def _among(places: Sequence[Place], name: str) -> Place:
    for each in places:
        if each.name.casefold() == name.casefold():
            return each
    rooms = [each for each in places if each.kind is PlaceKind.ROOM]
    return (rooms or list(places))[0]


def remembered(culture: CultureAtHand) -> Sequence[FeedStand]:
    """The feeds that still count in it, the oldest first: the daybook's, else the kitchen file's.

    From a feed that the file states on: what happened before it, the file knows better.
    """
    if culture.life is not None and culture.life.stands:
        stands = culture.life.stands
        stated = [number for number, stand in enumerate(stands) if stand.stated]
        stands = stands[stated[-1] if stated else 0 :]
        return stands if len(stands) <= 2 * REMEMBERED else stands[-REMEMBERED:]
    flour = culture.mass_g / (culture.seed_share + 1 + culture.hydration)
    fresh = {kind: flour * share for kind, share in culture.flours.items()}
    fed = Fed(culture.fed, flour * culture.seed_share, fresh, flour * culture.hydration)
    chilled = culture.fed + timedelta(hours=culture.warm_hours)
    return (FeedStand(fed, ((culture.fed, culture.warm_place), (chilled, culture.place))),)


def life_of(culture: CultureAtHand) -> Life:
    """What is known of it: the daybook's line of events, else what the kitchen's file says."""
    if culture.life is not None:
        return culture.life
    return lived(said_of(culture))


def at_hand_of(life: Life) -> CultureAtHand:
    """A culture as it was last fed and where it stands, by its life."""
    last = life.stands[-1]
    first, *moves = last.places
    chilled = moves[-1][0] if moves else first[0]
    return CultureAtHand(
        name=life.name,
        flours=dict(life.flours),
        hydration=life.hydration,
        mass_g=life.mass_g,
        seed_share=life.seed_share,
        fed=last.fed.at,
        warm_place=first[1],
        warm_hours=(chilled - first[0]) / timedelta(hours=1),
        place=last.places[-1][1],
        life=life,
    )


def said_of(culture: CultureAtHand) -> tuple[Began, Stated]:
    """What the kitchen's file says of a culture, as events."""
    (stand,) = remembered(replace(culture, life=None))
    first, *moves = stand.places
    stand = replace(
        stand,
        fed=replace(stand.fed, place=first[1]),
        stated=True,
        places=(first, *((at, place) for at, place in moves if place != first[1])),
    )
    what = (culture.flours, culture.hydration, culture.mass_g)
    flours, hydration, grams = what
    began = Began(
        culture.fed, culture.name, grams=grams, flours=flours, hydration=hydration, habit=stand
    )
    return began, Stated(culture.fed, stand, *what)


def _within(stands: Sequence[FeedStand]) -> Sequence[FeedStand]:
    """The last of them, and as many before it as are carried through in LONGEST."""
    first, left = len(stands) - 1, LONGEST
    while first:
        left -= min(stands[first].fed.at - stands[first - 1].fed.at, LONGEST)
        if left < timedelta(0):
            break
        first -= 1
    return stands[first:]


def _fed(culture: Mixture, fed: Fed, kitchen: Kitchen) -> Mixture:
    celsius = FED_AT_C if fed.celsius is None else fed.celsius
    record = kitchen.record(fed.flours_g) if fed.flours_g else None
    if fed.seed_g > 0:
        return feed(culture, fed.seed_g, fed.flours_g, fed.water_g, celsius, record=record)
    return raw(fed.flours_g, fed.water_g, celsius=celsius, record=record)


def _left(
    mixed: Mixture, stand: FeedStand, kitchen: Kitchen, ends: datetime, traits: Traits
) -> Mixture:
    """The mixture after standing in each place of a stand in turn, until `ends` or LONGEST."""
    ends = min(ends, stand.fed.at + LONGEST)
    for number, (since, name) in enumerate(stand.places):
        moved = stand.places[number + 1][0] if number + 1 < len(stand.places) else ends
        until = min(moved, ends)
        hours = (until - since) / timedelta(hours=1)
        if hours < LEAST_H:
            continue
        place = surroundings_of(kitchen, name, since, until)
        every = 60 if hours > COARSE_H else 15
        mixed = hold(mixed, place, since, hours, traits, every_min=every).final
    return mixed
