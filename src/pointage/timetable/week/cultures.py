"""Levains for the wishes of a week: each culture searched once for bakes that are near each other.

Bakes of one culture whose times lie close take their seed from it as it stands, and with the last
of their builds it is fed to be kept. Bakes later in the week find it so.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Generator, Hashable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import datetime, timedelta
from functools import cached_property, partial
from math import inf
from typing import cast

import numpy as np

from pointage.kitchen.capacity import HANDS
from pointage.kitchen.culture_state import culture_at
from pointage.kitchen.kitchen import CultureAtHand
from pointage.timetable.calendar import GRID, Calendar, calendar_of
from pointage.timetable.choice.abreast import Chain, Needs, ToMake, abreast
from pointage.timetable.choice.memo import Digests, Memo
from pointage.timetable.pin import EACH_OFF_HOUR, Pin
from pointage.timetable.problem import HORIZON, Problem
from pointage.timetable.upkeep.keeping import kept_after
from pointage.timetable.ways.amounts import amounts
from pointage.timetable.ways.chilled import chilled_levains
from pointage.timetable.ways.lean import AS_USUAL, Leaning
from pointage.timetable.ways.levains import (
    FEED_GRID,
    STICKS,
    WAKING_SHARES,
    RipeInHand,
    ripe_levains,
)
from pointage.timetable.ways.pinned import FEEDS, begins, feed_begins, hours_off
from pointage.timetable.ways.ripens import CultureToWake, ripening
from pointage.timetable.ways.stands import tub_for
from pointage.timetable.ways.weighed import ManyWays
from pointage.timetable.week.fit import NotWeighed, WeekWay, ways_of_wish, worth_trying
from pointage.timetable.week.question import WantedStage, WeekWish
from pointage.timetable.week.steady import UNSTEADY, wider
from pointage.timetable.week.trial import tried

NEAR = timedelta(hours=36)
"""Wishes of one culture no further apart than this take from it as it stands (ours)."""
ASKED = 32
"""Members of the ensemble that are asked how likely a culture ripens."""
LESS_LATE = 1.0
"""Penalty hours that a levain in the fridge is worth: it is seldom late (ours)."""
MANY_WAYS = 2000
"""Of a wish that may be later: it must fit beside what was no fit before."""
LATER = timedelta(hours=6)
"""So much longer than wanted is searched, for the ways out of a clash."""

Levains = Mapping[datetime, RipeInHand]
Weighed = tuple[tuple[WeekWay, ...], NotWeighed]
"""The ways of a wish that are weighed, the cheapest first; the least penalty of the others."""


@dataclass(frozen=True, eq=False)
class WishWays:
    """A wish with all it can be done by. wish: its culture as it will be found.

    left_out: the ways that are not weighed (as of `worth_trying`). batch: which of its culture's
    batches it is in; those of one take from one jar.
    """

    wish: WeekWish
    calendar: Calendar
    levains: Levains
    ways: tuple[WeekWay, ...]
    left_out: NotWeighed
    batch: str

    def with_more(self, numbers: Sequence[int]) -> WishWays:
        """With some of those that were not weighed, by their numbers there."""
        every, fewer = self.left_out.ways, set(numbers)
        if every is None or not fewer:
            return self
        ways = [every.one(self.left_out.numbers[n]) for n in numbers]
        ways = [way for way in ways if not way.overlaps(way.hands_before())]
        rest = tuple(k for n, k in enumerate(self.left_out.numbers) if n not in fewer)
        return replace(self, ways=(*self.ways, *ways), left_out=NotWeighed(every, rest))

    def later(self) -> tuple[WeekWay, ...]:
        """The ways that are later than wanted."""
        ways = ways_of_wish(self.wish, self.levains, self.calendar, later=LATER)
        return tuple(worth_trying(leaned(self.wish, ways), MANY_WAYS)[0])


Known = Callable[[int, WeekWish, str], WishWays | None]
"""Ways of a wish that need no search: by its number, with its culture as found, and its batch."""
Between = Callable[
    [str, CultureAtHand, datetime | None, datetime], tuple[CultureAtHand, datetime] | None
]
"""A culture as it is kept until a batch: by the batch, as it was left, since when (None: now), and
from when on the batch may take from it. With it, from when on it does; None: as it stands."""


def as_it_stands(
    batch: str, culture: CultureAtHand, since: datetime | None, first: datetime
) -> None:
    """Nothing is done to a culture between its bakes."""


def leaned(wish: WeekWish, ways: ManyWays) -> ManyWays:
    """The same ways, the cheapest first, by what is leaned to and the step that is wanted at a time
    besides."""
    if wish.pin is not None and len(ways):
        ways = ways.weighed(penalty=ways.penalty + EACH_OFF_HOUR * hours_off(wish.pin, ways))
    if wish.lean == AS_USUAL or not len(ways):
        return ways
    each = list(ways)
    first, last = (edge(way.ready for way in each) for edge in (min, max))
    leaning = Leaning.of(wish.lean, wish.problem, first - HORIZON, last)
    levains = {id(way.way.levain): leaning.levain(way.way.levain) for way in each}
    prices = [
        levains[id(way.way.levain)]
        + leaning.hours(wish.first, way.ready)
        + leaning.jobs((*way.hands(), *way.waking()))
        for way in each
    ]
    return ways.weighed(penalty=ways.penalty + np.array(prices))


def least_off(wish: WeekWish, ways: Iterable[WeekWay]) -> float:
    """What the step that is wanted at a time costs at the least: so much dearer is giving the wish
    up, for bread is worth as much with such a step as without."""
    pin, problem = wish.pin, wish.problem
    if pin is None:
        return 0.0
    starts = (begins(pin, way.thread(), len(problem.builds), problem.process) for way in ways)
    return EACH_OFF_HOUR * min(map(pin.off_h, starts), default=0.0)


def ways_of_week(
    wishes: Sequence[WeekWish],
    *,
    sleepless: bool = False,
    known: Known = lambda number, wish, batch: None,
    between: Between = as_it_stands,
    memo: Memo | None = None,
) -> Iterator[tuple[int, WishWays]]:
    """The ways of every wish with its number, as they are found.

    known: those of wishes for which nothing is to be searched. between: how its culture is kept
    until a batch of them. memo: what was found before.
    """
    search = _Search(wishes, sleepless, known, between, memo or Memo())
    of_culture: dict[str, list[int]] = defaultdict(list)
    for number, wish in enumerate(wishes):
        of_culture[wish.problem.culture.name].append(number)
    yield from abreast(list(map(search.of_culture, of_culture.values())), search.memo)


@dataclass(frozen=True, eq=False)
class _Search:
    """The search for the ways of a week's wishes, culture by culture."""

    wishes: Sequence[WeekWish]
    sleepless: bool
    known: Known
    between: Between
    memo: Memo
    _digests: Digests = field(default_factory=Digests)

    @cached_property
    def _ovens(self) -> list[tuple[int, tuple[datetime, datetime]]]:
        return _oven_spans(self.wishes)

    def of_culture(self, numbers: Sequence[int]) -> Chain[tuple[int, WishWays]]:
        """The ways of the wishes of one culture, batch by batch, and what is needed for them."""
        name, left = self.wishes[numbers[0]].problem.culture.name, len(numbers)
        culture, since = None, None
        for numbers_of in _batches(self.wishes, numbers):
            batch = {number: self.wishes[number] for number in numbers_of}
            jar = f"{name} {numbers_of[0]}"
            as_left = culture or batch[numbers_of[0]].problem.culture
            begins = min(wish.first for wish in batch.values()) - HORIZON
            if (kept := self.between(jar, as_left, since, begins)) is not None:
                culture, since = kept
            if culture is not None:
                batch = {
                    number: replace(wish, problem=replace(wish.problem, culture=culture))
                    for number, wish in batch.items()
                }
            found = yield from self._of_batch(batch, jar, since, left)
            left -= len(batch)
            done = [found[number] for number in batch]
            built = [each.ways[0] for each in done if each.ways]
            if built:
                last_built = max(built, key=lambda each: each.way.levain.feedings()[-1].at)
                feeds = last_built.thread().feeds
                culture = kept_after(last_built.problem, amounts(last_built.problem, feeds), feeds)
            builds = [way.way.levain.feedings()[-1].at for each in done for way in each.ways]
            last = max(wish.last for wish in batch.values())
            since = min([last, max(builds, default=last) + timedelta(hours=1)])

    def _of_batch(
        self, batch: Mapping[int, WeekWish], jar: str, since: datetime | None, left: int
    ) -> Generator[Needs | tuple[int, WishWays], None, dict[int, WishWays]]:
        """The ways of wishes that take from one jar, so many wishes before the end of its chain."""
        digests, memo, sharers = self._digests, self.memo, len(batch)
        done: dict[int, WishWays] = {}
        for number, wish in batch.items():
            if (as_known := self.known(number, wish, jar)) is not None:
                done[number] = as_known
                yield number, as_known
        new = {number: wish for number, wish in batch.items() if number not in done}
        searched: dict[object, tuple[Calendar, ToMake]] = {}
        for wish in new.values():
            if (key := _search(wish)) in searched:
                continue
            alike = [other for other in batch.values() if _search(other) == key]
            first = max(wish.problem.now, min(other.first for other in alike) - HORIZON)
            last = max(other.last for other in alike) + LATER
            calendar = calendar_of(
                wish.problem.kitchen,
                first if since is None else max(first, since),
                last,
                wish.problem.occupied_spans(HANDS),
                sleepless=self.sleepless,
            )
            largest = max((other.problem for other in alike), key=lambda p: p.flour_g())
            largest = replace(largest, culture=wish.problem.culture)
            calendar = _through(calendar, _feed_pin(wish))
            asked = (calendar, sharers, wish.lean, _feed_pin(wish))
            searched[key] = (
                calendar,
                ToMake(
                    digests.of(_but_for_its_time(largest), *asked),
                    partial(_levains, largest, calendar, sharers, wish),
                ),
            )
        weighed: dict[int, tuple[Levains, ToMake]] = {}
        while len(done) < len(batch):
            missing: dict[Hashable, ToMake] = {}
            for number in sorted(new.keys() - done.keys()):
                wish, (calendar, task) = new[number], searched[_search(new[number])]
                if number not in weighed:
                    if not memo.has(task.key):
                        missing[task.key] = task
                        continue
                    levains = cast(Levains, memo.get(task.key, task.make))
                    hot = any(other != number and _near(wish, span) for other, span in self._ovens)
                    weigh = partial(_worth_trying, wish, levains, calendar, hot=hot)
                    weighed[number] = levains, ToMake(digests.of(task.key, wish, hot), weigh)
                levains, task = weighed[number]
                if not memo.has(task.key):
                    missing[task.key] = task
                    continue
                ways, left_out = cast(Weighed, memo.get(task.key, task.make))
                done[number] = WishWays(wish, calendar, levains, ways, left_out, jar)
                yield number, done[number]
            if missing:
                yield Needs(list(missing.values()), left)
        return done


