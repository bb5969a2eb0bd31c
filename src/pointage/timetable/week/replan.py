"""A week from now on, when reality has moved: what is under way is frozen, the rest changes least.

Where everything that is left can still be done as planned, nothing changes. Else the ways from now
on are weighed again, each with a price for whatever it moves. It is an offer: nothing is taken.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from functools import partial
from math import inf

from pointage.errors import InputError
from pointage.kitchen.capacity import HANDS
from pointage.kitchen.kitchen import CultureAtHand
from pointage.timetable.calendar import (
    Calendar,
    calendar_of,
)
from pointage.timetable.choice.alternatives import Options, Packed, Packing
from pointage.timetable.choice.memo import Memo
from pointage.timetable.choice.proof import MOST_WORK
from pointage.timetable.plan import Thread
from pointage.timetable.problem import Problem
from pointage.timetable.rescue.kept_to import NOTICED as NOTICED  # noqa: PLC0414
from pointage.timetable.rescue.kept_to import as_planned
from pointage.timetable.rescue.kept_to import tasks as tasks  # noqa: PLC0414
from pointage.timetable.rescue.ways_on import fed_so_far, in_the_cold, ways_on
from pointage.timetable.ways.amounts import amounts
from pointage.timetable.ways.bands import run_thread
from pointage.timetable.ways.levains import (
    FEED_MINUTES,
    OFF_CENTRE,
    RipeInHand,
)
from pointage.timetable.ways.pinned import begins
from pointage.timetable.week.cultures import LATER, WishWays, leaned, ways_of_week
from pointage.timetable.week.fit import CHEAPEST, NotWeighed, WeekWay, ways_of_wish, worth_trying
from pointage.timetable.week.packing import chosen
from pointage.timetable.week.question import UnderWay as UnderWay  # noqa: PLC0414
from pointage.timetable.week.question import WeekQuestion, WeekWish
from pointage.timetable.week.uses import Counting
from pointage.timetable.week.week import WeekChoice

EACH_MOVED_HOUR = 0.3  # penalty for each hour by which each step is moved (ours)
EACH_MOVED_BREAD = 3.0  # … by which bread is where a step is wanted then, and once for that (ours)
_HOUR = timedelta(hours=1)


@dataclass(frozen=True, slots=True)
class MovedTask:
    """A step of a wish, by its number, at another time. what: as `tasks` names it.

    "no chill 2" of a levain that is not put into the fridge after all, "no warm 2" of one that
    stays there.
    """

    wish: int
    what: str
    before: datetime
    after: datetime


@dataclass(frozen=True, eq=False)
class Replanned:
    """The offer: the threads from now on, None for a wish given up, and what moves.

    anew: the wishes whose levain is built anew.
    """

    choice: WeekChoice
    threads: tuple[Thread | None, ...]
    moved: tuple[MovedTask, ...]
    given_up: tuple[int, ...] = ()
    anew: tuple[int, ...] = ()

    @property
    def as_it_was(self) -> bool:
        return not self.moved and not self.given_up and not self.anew


def replan(
    question: WeekQuestion,
    before: Sequence[UnderWay | None],
    *,
    work: float = MOST_WORK,
    allowed: Callable[[int, WeekWay], bool] | None = None,
    anew: Collection[int] = (),
    memo: Memo | None = None,
) -> Replanned:
    """The week of `question` from its `now` on, with the least change to what was planned.

    Where the plan stands, nothing is searched. Else the levains of those wishes are whose plan does
    not, or that are new, and those of all only where one of them is not kept so. Where nothing
    comes of a levain that stands, another is built from the jar.

    before: of each wish what was planned, None for a new one; a wish that is baked is no longer
    among them. allowed: whether a way may be taken of the wish of that number; all, where not said.
    anew: the wishes whose levain is built anew, whatever becomes of the one that stands.
    memo: what was worked out for other questions.
    """
    memo = memo or Memo()
    ways = _WaysFromNow(question, before, allowed, anew, memo)
    wishes = ways.found()
    counting = Counting(question, wishes, memo)
    packing = counting.packing()
    packed = chosen(_only_planned(packing, wishes, before), work=work).packed
    while lost := ways.lost(wishes, packed):
        if not ways.search_more(lost):
            break
        wishes = ways.found()
        counting = Counting(question, wishes, memo)
        packing = counting.packing()
        packed = chosen(_with_prices(packing, wishes, before, ways.stands), work=work).packed
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
        tuple(i for i in sorted(ways.anew) if threads[i] is not None),
    )


class _WaysFromNow:
    """The ways of every wish, of as few with a search for its levain as will do."""

    def __init__(
        self,
        question: WeekQuestion,
        before: Sequence[UnderWay | None],
        allowed: Callable[[int, WeekWay], bool] | None,
        anew: Collection[int],
        memo: Memo,
    ) -> None:
        self._question, self._before, self._allowed = question, before, allowed
        self._memo = memo
        jars = {i: each.jar for i, each in enumerate(before) if each and each.may_begin_anew}
        self._jars = {i: jar for i, jar in jars.items() if jar is not None}
        self.anew = {i for i in anew if i in self._jars}
        self._fresh = [i for i, each in enumerate(before) if each is None or not each.begun]
        self._searched: frozenset[int] | None = None  # None: not even what is new
        self._planned: dict[int, tuple[CultureAtHand, WishWays]] = {}
        self._begun = {
            i: ways_on(question.wishes[i], each, otherwise=False)
            for i, each in enumerate(before)
            if each is not None and each.begun and i not in self.anew
        }
        self._narrow = {i for i in self._begun if (was := before[i]) and not was.mixed}

    @property
    def stands(self) -> frozenset[int]:
        """The wishes that are not begun and were not searched."""
        return frozenset(self._fresh) - (self._searched or frozenset())

    def lost(self, wishes: Sequence[WishWays], packed: Packed) -> set[int]:
        """Those given up that a search may yet keep: nothing brings back a dough under way."""
        given_up = (i for i, number in enumerate(packed.chosen) if number is None)
        return {
            i
            for i in given_up
            if i not in self._begun
            or wishes[i].ways
            or i in self._narrow
            or self._may_begin_anew(i)
        }

    def _may_begin_anew(self, number: int) -> bool:
        return number in self._jars and number not in self.anew

    def search_more(self, lost: Iterable[int]) -> bool:
        """Search those that were lost, the first time, and then all; False once all were.

        A levain that stands may then go otherwise than planned; where nothing comes of that, it is
        built anew.
        """
        every, lost = frozenset(self._fresh), frozenset(lost)
        was_all = self._searched == every and not self._narrow
        again = self._searched is not None
        for i in self._narrow if again else self._narrow & lost:
            was = self._before[i]
            assert was is not None
            self._begun[i] = ways_on(self._question.wishes[i], was)
        self._narrow -= self._narrow if again else lost
        hopeless = {
            i for i in lost if self._may_begin_anew(i) and (was_all or not self._begun[i].ways)
        }
        self.anew |= hopeless
        self._searched = every if again else every & lost
        return bool(hopeless) or not was_all

    def found(self) -> tuple[WishWays, ...]:
        """The ways of each wish in its place."""
        numbers = sorted({*self._fresh, *self.anew})
        wishes = [self._from_jar(i) for i in numbers]
        known = partial(self._without_search, numbers)
        found = dict(self._begun)
        for n, ways in ways_of_week(wishes, known=known, memo=self._memo):
            number = numbers[n]
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

    def _from_jar(self, number: int) -> WeekWish:
        """A wish that is not begun, or that is to be begun anew."""
        wish = self._question.wishes[number]
        if number not in self.anew:
            return wish
        jar = self._jars[number]
        problem = replace(wish.problem, culture=jar.culture, believed=jar.believed)
        return replace(wish, problem=problem)

    def _without_search(
        self, numbers: Sequence[int], n: int, wish: WeekWish, batch: str
    ) -> WishWays | None:
        """The ways by the levain that was planned; None of a wish that is to be searched."""
        number = numbers[n]
        if number in (self._searched or ()) or number in self.anew:
            return None
        culture = wish.problem.culture
        known = self._planned.get(number)
        if known is None or known[0] != culture:
            problem, last = wish.problem, wish.last + LATER
            calendar = calendar_of(
                problem.kitchen, problem.now, last, problem.occupied_spans(HANDS)
            )
            # What would be found by a search, nobody has asked: it may cost nothing.
            ways = WishWays(wish, calendar, {}, (), NotWeighed(), batch)
            known = self._planned[number] = culture, _with_planned(ways, self._before[number])
        return known[1]


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
        for what, at in old.items():
            if what.startswith(("chill", "warm")) and what not in tasks(thread):
                yield MovedTask(number, f"no {what}", at, at)


def _thread_of(way: WeekWay, was: UnderWay | None) -> Thread:
    """The thread of a way: as it was planned where that is what it is."""
    thread = way.thread()
    if was is not None and as_planned(thread, was):
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
    kept = [each for each in every if as_planned(each.thread(), was)]  # in a hot oven, and not
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
    hand = fed_so_far(problem, thread, [each.course for each in run.feeds], len(feeds))
    assert hand.feeding is not None
    start, end = hand.feeding.ripe_from, hand.feeding.ripe_until
    if (kept := in_the_cold(problem, run.feeds[-1])) is not None:
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
        asked = wish.wish
        anew = was is not None and not _as_wanted(asked, was.thread)
        for each, way in zip(own.alternatives, wish.ways, strict=True):
            thread = way.thread()
            if was is not None and anew and _as_wanted(asked, thread):
                alternatives.append(
                    replace(each, penalty=each.penalty + _price(thread, was, asked))
                )
            elif was is not None and not anew and as_planned(thread, was):
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
                if as_planned(thread, was)
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
    """Whether the step that is wanted at a time is there then; so it is where none is wanted."""
    if wish.pin is None:
        return True
    problem = wish.problem
    at = begins(wish.pin, thread, len(problem.builds), problem.process)
    return at is not None and abs(at - wish.pin.at) < NOTICED
