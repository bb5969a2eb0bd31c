"""Cultures as they are kept until their bakes: which feeds come before which of them.

A bake that takes from a culture and feeds it sees to what it needs by then. Where the first that it
does comes too late for that, the culture is fed before, and the bake's levain is searched for from
there. One that no levain is found for is fed once more, to be kept, shortly before.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import datetime, timedelta
from typing import TYPE_CHECKING

from pointage.culture.life import Built, Fed, Taken
from pointage.kitchen.culture_state import at_hand_of, life_of
from pointage.kitchen.kitchen import CultureAtHand
from pointage.kitchen.outlook import outlook_of
from pointage.timetable.calendar import Calendar, ceil_to_grid
from pointage.timetable.upkeep.ahead import BUILT_ON, Ahead, ahead
from pointage.timetable.upkeep.task import FED, CultureTask, Done, KeptCulture
from pointage.timetable.ways.amounts import amounts, seed_grams
from pointage.timetable.ways.levains import FEED_MINUTES
from pointage.timetable.week.cultures import WishWays
from pointage.timetable.week.question import LONGEST, WeekQuestion

if TYPE_CHECKING:
    from pointage.timetable.week.fit import WeekWay

WEEK = timedelta(days=7)
LOOKED_AHEAD_D = 4


@dataclass(frozen=True, slots=True)
class BakeTouch:
    """What a chosen bake does to its culture, in order. batch: whose jar it takes from."""

    batch: str
    events: tuple[Done, ...]


@dataclass(frozen=True, eq=False)
class UpkeepBetween:
    """How the cultures are kept until each batch of bakes.

    until: by batch, the first that its bakes do to the culture, where that is known; fed: when it
    is fed for one of them whatever it needs. tasks, begun: of each batch that was asked for, what
    is done before it, and since when.
    """

    question: WeekQuestion
    until: Mapping[str, datetime] = field(default_factory=dict)
    fed: Mapping[str, tuple[datetime, ...]] = field(default_factory=dict)
    tasks: dict[str, tuple[CultureTask, ...]] = field(default_factory=dict)
    begun: dict[str, datetime] = field(default_factory=dict)

    def __call__(
        self, batch: str, culture: CultureAtHand, since: datetime | None, first: datetime
    ) -> tuple[CultureAtHand, datetime] | None:
        """As `week.cultures.Between`."""
        kept = self.kept(culture.name)
        if kept is None:
            return None
        begun = self.question.now if since is None else since
        self.begun[batch] = max(begun, first)
        first = max(begun, self.until.get(batch, first))
        if since is not None:
            kept = self._as_left(kept, culture, first)
        fed = self.fed.get(batch, ())
        found = ahead(
            kept, self.question.kitchen, begun, max([first, *fed]), between=fed, covered_at=first
        )
        if not found.tasks:
            return None
        self.tasks[batch] = found.tasks
        return found.culture, max(begun, found.tasks[-1].at + BUILT_ON)

    def kept(self, culture: str) -> KeptCulture | None:
        return next((e for e in self.question.cultures if e.culture.name == culture), None)

    @property
    def ends(self) -> datetime:
        """How far upkeep is looked ahead: a week, or to the last bake."""
        last = [each.last for each in self.question.wishes]
        return min(max([self.question.now + WEEK, *last]), self.question.now + LONGEST)

    def through(self, touches: Mapping[str, Sequence[BakeTouch]]) -> dict[str, Ahead]:
        """The upkeep of every culture through the week, with what the chosen bakes do to each."""
        found = {}
        for kept in self.question.cultures:
            name = kept.culture.name
            own = touches.get(name, ())
            comes = [event for touch in own for event in touch.events]
            fed = [at for touch in own for at in self.fed.get(touch.batch, ())]
            found[name] = ahead(
                kept, self.question.kitchen, self.question.now, self.ends,
                comes=comes, between=sorted(set(fed)),
            )  # fmt: skip
        return found

    def uncovered(self, touches: Mapping[str, Sequence[BakeTouch]]) -> dict[str, datetime]:
        """The batches that come too late for what their culture needs before, with when they do."""
        late = {}
        for name, found in self.through(touches).items():
            firsts: dict[str, datetime] = {}
            for touch in touches.get(name, ()):
                at = min(each.at for each in touch.events)
                firsts[touch.batch] = min(at, firsts.get(touch.batch, at))
            since = self.question.now
            for batch, first in sorted(firsts.items(), key=lambda each: each[1]):
                needed = [e for e in found.tasks if e.kind in FED and since <= e.at < first]
                counted = [e for e in self.tasks.get(batch, ()) if e.kind in FED]
                if len(needed) > len(counted):
                    late[batch] = first
                since = first
        return late

    def also_until(self, until: Mapping[str, datetime]) -> UpkeepBetween:
        """The same, with what comes before these instants done before their batches."""
        return UpkeepBetween(self.question, {**self.until, **until}, self.fed)

    def also_fed(self, batch: str, at: datetime) -> UpkeepBetween:
        """The same, with a feed for a batch that finds its culture too tired."""
        until = {name: each for name, each in self.until.items() if name != batch}
        return UpkeepBetween(self.question, until, {**self.fed, batch: (at,)})

    def feeds_to_try(self, batch: str, first: datetime, calendar: Calendar) -> list[datetime]:
        """When it may be fed for a batch: from when that may begin to take from it, a day apart."""
        begun = self.begun.get(batch)
        if begun is None:
            return []
        found: list[datetime] = []
        at = ceil_to_grid(begun)
        while at < first and len(found) < LOOKED_AHEAD_D:
            free = next((e for e in _from(at, calendar) if calendar.free(e, FEED_MINUTES)), None)
            if free is None:
                break
            found.append(free)
            at = free + timedelta(days=1)
        return found

    def fed_before(self, first: datetime, calendar: Calendar) -> datetime | None:
        """When it may be fed about a day before a bake first takes from it."""
        spell = (each for each in _from(first - timedelta(days=1), calendar) if each < first)
        return next((each for each in spell if calendar.free(each, FEED_MINUTES)), None)

    @staticmethod
    def first_touch(batch: str, touches: Mapping[str, Sequence[BakeTouch]]) -> datetime:
        """When the first bake of a batch that is kept feeds its culture or takes from it."""
        return min(
            each.at
            for own in touches.values()
            for touch in own
            if touch.batch == batch
            for each in touch.events
        )

    def _as_left(self, kept: KeptCulture, culture: CultureAtHand, until: datetime) -> KeptCulture:
        left = at_hand_of(life_of(culture))
        looked = until + timedelta(days=LOOKED_AHEAD_D)
        outlook = outlook_of(left, self.question.kitchen, kept.traits, looked)
        return replace(kept, culture=left, outlook=outlook, comes=())


def _from(at: datetime, calendar: Calendar) -> Sequence[datetime]:
    return [each for each in calendar.instants() if each >= at]


def touches_of(
    wishes: Sequence[WishWays], ways: Sequence[WeekWay | None], last: set[int]
) -> dict[str, list[BakeTouch]]:
    """By culture, what the chosen ways do to it.

    last: the wishes with whose build it is fed to be kept. The others of their batches take of it
    as it stands, and wake what they took beside it (`week/cultures.py`).
    """
    found: dict[str, list[BakeTouch]] = defaultdict(list)
    for number, (each, way) in enumerate(zip(wishes, ways, strict=True)):
        if way is None:
            continue
        problem, feeds = way.problem, way.thread().feeds
        grams, name = amounts(problem, feeds), problem.formula.name
        seed = float(seed_grams(grams.builds[0]))
        events: list[Done] = []
        if number in last:
            for parts, feed in zip(grams.feeds, feeds, strict=False):
                fresh = {k: float(g) for k, g in parts.items() if k not in ("seed", "water") and g}
                fed = Fed(_done(feed.at), float(parts["seed"]), fresh, float(parts["water"]))
                warm = problem.kitchen.warmest_place.name
                events.append(replace(fed, for_bake=True, place=warm))
            events.append(Built(_done(feeds[len(grams.feeds)].at), seed, name))
        else:
            seed = float(grams.feeds[0]["seed"]) if grams.feeds else seed
            events.append(Taken(_done(feeds[0].at), seed, name))
        found[problem.culture.name].append(BakeTouch(each.batch, tuple(events)))
    return dict(found)


def _done(at: datetime) -> datetime:
    return at + timedelta(minutes=FEED_MINUTES)
