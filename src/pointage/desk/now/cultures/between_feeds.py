"""A culture standing between two feeds, and what was seen of it there."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from typing import Any

from pointage.culture.life import FeedStand, Life
from pointage.culture.rest import LONGEST_D
from pointage.daybook.entry import Entry, EntryKind
from pointage.daybook.readings import (
    READ_FROM,
    Reading,
    confirmed,
    observation,
    readings_of,
)
from pointage.desk.now.cultures.young import GROWN_AT, is_raised
from pointage.kitchen.culture_state import fed_last, place_of, surroundings_of
from pointage.kitchen.kitchen import CultureAtHand, Kitchen
from pointage.mixture.learning.update import Watched
from pointage.mixture.traits import median_traits

TEACHES = timedelta(days=LONGEST_D)
"""What is seen so long after a feed shows neglect, and no longer the culture: ours."""


@dataclass(frozen=True, slots=True)
class SeenStand:
    """One stand of a culture of which something was seen, in the place where it began."""

    life: Life
    number: int
    seen: tuple[Reading, ...]

    @property
    def stand(self) -> FeedStand:
        return self.life.stands[self.number]

    @property
    def at(self) -> datetime:
        """When it was fed."""
        return self.stand.fed.at

    @property
    def stamp(self) -> tuple[object, ...]:
        """Two with the same stamp teach the same."""
        feeds = tuple(stand.fed for stand in self.life.stands[: self.number + 1])
        return tuple((fed.at, fed.seed_g, fed.flour_g, fed.water_g) for fed in feeds), self.seen


def stood(life: Life, said: Iterable[Entry]) -> Iterator[SeenStand]:
    """The stands of a culture of which something was seen, the latest first.

    said: the entries that name it.
    """
    said = list(said)
    stands = {str(e.body["reading"]) for e in said if e.kind is EntryKind.CONFIRMED}
    entries = sorted(
        (entry for entry in said if entry.kind in READ_FROM), key=lambda each: each.happened
    )
    for number in reversed(range(life.inherited, len(life.stands))):
        stand = life.stands[number]
        if is_raised(life) and stand.fed.at - life.stands[0].fed.at < GROWN_AT:
            continue  # a young culture shows what its flour brought, and not yet what it is like
        ends = [at for at, _ in stand.places[1:2]]
        ends += [each.fed.at for each in life.stands[number + 1 : number + 2]]
        ends = [*ends, stand.fed.at + TEACHES]
        first = bisect_right(entries, stand.fed.at, key=lambda each: each.happened)
        last = bisect_left(entries, min(ends), key=lambda each: each.happened)
        within = tuple(each for entry in entries[first:last] for each in readings_of(entry))
        if within and stand.places:
            yield SeenStand(life, number, confirmed(within, stands))


def observed(readings: Iterable[Reading]) -> dict[str, Any]:
    """What the engine makes of readings, and which of that is sure: fields of a `Watched`."""
    observed = [(observation(each), each.sure) for each in readings]
    seen = [(each, sure) for each, sure in observed if each is not None]
    return {
        "seen": tuple(each for each, _ in seen),
        "sure": frozenset(each for each, sure in seen if sure),
    }


def history_of(found: SeenStand, culture: CultureAtHand, kitchen: Kitchen) -> Watched:
    """The stand as it was mixed and held, with what was seen, for learning."""
    life = replace(found.life, stands=found.life.stands[: found.number + 1])
    as_fed = replace(culture, life=life)
    mixed, stand = fed_last(as_fed, kitchen, found.at, median_traits())
    since, name = stand.places[0]
    return Watched(
        mixture=mixed,
        surroundings=surroundings_of(kitchen, name, since, max(each.at for each in found.seen)),
        start=found.at,
        **observed(found.seen),
        place=place_of(kitchen, name).name,
    )
