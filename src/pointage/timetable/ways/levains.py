"""From the culture as it stands to a ripe levain at each instant: every way, weighed by the engine.

A forward search over the grid. A node is the culture at an instant, ripe and in hand; an edge is a
feed, whose course says from when to when the next feed or the mix may take from it. Of all ways to
be at a node after so many feeds, the one with the least penalty is kept, since what a mixture does
next depends on what it is and hardly on how it came there.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import datetime, timedelta
from functools import cached_property
from math import log2

import numpy as np
from numpy.typing import NDArray

from pointage.kitchen.kitchen import Place
from pointage.kitchen.stand import VesselStand
from pointage.mixture.course import leavened, ripe_windows
from pointage.mixture.flours import FlourRecord
from pointage.mixture.hold import hold
from pointage.mixture.many import CoursesOfMany, hold_several_from, stacked
from pointage.mixture.mixture import Mixture, raw
from pointage.mixture.temperature.temper import temper
from pointage.mixture.traits import Traits
from pointage.timetable.calendar import GRID, Calendar, ceil_to_grid
from pointage.timetable.pin import EACH_OFF_HOUR, Pin
from pointage.timetable.plan import StepKind
from pointage.timetable.ways.paces import met

Floats = NDArray[np.float64]
Numbers = NDArray[np.intp]

FEED_MINUTES = 15
STICKS = 1.05  # what clings to tub and spoon
STAYS = 0.05  # share of a culture that is never used: from it there is always another
MOST_FEEDS = 3
LONGEST_HOLD_H = 24.0
GRIDS_AN_HOUR = timedelta(hours=1) / GRID
FEED_GRID = 2  # feeds on the half hour
SEED_SHARES = (1.0, 0.7, 0.5, 0.35, 0.25, 0.2, 0.15, 0.1, 0.07, 0.05)
WAKING_SHARES = (1.0, 0.5, 0.25)
CUSTOMARY_SHARE = 0.2
MANY_SHARES = 5  # from so many on, not each is asked of the engine

EACH_FEED = 1.0  # penalty hours for a waking feed's work
EACH_DOUBLING = 0.15  # … for each doubling of the seed away from a fifth, where custom is at home
OFF_CENTRE = 1.5  # … for taking from the very edge of the ripe window
SLUGGISH = 20.0  # … for each whole rise that the levain falls short of an awake one's
OF_WAKING = 0.3  # so much of a levain's does it matter that a waking feed is taken when ripe
EDGE = 0.12  # share of the window left alone at either end


@dataclass(frozen=True, eq=False)
class Recipe:
    """What a feed or build is made of, its seed counted.

    flours: kinds of the fresh flour, shares of it; hydration: water over flour; wanted_c:
    temperature after mixing. stand: how about so much of it follows its place in its tub; cold: and
    the fridge. record: what the fresh flours are together.
    """

    flours: Mapping[str, float]
    hydration: float
    wanted_c: float
    place: Place
    stand: VesselStand
    record: FlourRecord
    cold: VesselStand | None = None

    def fresh(self, seed: Mixture, flour_g: float) -> tuple[dict[str, float], float] | None:
        """Fresh flour and water for `flour_g` in all, seed counted; None if it has too much."""
        share = (flour_g - seed.flour) / flour_g
        water = flour_g * self.hydration - seed.water
        if share < -1e-9 or water < -1e-9:
            return None
        return {k: flour_g * share * part for k, part in self.flours.items()}, max(water, 0.0)


@dataclass(frozen=True, eq=False)
class Feeding:
    """One feed on the way: when, at what seed share, and the node it was taken from.

    chilled: when it goes into the fridge, where it waits for what takes from it; warmed: when it
    comes out of it again, to stand in the warm.
    """

    at: datetime
    seed_share: float
    recipe: Recipe
    ripe_from: datetime
    ripe_until: datetime
    before: RipeInHand
    chilled: datetime | None = None
    warmed: datetime | None = None


@dataclass(frozen=True, eq=False)
class RipeInHand:
    """Ripe culture in hand at an instant: what it is, what it cost to get there, and how.

    most_g: the most there can be of it, had every feed on the way been as large as its seed allows.
    edge: how long after its window it is taken, below zero before it: of one that stands already.
    """

    at: datetime
    mixture: Mixture
    penalty: float
    feeding: Feeding | None
    most_g: float
    edge: timedelta = timedelta()

    def seeds(self, next_g: float, keep_g: float) -> bool:
        """Whether it can give `next_g` of seed, and be kept as well if it was fed on the way."""
        if self.feeding is None:
            return next_g <= self.most_g
        return STICKS * next_g + keep_g <= self.most_g

    def feedings(self) -> list[Feeding]:
        """All feeds on the way, first first."""
        return self._feedings

    @cached_property
    def _feedings(self) -> list[Feeding]:
        found: list[Feeding] = []
        node: RipeInHand | None = self
        while node is not None and node.feeding is not None:
            found.append(node.feeding)
            node = node.feeding.before
        return found[::-1]


@dataclass(frozen=True, eq=False)
class Build:
    """A feed on the way to the levain, and the seed shares that may be tried.

    flour_g: grams of its flour, where the culture must have enough of seed for it.
    """

    recipe: Recipe
    seed_shares: Sequence[float]
    flour_g: float | None = None


@dataclass(frozen=True, eq=False)
class LevainSearch:
    """Everything the search needs to know. builds: of the formula's levain, first first.

    unsteady: penalty hours of a levain that hands are never free to take while it is ripe, be it
    quicker or slower than is likely; 0 to leave that out of account. ripens: then, the odds that
    its first build ripens at all, by seed share, after so many feeds. pin: the feed or build that
    is wanted at a time; what is near to it is then looked for first.
    """

    culture: Mixture  # as it stands at `since`, one state
    since: datetime
    stands: Place
    waking: Recipe
    builds: Sequence[Build]
    room_c: Callable[[datetime], float]
    traits: Traits
    awake_rise: float  # peak rise of the same build from a culture in its prime
    calendar: Calendar
    most_seed_g: float  # what there is of the culture
    keep_g: float  # what is kept of it for next time
    unsteady: float = 0.0
    pin: Pin | None = None
    ripens: Sequence[Mapping[float, float]] = ()
    waking_shares: Sequence[float] = WAKING_SHARES


def ripe_levains(
    search: LevainSearch, every: list[RipeInHand] | None = None
) -> dict[datetime, RipeInHand]:
    """The best way to a ripe levain in hand at each grid instant at which there is one.

    every: is given all that were found, after each number of feeds.
    """
    at_hand = _resting(search)
    waking = Build(search.waking, search.waking_shares)
    best: dict[datetime, RipeInHand] = {}
    for feeds in range(MOST_FEEDS + 1):
        built = at_hand
        for number, build in enumerate(search.builds, start=1):
            ripens = search.ripens[feeds] if search.ripens and build is search.builds[0] else {}
            wanted = pinned_at(search, StepKind.BUILD, number)
            built = fed(search, list(built.values()), build, ripens, wanted)
        if every is not None:
            every.extend(built.values())
        for at, node in built.items():
            if at not in best or node.penalty < best[at].penalty:
                best[at] = node
        if feeds < MOST_FEEDS:
            wanted = pinned_at(search, StepKind.FEED, feeds + 1)
            at_hand = fed(search, list(at_hand.values()), waking, None, wanted)
    return best


def pinned_at(search: LevainSearch, kind: StepKind, number: int) -> datetime | None:
    """When that feed or build is wanted to begin; None where any time is as good."""
    pin = search.pin
    return pin.at if pin is not None and (pin.kind, pin.number) == (kind, number) else None


def _resting(search: LevainSearch) -> dict[datetime, RipeInHand]:
    """The culture taken as it stands, at each instant when a feed could begin."""
    first = ceil_to_grid(max(search.since, search.calendar.first))
    hours = _hours(search.since, search.calendar.last)
    most_g = (1.0 - STAYS) * search.most_seed_g
    course = hold(
        search.culture, search.stands.surroundings, search.since, hours, search.traits, every_min=30
    )
    return {
        at: RipeInHand(at, course.after(_hours(search.since, at)), 0.0, None, most_g)
        for at in search.calendar.instants(FEED_GRID)
        if at >= first and search.calendar.free(at, FEED_MINUTES)
    }


def fed(
    search: LevainSearch,
    nodes: Sequence[RipeInHand],
    build: Build,
    ripens: Mapping[float, float] | None = None,
    wanted: datetime | None = None,
) -> dict[datetime, RipeInHand]:
    """The best nodes one feed further, from all `nodes` at all seed shares.

    ripens: the odds that it ripens at all, by seed share. wanted: when the feed is to begin; of
    those that begin as near to it the best are kept.
    """
    calendar, recipe = search.calendar, build.recipe
    last = build is search.builds[-1]
    instants = calendar.instants()
    free = calendar.free_on_grid(FEED_MINUTES)
    if not last:
        free = free & (np.arange(len(free)) % FEED_GRID == 0)
    starts = np.array([(node.at - calendar.first) // GRID for node in nodes], dtype=np.intp)
    weight = search.unsteady * (1.0 if build in search.builds else OF_WAKING)
    away = np.zeros(len(nodes))
    if wanted is not None:
        away += [EACH_OFF_HOUR * abs(_hours(node.at, wanted)) for node in nodes]
    penalties = np.array([node.penalty for node in nodes]) + away
    ripening = _Ripening.of(search, nodes, build)
    shares = ripening.shares
    if not shares:
        return {}
    # The feeds at all shares, one after the other.
    windows = [ripening.windows(share) for share in shares]
    seeds, ripe_from, ripe_until, rise = map(np.concatenate, zip(*windows, strict=True))
    at_share = np.repeat(np.arange(len(shares)), [len(each[0]) for each in windows])
    index, steps, off = _times_in(ripe_from, ripe_until)
    taken, share_of = seeds[index], at_share[index]
    slots = starts[taken] + steps
    custom = np.array([EACH_DOUBLING * abs(log2(share / CUSTOMARY_SHARE)) for share in shares])
    penalty = penalties[taken] + _penalty(search, build, rise[index], custom[share_of], off)
    if weight:
        spans = (np.nan_to_num(each) * GRIDS_AN_HOUR for each in (ripe_from, ripe_until))
        odds = met(free, starts[seeds].astype(np.float64), *spans).mean(axis=1)
        at_all = np.array([(ripens or {}).get(share, 1.0) for share in shares])
        penalty += weight * (1.0 - at_all[share_of] * odds[index])
    can = slots < len(instants)
    can[can] = free[slots[can]]
    order = np.flatnonzero(can)[np.argsort(penalty[can], kind="stable")]
    at_slots, first = np.unique(slots[order], return_index=True)  # the least at each instant
    best = order[first]
    found: dict[int, RipeInHand] = {}
    at_share = share_of[best]
    of_share = {n: at_share == n for n in np.unique(at_share).tolist()}
    of_nodes = {shares[n]: taken[best[chosen]] for n, chosen in of_share.items()}
    ripening.ask(of_nodes)
    for n, chosen in of_share.items():
        numbers, asked = of_nodes[shares[n]], ripening.asked(shares[n])
        after = at_slots[chosen] - starts[numbers]
        columns = zip(
            at_slots[chosen].tolist(),
            numbers.tolist(),
            after.tolist(),
            (penalty[best[chosen]] - away[numbers]).tolist(),
            asked.of(numbers)[:2].T.tolist(),
            asked.stood(numbers, after),
            strict=True,
        )
        for slot, number, step, paid, (opens, closes), mixture in columns:
            if opens <= step / GRIDS_AN_HOUR <= closes:
                feeding = _feeding(nodes[number], shares[n], recipe, opens, closes)
                found[slot] = _node(instants[slot], paid, feeding, mixture)
    return {instants[slot]: found[slot] for slot in sorted(found)}


@dataclass(eq=False)
class _Ripening:
    """When feeds of many nodes are ripe, by seed share.

    A few shares are asked of the engine. The windows of those between lie between theirs, along a
    line of the logarithm of the share (within some minutes); what is taken is asked in the end.
    """

    search: LevainSearch
    nodes: Sequence[RipeInHand]
    build: Build
    seeds: Seeds | None
    shares: Sequence[float] = ()
    _asked: dict[float, _Asked] = field(default_factory=dict)

    @staticmethod
    def of(search: LevainSearch, nodes: Sequence[RipeInHand], build: Build) -> _Ripening:
        found = _Ripening(search, nodes, build, Seeds.of(search, nodes) if nodes else None)
        fit = [
            share
            for share in build.seed_shares
            if nodes and build.recipe.fresh(nodes[0].mixture.scaled(100.0 * share), 100.0)
        ]
        found.shares = [share for share in fit if len(found._seeds(share))]
        if found.shares:
            every = sorted(found.shares, reverse=True)
            asked = every if len(every) < MANY_SHARES else sorted({*every[::3], every[-1]})[::-1]
            nexts = zip(asked, [*asked[1:], asked[-1]], strict=True)
            found.ask({share: found._seeds(next_) for share, next_ in nexts})
        return found

    def ask(self, wanted: Mapping[float, Numbers]) -> None:
        """Ask the engine for the courses of some nodes at shares which it was not asked for yet."""
        new = {x: np.unique(each) for x, each in wanted.items() if x not in self._asked}
        if not new:
            return
        assert self.seeds is not None, "only where there are any"
        seeds = [self.seeds.some(each) for each in new.values()]
        every = courses_of(self.search, seeds, self.build.recipe, list(new))
        for (share, numbers), courses in zip(new.items(), every, strict=True):
            by_yeast = leavened(courses.states, courses.rise)
            window = ripe_windows(courses.hours, courses.rise, by_yeast)
            row = np.full(len(self.nodes), -1, dtype=np.intp)
            row[numbers] = np.arange(len(numbers))
            columns = np.array([*window, courses.rise.max(axis=1)])
            self._asked[share] = _Asked(courses, row, columns)

    def _seeds(self, share: float) -> Numbers:
        """The nodes that have enough for a share, by number."""
        grams, keep = self.build.flour_g, self.search.keep_g
        if grams is None:
            return np.arange(len(self.nodes))
        return np.flatnonzero(
            np.where(self._resting, share * grams, STICKS * (share * grams) + keep) <= self._most_g
        )

    @cached_property
    def _resting(self) -> NDArray[np.bool_]:
        return np.array([each.feeding is None for each in self.nodes], dtype=bool)

    @cached_property
    def _most_g(self) -> Floats:
        return np.array([each.most_g for each in self.nodes])

    def windows(self, share: float) -> tuple[Numbers, Floats, Floats, Floats]:
        """The nodes that have enough for it; hours from and until which each is ripe; its rise."""
        seeds = self._seeds(share)
        if share in self._asked:
            found = self._asked[share].of(seeds)
        else:
            more = min(each for each in self._asked if each > share)
            less = max(each for each in self._asked if each < share)
            part = log2(share / less) / log2(more / less)
            found = part * self._asked[more].of(seeds) + (1 - part) * self._asked[less].of(seeds)
        return seeds, found[0], found[1], found[2]

    def asked(self, share: float) -> _Asked:
        """What was asked at a share."""
        return self._asked[share]


@dataclass(frozen=True, eq=False)
class _Asked:
    """Courses of some nodes at one share. row: of each node, -1 without one.

    window: hours from and until which each course is ripe, and its rise at most.
    """

    courses: CoursesOfMany
    row: Numbers
    window: Floats

    def of(self, nodes: Numbers) -> Floats:
        return self.window[:, self.row[nodes]]

    def stood(self, nodes: Numbers, steps: Numbers) -> Iterator[Mixture]:
        """The feed of each of some nodes as it stands so many steps of the grid after it."""
        held = self.courses.held
        for state in self.courses.states[self.row[nodes], steps]:
            # Written out, since `replace` takes longer than all the rest.
            yield Mixture(
                held.flours, held.water, held.salt, held.other, state[None, :], held.record
            )


@dataclass(frozen=True, eq=False)
class Seeds:
    """What is fed of several nodes: their mixtures as one, when, and how warm the flour is then."""

    mixture: Mixture
    at: Sequence[datetime]
    room_c: Floats

    @staticmethod
    def of(search: LevainSearch, nodes: Sequence[RipeInHand]) -> Seeds:
        at = [node.at for node in nodes]
        room_c = np.array([search.room_c(each) for each in at])
        return Seeds(stacked([node.mixture for node in nodes]), at, room_c)

    def some(self, numbers: Numbers) -> Seeds:
        """Those of some of the nodes."""
        mixture = replace(self.mixture, states=self.mixture.states[numbers])
        return Seeds(mixture, [self.at[n] for n in numbers.tolist()], self.room_c[numbers])


def courses_of(
    search: LevainSearch, seeds: Sequence[Seeds], recipe: Recipe, shares: Sequence[float]
) -> list[CoursesOfMany]:
    """The courses of one feed from each of some seeds, by their shares of it; none is more than
    there is to be fed."""
    mixed = []
    for seed, share in zip(seeds, shares, strict=True):
        part = seed.mixture.scaled(100.0 * share)
        fresh = recipe.fresh(part, 100.0)
        assert fresh is not None, "only of shares that leave something to be fed"
        dry = raw(fresh[0], celsius=seed.room_c, record=recipe.record)
        mixed.append(temper([part, dry], fresh[1], recipe.wanted_c, each=True).mixture)
    return hold_several_from(
        mixed,
        recipe.place.surroundings,
        [seed.at for seed in seeds],
        LONGEST_HOLD_H,
        recipe.stand.traits(search.traits),
        follow_h=recipe.stand.follow.hours,
    )


def _times_in(ripe_from: Floats, ripe_until: Floats) -> tuple[Numbers, Numbers, Floats]:
    """Instants of the grid inside ripe windows, of all windows one after the other.

    The number of the window, steps of the grid from its feed, and the distance from its middle
    (0 to 1). A window of NaN has none.
    """
    width = ripe_until - ripe_from
    step = GRID / timedelta(hours=1)
    low = np.ceil((ripe_from + EDGE * width) / step)
    high = np.floor((ripe_until - EDGE * width) / step)
    all_steps = np.arange(LONGEST_HOLD_H / step + 1)
    index, steps = np.nonzero((low[:, None] <= all_steps) & (all_steps <= high[:, None]))
    middle = ((ripe_from + ripe_until) / 2)[index]
    return index, steps, np.abs(steps * step - middle) / (width[index] / 2)


def _penalty(
    search: LevainSearch, build: Build, rise: Floats, custom: Floats, off: Floats
) -> Floats:
    """Of each feed as it is taken. custom: for its seed share."""
    penalty = OFF_CENTRE * off**2 + custom
    if build is search.builds[-1]:
        return penalty + SLUGGISH * np.maximum(0.0, search.awake_rise - rise)
    return penalty if build in search.builds else penalty + EACH_FEED


def _feeding(
    before: RipeInHand, share: float, recipe: Recipe, opens: float, closes: float
) -> Feeding:
    """A feed that is ripe from so many hours after it until so many."""
    start = before.at
    ripe_from, ripe_until = (start + timedelta(hours=each) for each in (opens, closes))
    return Feeding(start, share, recipe, ripe_from, ripe_until, before)


def _node(at: datetime, penalty: float, feeding: Feeding, mixture: Mixture) -> RipeInHand:
    before = feeding.before
    seed_g = before.most_g if before.feeding is None else before.most_g / STICKS
    most_g = seed_g / feeding.seed_share * (1.0 + feeding.recipe.hydration)
    return RipeInHand(at, mixture, penalty, feeding, most_g)


def _hours(start: datetime, end: datetime) -> float:
    return (end - start).total_seconds() / 3600