def _through(calendar: Calendar, pin: Pin | None) -> Calendar:
    """A calendar whose half hours, on which is fed, go through the feed that is wanted then."""
    if pin is None or (pin.at - calendar.first) // GRID % FEED_GRID == 0:
        return calendar
    return replace(calendar, first=calendar.first + GRID)


def _worth_trying(wish: WeekWish, levains: Levains, calendar: Calendar, *, hot: bool) -> Weighed:
    """The ways of a wish that are weighed, the cheapest first, and the others."""
    ways, left_out = worth_trying(
        leaned(wish, tried(ways_of_wish(wish, levains, calendar, hot=hot)))
    )
    return tuple(ways), left_out


def _but_for_its_time(problem: Problem) -> Problem:
    """All of a bake that its levain hangs on: the calendar says when, and when hands are free."""
    return replace(problem, ready=problem.now)


def _levains(problem: Problem, calendar: Calendar, sharers: int, wish: WeekWish) -> Levains:
    """The best ripe levain in hand at each instant, those that waited in the fridge among them.

    sharers: so many wishes take from the jar, each no more than its part of it. wish: one of those
    it is for.
    """
    lean, pin = wish.lean, _feed_pin(wish)
    search = problem.levain_search(calendar)
    part = (1 + problem.culture.hydration) / (STICKS * sharers) if sharers > 1 else inf
    shares = [share for share in WAKING_SHARES if share <= part] or [min(WAKING_SHARES)]
    search = replace(search, most_seed_g=search.most_seed_g / sharers, waking_shares=shares)
    traits = wider(problem.traits.some(ASKED))
    culture = culture_at(problem.culture, problem.kitchen, search.since, traits)
    first = search.builds[0]
    waking = CultureToWake(
        culture, traits, search.waking, first.recipe, first.seed_shares, search.since
    )
    search = replace(search, unsteady=UNSTEADY, ripens=ripening(waking), pin=pin)
    every: list[RipeInHand] = []
    found = ripe_levains(search, every)
    leaning = Leaning.of(lean, problem, calendar.first, calendar.last)

    def cost(node: RipeInHand) -> float:
        off_h = 0.0 if pin is None else pin.off_h(feed_begins(pin, node, len(search.builds)))
        return node.penalty + leaning.levain(node) + EACH_OFF_HOUR * off_h

    if lean != AS_USUAL or pin is not None:  # with more feeds or fewer, another may be the best
        for node in every:
            if cost(node) < cost(found[node.at]):
                found[node.at] = node
    for at, node in chilled_levains(search, every).items():
        if at not in found or cost(node) < cost(found[at]) + LESS_LATE:
            found[at] = node
    return dict(sorted(found.items()))


