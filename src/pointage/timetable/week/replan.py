"""A week from now on, when reality has moved: what is under way is frozen, the rest changes least.

Where everything that is left can still be done as planned, nothing changes. Else the ways from now
on are weighed again, each with a price for whatever it moves. It is an offer: nothing is taken.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from math import inf, isnan

import numpy as np

from pointage.errors import InputError
from pointage.kitchen.capacity import HANDS
from pointage.kitchen.kitchen import CultureAtHand
from pointage.mixture.course import Course
from pointage.mixture.hold import hold
from pointage.mixture.mixture import Mixture
from pointage.timetable.calendar import (
    GRID,
    Calendar,
    calendar_of,
    ceil_to_grid,
)
from pointage.timetable.choice.alternatives import Options, Packed, Packing
from pointage.timetable.choice.memo import Memo
from pointage.timetable.plan import Feed, StepKind, Thread
from pointage.timetable.problem import Problem
from pointage.timetable.ways.amounts import amounts
from pointage.timetable.ways.bands import PlannedFeed, run_thread
from pointage.timetable.ways.chilled import LONGEST_CHILL_H, sourness
from pointage.timetable.ways.levains import (
    FEED_MINUTES,
    OFF_CENTRE,
    WAKING_SHARES,
    Build,
    Feeding,
    RipeInHand,
    fed,
    pinned_at,
)
from pointage.timetable.ways.pinned import begins
from pointage.timetable.week.cultures import LATER, WishWays, leaned, ways_of_week
from pointage.timetable.week.fit import CHEAPEST, WeekWay, ways_of_wish, worth_trying
from pointage.timetable.week.packing import MOST_WORK, pack
from pointage.timetable.week.question import UnderWay as UnderWay  # noqa: PLC0414
from pointage.timetable.week.question import WantedStage, WeekQuestion, WeekWish
from pointage.timetable.week.uses import Counting
from pointage.timetable.week.week import WeekChoice

NOTICED = timedelta(minutes=10)
"""What moves by less, stays (ours)."""
JUST_PAST = timedelta(minutes=30)
"""So long after its window a levain is still taken, at a price, before its bake is lost (ours)."""
EACH_MOVED_HOUR = 0.3  # penalty for each hour by which each step is moved (ours)
EACH_MOVED_BREAD = 3.0  # … by which bread is where a step is wanted then, and once for that (ours)
_HOUR = timedelta(hours=1)


@dataclass(frozen=True, slots=True)
class MovedTask:
    """A step of a wish, by its number, at another time. what: as `tasks` names it."""

    wish: int
    what: str
    before: datetime
    after: datetime


@dataclass(frozen=True, eq=False)
class Replanned:
    """The offer: the threads from now on, None for a wish given up, and what moves."""

    choice: WeekChoice
    threads: tuple[Thread | None, ...]
    moved: tuple[MovedTask, ...]
    given_up: tuple[int, ...] = ()

    @property
    def as_it_was(self) -> bool:
        return not self.moved and not self.given_up


def replan(
    question: WeekQuestion,
    before: Sequence[UnderWay | None],
    *,
    work: float = MOST_WORK,
    allowed: Callable[[int, WeekWay], bool] | None = None,
    memo: Memo | None = None,
) -> Replanned:
    """The week of `question` from its `now` on, with the least change to what was planned.

    Where the plan stands, nothing is searched. Else the levains of those wishes are whose plan does
    not, and those of all only where one of them is not kept so, or is new.

    before: of each wish what was planned, None for a new one; a wish that is baked is no longer
    among them. allowed: whether a way may be taken of the wish of that number; all, where not said.
    memo: what was worked out for other questions.
    """
    ways = _WaysFromNow(question, before, allowed, memo or Memo())
    wishes = ways.found()
    counting = Counting(question, wishes)
    packing = counting.packing()
    packed = pack(_only_planned(packing, wishes, before), work=work)
    while lost := ways.lost(wishes, packed):
        if not ways.search_more(lost):
            break
        wishes = ways.found()
        counting = Counting(question, wishes)
        packing = counting.packing()
        packed = pack(_with_prices(packing, wishes, before, ways.stands), work=work)
    choice = WeekChoice(question, wishes, counting, packing, packed)
    threads = tuple(
        None if way is None else _thread_of(way, each)
        for way, each in zip(choice.ways, before, strict=True)
    )
    return Replanned(
        choice,
        threads,
        tuple(_moved(threads, before)),
        tuple(i for i, thread in enumerate(threads) if thread is None),
    )


class _WaysFromNow:
    """The ways of every wish, of as few with a search for its levain as will do."""

    def __init__(
        self,
        question: WeekQuestion,
        before: Sequence[UnderWay | None],
        allowed: Callable[[int, WeekWay], bool] | None,
        memo: Memo,
    ) -> None:
        self._question, self._before, self._allowed = question, before, allowed
        self._memo = memo
        self._fresh = [i for i, each in enumerate(before) if each is None or not each.begun]
        self._searched: frozenset[int] | None = None  # None: not even what is new
        self._planned: dict[int, tuple[CultureAtHand, WishWays]] = {}
        self._begun = {
            i: _under_way(question.wishes[i], each)
            for i, each in enumerate(before)
            if each is not None and each.begun
        }

    @property
    def stands(self) -> frozenset[int]:
        """The wishes that are not begun and were not searched."""
        return frozenset(self._fresh) - (self._searched or frozenset())

    def lost(self, wishes: Sequence[WishWays], packed: Packed) -> set[int]:
        """Those given up that a search may yet keep: nothing brings back a bake under way."""
        given_up = (i for i, number in enumerate(packed.chosen) if number is None)
        return {i for i in given_up if i not in self._begun or wishes[i].ways}

    def search_more(self, lost: Iterable[int]) -> bool:
        """Search those that were lost, the first time, and then all; False once all were."""
        every = frozenset(self._fresh)
        if self._searched == every:
            return False
        again = self._searched is not None or any(self._before[i] is None for i in lost)
        self._searched = every if again else every & frozenset(lost)
        return True

    def found(self) -> tuple[WishWays, ...]:
        """The ways of each wish in its place."""
        wishes = [self._question.wishes[i] for i in self._fresh]
        found = dict(self._begun)
        for n, ways in ways_of_week(wishes, known=self._without_search, memo=self._memo):
            number = self._fresh[n]
            found[number] = ways
            if number in (self._searched or ()):
                found[number] = _with_planned(ways, self._before[number])
        every = tuple(found[i] for i in range(len(self._before)))
        if self._allowed is None:
            return every
        allowed = self._allowed
        return tuple(
            replace(each, ways=tuple(way for way in each.ways if allowed(i, way)))
            for i, each in enumerate(every)
        )

    def _without_search(self, n: int, wish: WeekWish, batch: str) -> WishWays | None:
        """The ways by the levain that was planned; None of a wish that is to be searched."""
        number = self._fresh[n]
        if number in (self._searched or ()):
            return None
        culture = wish.problem.culture
        known = self._planned.get(number)
        if known is None or known[0] != culture:
            problem, last = wish.problem, wish.last + LATER
            calendar = calendar_of(
                problem.kitchen, problem.now, last, problem.occupied_spans(HANDS)
            )
            # What would be found by a search, nobody has asked: it may cost nothing.
            ways = WishWays(wish, calendar, {}, (), 0.0, batch)
            known = self._planned[number] = culture, _with_planned(ways, self._before[number])
        return known[1]


def tasks(thread: Thread) -> dict[str, datetime]:
    """The instants of a thread that a baker keeps to, by name."""
    found = {f"feed {n + 1}": each.at for n, each in enumerate(thread.feeds)}
    found |= {f"soak {n + 1}": at for n, at in enumerate(thread.soaks)}
    found |= {"mix": thread.mix, "divide": thread.divide}
    return found | {f"bake {n + 1}": at for n, at in enumerate(thread.loads)}


def _moved(
    threads: Sequence[Thread | None], before: Sequence[UnderWay | None]
) -> Iterator[MovedTask]:
    for number, (thread, was) in enumerate(zip(threads, before, strict=True)):
        if thread is None or was is None:
            continue
        old = tasks(was.thread)
        for what, at in tasks(thread).items():
            if what not in old or abs(at - old[what]) >= NOTICED:
                yield MovedTask(number, what, old.get(what, at), at)


def _as_planned(thread: Thread, was: UnderWay) -> bool:
    """Whether it is what was planned, but for less than anyone would notice."""
    old, new = tasks(was.thread), tasks(thread)
    return (
        old.keys() == new.keys()
        and was.thread.retarded is thread.retarded
        and [each.seed_share for each in was.thread.feeds]
        == [each.seed_share for each in thread.feeds]
        and all(abs(at - old[what]) < NOTICED for what, at in new.items())
    )


def _thread_of(way: WeekWay, was: UnderWay | None) -> Thread:
    """The thread of a way: as it was planned where that is what it is."""
    thread = way.thread()
    if was is not None and _as_planned(thread, was):
        return was.thread
    return thread


def _with_planned(wish: WishWays, was: UnderWay | None) -> WishWays:
    """With the ways of the levain that was planned among those weighed, where it is still good."""
    if was is None or was.begun:
        return wish
    planned = _planned_levain(wish.wish.problem, was.thread, wish.calendar)
    if planned is None:
        return wish
    ways = ways_of_wish(wish.wish, {planned.at: planned}, wish.calendar, hot=True)
    every = leaned(wish.wish, ways)
    kept = [each for each in every if _as_planned(each.thread(), was)]  # in a hot oven, and not
    return replace(wish, ways=(*kept, *worth_trying(every, CHEAPEST)[0], *wish.ways))


def _planned_levain(problem: Problem, thread: Thread, calendar: Calendar) -> RipeInHand | None:
    """The levain that was planned, in hand when its dough is mixed; None where it cannot be so."""
    feeds = thread.feeds
    if any(it.at < problem.now or not calendar.free(it.at, FEED_MINUTES) for it in feeds):
        return None
    problem = problem.baked_in(thread.oven) if thread.oven else problem
    try:
        run = run_thread(problem, thread, problem.likeliest, amounts(problem, feeds).masses)
    except InputError:  # there is too little of its culture now
        return None
    hand = _fed_so_far(problem, thread, [each.course for each in run.feeds], len(feeds))
    assert hand.feeding is not None
    start, end = hand.feeding.ripe_from, hand.feeding.ripe_until
    if (kept := _in_the_cold(problem, run.feeds[-1])) is not None:
        start, end = kept[0], kept[1]
    if not start - NOTICED <= thread.mix <= end + NOTICED:
        return None
    off = 2 * abs(thread.mix - start - (end - start) / 2) / (end - start) if end > start else 0.0
    return replace(
        hand, at=thread.mix, mixture=run.feeds[-1].left, penalty=OFF_CENTRE * min(off, 1.0) ** 2
    )


def _only_planned(
    packing: Packing, wishes: Sequence[WishWays], before: Sequence[UnderWay | None]
) -> Packing:
    """The same choice with nothing but what was planned, or with the step that is wanted at another
    time, where the levain that was planned will do for it."""
    options = []
    for own, wish, was in zip(packing.wishes, wishes, before, strict=True):
        alternatives = []
        for each, way in zip(own.alternatives, wish.ways, strict=True):
            thread, asked = way.thread(), wish.wish
            if was is not None and asked.pin is not None and _as_wanted(asked, thread):
                alternatives.append(
                    replace(each, penalty=each.penalty + _price(thread, was, asked))
                )
            elif was is not None and asked.pin is None and _as_planned(thread, was):
                alternatives.append(each)
            else:  # in its place, so that its number stays: it costs more than giving it up
                alternatives.append(replace(each, penalty=2 * own.given_up, leaves=None))
        options.append(Options(tuple(alternatives), own.given_up))
    return replace(packing, wishes=tuple(options))


def _with_prices(
    packing: Packing,
    wishes: Sequence[WishWays],
    before: Sequence[UnderWay | None],
    stands: Collection[int],
) -> Packing:
    """The same choice with a price for whatever is moved; what stands gains nothing by moving."""
    options = []
    for i, (own, wish, was) in enumerate(zip(packing.wishes, wishes, before, strict=True)):
        threads = [way.thread() for way in wish.ways]
        least = -inf
        if was is not None and i in stands:
            planned = (
                each.penalty
                for each, thread in zip(own.alternatives, threads, strict=True)
                if _as_planned(thread, was)
            )
            least = max(planned, default=-inf)
        priced = [
            replace(each, penalty=max(each.penalty, least) + _price(thread, was, wish.wish))
            for each, thread in zip(own.alternatives, threads, strict=True)
        ]
        options.append(replace(own, alternatives=tuple(priced)))
    return replace(packing, wishes=tuple(options))


def _price(thread: Thread, was: UnderWay | None, wish: WeekWish) -> float:
    if was is None:
        return 0.0
    old = tasks(was.thread)
    price = 0.0
    for what, at in tasks(thread).items():
        if what not in old or (moved := abs(at - old[what])) < NOTICED:
            continue
        if wish.pin is not None and what.startswith("bake"):
            price += EACH_MOVED_BREAD * (1 + moved / _HOUR)
        else:
            price += EACH_MOVED_HOUR * moved / _HOUR
    return price + EACH_MOVED_HOUR * len(tasks(thread).keys() ^ old.keys())


def _as_wanted(wish: WeekWish, thread: Thread) -> bool:
    """Whether the step that is wanted at a time is there then."""
    assert wish.pin is not None
    problem = wish.problem
    at = begins(wish.pin, thread, len(problem.builds), problem.process)
    return at is not None and abs(at - wish.pin.at) < NOTICED


def _under_way(wish: WeekWish, was: UnderWay) -> WishWays:
    """The ways on from what was done."""
    problem = wish.problem.baked_in(was.thread.oven)
    wish = replace(wish, problem=problem)
    thread = was.thread
    masses = amounts(problem, thread.feeds).masses
    run = run_thread(problem, thread, problem.likeliest, masses)
    last = wish.last + LATER
    calendar = _from_now(problem, thread.feeds[0].at, last)
    hand = _fed_so_far(problem, thread, [each.course for each in run.feeds], was.feeds)
    if was.mixed:
        levains = {thread.mix: replace(hand, at=thread.mix, mixture=run.feeds[-1].left)}
    else:
        fed_last = run.feeds[was.feeds - 1]
        levains = _onward(wish, thread, fed_last, hand=hand, was=was, calendar=calendar)
    ways_on = ways_of_wish(wish, levains, calendar, hot=False, done_soaks=thread.soaks)
    every = list(leaned(wish, ways_on))
    if was.divided:
        near = [way for way in every if abs(way.way.divide - thread.divide) <= GRID / 2]
        every = [
            replace(way, way=replace(way.way, divide=thread.divide, shaped=thread.shaped))
            for way in near
            if way.way.shaped <= way.loads[0]
        ]
    every = [way for way in every if _still_ahead(way, was, problem.now)]
    ways, left_out = worth_trying(every)
    return WishWays(wish, calendar, levains, tuple(ways), left_out, f"{id(wish)}")


def _still_ahead(way: WeekWay, was: UnderWay, now: datetime) -> bool:
    """Whether nothing that is left to do would have been before now."""
    thread = way.thread()
    left = [each.at for each in thread.feeds[was.feeds :]]
    left += [] if was.mixed else [thread.mix]
    left += [] if was.divided else [thread.divide]
    if way.stage is WantedStage.BAKED:
        left += [thread.preheat, *thread.loads]
    return all(at >= now for at in left)


def _from_now(problem: Problem, first: datetime, last: datetime) -> Calendar:
    """A calendar from the first feed on, in which what is past hinders nothing."""
    now = problem.now
    ahead = calendar_of(problem.kitchen, now, last, problem.occupied_spans(HANDS))
    blocked = tuple((max(start, now), end) for start, end in ahead.blocked if end > now)
    return Calendar(ceil_to_grid(first), ahead.last, blocked)


def _after(course: Course, at: datetime) -> Mixture:
    return course.after(max(0.0, (at - course.start) / _HOUR))


def _fed_so_far(
    problem: Problem, thread: Thread, courses: Sequence[Course], feeds: int
) -> RipeInHand:
    """What the last feed that was done has made, as a node to go on from."""
    recipes = problem.recipes(len(thread.feeds))
    node = RipeInHand(thread.feeds[0].at, courses[0].after(0.0), 0.0, None, inf)
    for feed, recipe, course in list(zip(thread.feeds, recipes, courses, strict=True))[:feeds]:
        ripe_from, ripe_until = (float(each[0]) for each in course.ripe())
        feeding = Feeding(
            feed.at,
            feed.seed_share,
            recipe,
            _instant(feed, ripe_from),
            _instant(feed, ripe_until),
            node,
            feed.chilled,
        )
        node = RipeInHand(feed.at, course.after(0.0), 0.0, feeding, inf)
    return node


def _instant(feed: Feed, hours: float) -> datetime:
    """That many hours after a feed; a day after it where it never is."""
    return feed.at + timedelta(hours=24.0 if isnan(hours) else hours)


def _in_the_cold(problem: Problem, fed: PlannedFeed) -> tuple[datetime, datetime, Course] | None:
    """From and until when a levain that goes into the fridge is ripe there, and its course."""
    if fed.cold is None or fed.chilled is None or problem.fridge is None:
        return None
    there = problem.stands.fed(fed.mixed.mixture, problem.fridge, last=True)
    cold = hold(
        fed.cold.after(0.0), problem.fridge.surroundings, fed.chilled, LONGEST_CHILL_H,
        there.traits(problem.likeliest), follow_h=there.follow.hours,
    )  # fmt: skip
    edges = (fed.course.after(float(each[0])).states for each in fed.course.ripe())
    ripe_at, past = (float(sourness(each)[0]) for each in edges)
    sour = sourness(cold.states)[0]
    inside = np.flatnonzero((sour >= ripe_at) & (sour <= past))
    if not len(inside):
        return None
    first, last = (cold.at(float(cold.hours[row])) for row in (inside[0], inside[-1]))
    return first, last, cold


def _onward(
    wish: WeekWish,
    thread: Thread,
    last: PlannedFeed,
    *,
    hand: RipeInHand,
    was: UnderWay,
    calendar: Calendar,
) -> dict[datetime, RipeInHand]:
    """Levains in hand from what stands now: taken while it is ripe, and fed as often as planned."""
    assert hand.feeding is not None
    problem = wish.problem
    start, end = hand.feeding.ripe_from, hand.feeding.ripe_until
    kept = _in_the_cold(problem, last)
    if kept is not None:  # in the fridge it is ripe as long as there
        start, end = kept[0], kept[1]
    middle, half = start + (end - start) / 2, (end - start) / 2
    nodes: dict[datetime, RipeInHand] = {}
    at = ceil_to_grid(max(problem.now, start))
    planned = thread.feeds[was.feeds].at if was.feeds < len(thread.feeds) else thread.mix
    instants = [planned] if max(problem.now, start) <= planned <= end + JUST_PAST else []
    while at <= end + JUST_PAST:
        instants.append(at)
        at += GRID
    for instant in instants:
        off = abs(instant - middle) / half if half else 0.0
        if calendar.free(instant, FEED_MINUTES):
            mixture = _after(last.course if kept is None else kept[2], instant)
            nodes[instant] = replace(hand, at=instant, mixture=mixture, penalty=OFF_CENTRE * off**2)
    search = replace(problem.levain_search(calendar), pin=wish.pin)
    waking = len(thread.feeds) - len(problem.builds)
    left = [Build(search.waking, WAKING_SHARES)] * max(0, waking - was.feeds)
    left += list(search.builds[max(0, was.feeds - waking) :])
    for number, build in enumerate(left, start=was.feeds + 1):
        kind = StepKind.FEED if number <= waking else StepKind.BUILD
        wanted = pinned_at(search, kind, number - (0 if number <= waking else waking))
        nodes = fed(search, list(nodes.values()), build, None, wanted)
    return nodes