def _batches(wishes: Sequence[WeekWish], numbers: Sequence[int]) -> list[list[int]]:
    """The wishes of a culture by time, those near the one before them together."""
    found: list[list[int]] = []
    for number in sorted(numbers, key=lambda n: wishes[n].last):
        near = found and wishes[number].last - wishes[found[-1][-1]].last <= NEAR
        if near:
            found[-1].append(number)
        else:
            found.append([number])
    return found


def _feed_pin(wish: WeekWish) -> Pin | None:
    """The feed or build that is wanted at a time."""
    return wish.pin if wish.pin is not None and wish.pin.kind in FEEDS else None


def _search(wish: WeekWish) -> object:
    """Wishes for which it is the same share one search."""
    return _recipe(wish.problem), wish.lean, _feed_pin(wish)


def _recipe(problem: Problem) -> object:
    """What the search for its levain hangs on, but for a little more or less of it."""
    builds = []
    for recipe, stage in zip(problem.builds, problem.build_stages, strict=True):
        grams = float(problem.formula.whole(stage).mass) * problem.flour_g() / 100
        tub = tub_for(problem.kitchen, grams, last=True)
        flours = tuple(sorted(recipe.flours.items()))
        builds.append(
            (flours, recipe.hydration, recipe.wanted_c, recipe.place.name, tub.name, stage.seed)
        )
    return tuple(builds)


def _oven_spans(wishes: Sequence[WeekWish]) -> list[tuple[int, tuple[datetime, datetime]]]:
    return [
        (number, (wish.first, wish.last))
        for number, wish in enumerate(wishes)
        if wish.stage is WantedStage.BAKED
    ]


def _near(wish: WeekWish, span: tuple[datetime, datetime]) -> bool:
    """Whether a bake out in a span may leave the oven hot for this one."""
    reach = timedelta(hours=3)
    return (
        wish.stage is WantedStage.BAKED
        and span[0] - reach <= wish.last
        and wish.first <= span[1] + reach
    )
