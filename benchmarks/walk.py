"""A week as it is lived through: at each reading and each step that is off, it is replanned.

Nature gives each culture traits of its own, and each bake a pace. The baker follows the signs
(`timetable.baker`), so every step falls where they put it. She writes her readings down, and what
they teach of the culture is counted as the product does (`mixture.learning`): of a bake under way
by its own pace, of those to come by one that nobody knows yet. Then the bakes are planned again
from that minute on, with what was done frozen (`timetable.week.replan`), as the desk's offers are;
one whose levain is unlikely to be ripe in time besides with another built from the jar. An offer is
taken where, by what is believed then, it keeps more wishes than going on by the signs does.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import UTC, datetime, timedelta
from typing import NamedTuple

import numpy as np

from pointage.errors import InputError
from pointage.kitchen.kitchen import CultureAtHand
from pointage.mixture.learning.observation import RISE_ERROR, Rise
from pointage.mixture.learning.surface import FREEDOM
from pointage.mixture.learning.update import Posterior, Watched, learn
from pointage.mixture.traits import Traits, median_traits
from pointage.timetable.baker.life import Lived
from pointage.timetable.baker.looking import LOOK_MIN, Believed
from pointage.timetable.calendar import GRID, Calendar, ceil_to_grid, floor_to_grid
from pointage.timetable.occupied import Occupied, occupied_by
from pointage.timetable.plan import Thread
from pointage.timetable.problem import Problem
from pointage.timetable.timetable import planned
from pointage.timetable.upkeep.keeping import kept_after
from pointage.timetable.ways.amounts import amounts
from pointage.timetable.ways.bands import run_thread
from pointage.timetable.week.cultures import NEAR
from pointage.timetable.week.odds import followed, odds_on
from pointage.timetable.week.question import Jar, WantedStage, WeekQuestion, WeekWish
from pointage.timetable.week.replan import NOTICED, Replanned, UnderWay, replan
from pointage.timetable.week.week import WeekChoice

READINGS = 9  # the seed of how nature's readings err
BETTER = 0.1
"""So many more wishes must an offer keep, by what is believed, to be taken, and so much less likely
must one have become to ask (ours; with 0.03 there are more moves, and no more is kept)."""
WORTH_ASKING = 0.9
"""A bake that is not begun and is less likely than that to be kept, and than it was planned, is
searched anew."""
WORTH_BUILDING = 0.6
"""A bake whose levain stands and is less likely than that to be kept is asked for with another."""
FAR_OFF = timedelta(hours=1)
"""A step done so far from its time is a cause to replan, and a look that tells something."""
NOTICED_SHARE = 0.1
"""Of a stand, so far ahead or behind is a cause to replan, as on the desk."""
MOST_WORK = 2.0  # of the solver, for each offer


class Happened(NamedTuple):
    """Something at an instant: a reading of a mixture, by its number, or a step done."""

    at: datetime
    wish: int
    step: str = ""
    mixture: int = -1
    rise: float = 0.0
    news: bool = False
    off: timedelta = timedelta()


@dataclass(eq=False)
class InHand:
    """A wish with its plan, and its life by that plan. traits: nature's, of this bake.

    so_far: what of it was done by the `now` of its problem, with what had happened, as `before`.
    asked: how likely it was to be kept when that was asked last.
    """

    number: int
    wish: WeekWish
    traits: Traits
    problem: Problem
    stage: WantedStage
    thread: Thread
    ready: datetime
    so_far: UnderWay | None = None
    before: tuple[Happened, ...] = ()
    life: Lived = field(init=False)
    odds: float = field(init=False)
    asked: float = field(init=False)
    known: tuple[Believed, ...] = field(init=False)
    calendar: Calendar = field(init=False)

    def __post_init__(self) -> None:
        follower = followed(self.problem, self.stage, self.thread, self.so_far)
        self.odds = self.asked = float(np.mean(follower.lived.kept))
        self.calendar = follower.baker.calendar
        self.known = follower.baker.known
        self.life = follower.baker.lives(self.traits, READINGS + self.number)

    def instant(self, step: int) -> datetime:
        return floor_to_grid(self.thread.feeds[0].at) + int(step) * GRID

    @property
    def feeds(self) -> list[datetime]:
        return [self.thread.feeds[0].at, *(self.instant(each[0]) for each in self.life.begun[1:])]

    @property
    def mix(self) -> datetime:
        return self.instant(self.life.taken[0])

    @property
    def divide(self) -> datetime:
        assert self.life.dough is not None
        return self.instant(self.life.dough.divided[0])

    def happens(self) -> Iterator[Happened]:
        """All that happens of it, but for its oven."""
        since = max((each.at for each in self.before), default=datetime.min.replace(tzinfo=UTC))
        if self.so_far is not None:
            since = max(since, self.problem.now - GRID)
        yield from self.before
        yield from (each for each in self._by_the_plan() if each.at > since)

    def _by_the_plan(self) -> Iterator[Happened]:
        thread, number = self.thread, self.number
        starts = [*self.feeds, self.mix]
        for n, (at, plan) in enumerate(zip(self.feeds, thread.feeds, strict=True)):
            yield Happened(at, number, f"feed {n}", off=at - plan.at)
        yield Happened(self.mix, number, "mix", off=self.mix - thread.mix)
        yield Happened(self.divide, number, "divide", off=self.divide - thread.divide)
        for n, (start, found) in enumerate(zip(starts, self.life.found, strict=False)):
            if found.look is None or found.at_look is None or found.at_last is None:
                continue  # it was used before
            look, last = int(found.look[0]), int(found.rows[0])
            if look:
                rise = float(found.at_look[0])
                news = self._is_news(n, look, rise)
                yield Happened(start + look * GRID, number, "", n, rise, news=news)
            if last != look:
                yield Happened(start + last * GRID, number, "", n, float(found.at_last[0]))
        yield from self._overdue(starts)

    def _overdue(self, starts: Sequence[datetime]) -> Iterator[Happened]:
        """Looks at what is not as wanted an hour after its time, with what is read there."""
        planned = [*(each.at for each in self.thread.feeds[1:]), self.thread.mix]
        taken = [*self.feeds[1:], self.mix]
        rng = np.random.default_rng(READINGS + self.number)
        for n, (start, due, at) in enumerate(zip(starts, planned, taken, strict=False)):
            look = ceil_to_grid(due + FAR_OFF)
            while look < at and not self.calendar.free(look, LOOK_MIN):
                look += GRID
            rises = self.life.believed[n].rise[0]
            row = int((look - start) / GRID)
            if look < at and 0 < row < len(rises):
                rise = float(rises[row] + RISE_ERROR * rng.standard_t(FREEDOM))
                yield Happened(look, self.number, "", n, rise, news=True)

    def _is_news(self, mixture: int, look: int, rise: float) -> bool:
        """Whether what was read is ahead or behind by more than 10 min and a tenth of its stand."""
        middle = np.median(self.known[mixture].rise, axis=0)
        peak = int(middle.argmax())
        usual = int(np.searchsorted(np.maximum.accumulate(middle[: peak + 1]), rise))
        stand = float(np.median(self.known[mixture].comes))
        return abs(usual - look) > max(NOTICED / GRID, NOTICED_SHARE * stand)

    def under_way(self, now: datetime) -> UnderWay:
        """How far it is: what was done as it was done, the rest as planned."""
        done = sum(at <= now for at in self.feeds)
        feeds = []
        for n, (at, feed) in enumerate(zip(self.feeds, self.thread.feeds, strict=True)):
            there, again = (
                self.instant(step) if (step := int(steps[n][0])) >= 0 else None
                for steps in (self.life.put, self.life.out)
            )
            if at > now:
                feeds.append(feed)
            elif there is not None and there <= now:
                out = again if again is not None and again <= now else None
                out = out or (feed.warmed if feed.warmed and feed.warmed > now else None)
                feeds.append(replace(feed, at=at, chilled=there, warmed=out))
            elif feed.chilled is not None:
                put_there = max(now, feed.chilled)
                out = None if feed.warmed is None or feed.warmed <= put_there else feed.warmed
                feeds.append(replace(feed, at=at, chilled=put_there, warmed=out))
            else:
                feeds.append(replace(feed, at=at))
        thread = replace(self.thread, feeds=tuple(feeds))
        mixed, divided = self.mix <= now, self.divide <= now
        if mixed:
            thread = replace(thread, mix=self.mix)
        if divided:
            off = self.divide - thread.divide
            thread = replace(thread, divide=self.divide, shaped=thread.shaped + off)
        return UnderWay(thread, len(feeds) if mixed else done, mixed, divided and mixed)

    def past(self, now: datetime) -> tuple[Happened, ...]:
        """What happened by then."""
        return tuple(sorted(each for each in self.happens() if each.at <= now))


@dataclass(eq=False)
class Walk:
    """A week from its plan on. natures: the traits of each wish's bake, by its number.

    searched: whether what is not begun is searched anew where it has become unlikely.
    """

    question: WeekQuestion
    natures: Mapping[int, Traits]
    twins: Mapping[str, str]
    searched: bool = True
    bakes: dict[int, InHand] = field(default_factory=dict)
    beliefs: dict[str, Posterior] = field(default_factory=dict)
    jars: dict[str, CultureAtHand] = field(default_factory=dict)
    unheard: set[str] = field(default_factory=set)
    left: dict[str, list[Watched]] = field(default_factory=lambda: defaultdict(list))
    offered: int = 0
    taken: int = 0
    anew: int = 0

    def begin(self, choice: WeekChoice) -> None:
        for number, (wish, way) in enumerate(zip(self.question.wishes, choice.ways, strict=True)):
            if way is not None:
                what = (way.problem, way.stage, way.thread(), way.ready)
                self.bakes[number] = InHand(number, wish, self.natures[number], *what)

    def live(self) -> None:
        """Go through all that happens, in its order, and replan as it does."""
        now = self.question.now
        while True:
            coming = [each for it in self.bakes.values() for each in it.happens() if each.at > now]
            if not coming:
                return
            now = min(each.at for each in coming)
            here = [each for each in coming if each.at == now]
            for each in here:
                if each.step.startswith("feed"):
                    self._fed(self.bakes[each.wish], now)
            read = {self._culture(each.wish) for each in here if each.mixture >= 0}
            self.unheard |= read
            off = {each.wish for each in here if abs(each.off) > FAR_OFF}
            looked = {self._culture(each.wish) for each in here if each.news or each.wish in off}
            begin = {self._culture(each.wish) for each in here if each.step == "feed 0"}
            for name in sorted(self.unheard if looked else self.unheard & begin):
                self._learn(name, now)
                self._follow(name, now)
            if looked:
                self._replan(now, looked)

    def _culture(self, number: int) -> str:
        name = self.question.wishes[number].problem.culture.name
        return self.twins.get(name, name)

    def _fed(self, bake: InHand, now: datetime) -> None:
        """With its last build a jar is fed to be kept, once no other bake near takes from it."""
        name = bake.problem.culture.name
        if bake.feeds[-1] != now:
            return
        near = (
            each
            for each in self.bakes.values()
            if each.problem.culture.name == name and abs(each.wish.last - bake.wish.last) <= NEAR
        )
        if any(each.feeds[-1] > now for each in near):
            return
        feeds = bake.under_way(now).thread.feeds
        self.jars[name] = kept_after(bake.problem, amounts(bake.problem, feeds), feeds)

    def _learn(self, name: str, now: datetime) -> None:
        seen = [
            watched
            for number, bake in sorted(self.bakes.items())
            if self._culture(number) == name
            for watched in watched_of(bake, now)
        ]
        seen = [*self.left[name], *seen]
        if seen:
            seed = int(now.timestamp()) % 9973
            self.beliefs[name] = learn(None, seen, seed)
        self.unheard.discard(name)

    def _follow(self, name: str, now: datetime) -> None:
        """What begins from now on is followed by what is believed now, as on the desk."""
        for number, bake in self.bakes.items():
            if self._culture(number) == name and bake.feeds[0] >= now:
                known = self._believed(number, latest=False)
                what = (replace(bake.problem, believed=known), bake.stage, bake.thread, bake.ready)
                self.bakes[number] = InHand(number, bake.wish, bake.traits, *what)
                self.bakes[number].asked = bake.asked

    def _believed(self, number: int, *, latest: bool) -> Traits | None:
        belief = self.beliefs.get(self._culture(number))
        if belief is None:
            return None
        return belief.latest if latest else belief.traits

    def _replan(self, now: datetime, looked: Collection[str]) -> None:
        at = ceil_to_grid(now)
        lit = [each for each in self.bakes.values() if each.thread.preheat <= at]
        occupied: tuple[Occupied, ...] = tuple(
            taken
            for each in lit
            if each.thread.loads[-1] + timedelta(hours=3) > at
            for taken in occupied_by(planned(each.problem, each.thread), self.question.kitchen)
            if taken.end > at
        )
        numbers, wishes, before = [], [], []
        for number, asked in enumerate(self.question.wishes):
            bake = self.bakes.get(number)
            if bake in lit or asked.last <= at:
                continue
            if bake is None and self._culture(number) not in looked:
                continue  # nothing was learned that could make a plan of it
            was = None if bake is None else replace(bake.under_way(now), jar=self._jar(asked))
            begun = was is not None and was.begun
            known = self._believed(number, latest=begun)
            if bake is not None and begun:
                problem = replace(bake.problem, believed=known or bake.problem.believed)
            else:
                culture = self.jars.get(asked.problem.culture.name, asked.problem.culture)
                problem = replace(asked.problem, believed=known, culture=culture)
            problem = replace(problem, now=at, ready=asked.last, occupied=occupied)
            numbers.append(number)
            wishes.append(replace(asked, problem=problem))
            before.append(was)
        if not numbers:
            return
        question = WeekQuestion(self.question.kitchen, at, tuple(wishes))
        asked_anew, unlikely, worse = list(before), [], False
        for n, number in enumerate(numbers):
            bake, was = self.bakes.get(number), before[n]
            if bake is None or was is None or self._culture(number) not in looked:
                continue
            odds = self._odds(number, was.thread, was, at)
            fell = odds < bake.asked - BETTER
            worse |= fell
            bake.asked = odds if fell else max(odds, bake.asked)
            if not was.begun and odds < min(WORTH_ASKING, bake.odds - BETTER) and self.searched:
                asked_anew[n] = None if fell else was
            if was.may_begin_anew and odds < WORTH_BUILDING and fell:
                unlikely.append(n)
        if not worse:
            return  # by what is believed now, nothing is less likely than when it was asked last
        if not self._offer(numbers, question, asked_anew, now) and unlikely:
            self._offer(numbers, question, before, now, unlikely)

    def _jar(self, asked: WeekWish) -> Jar:
        name = asked.problem.culture.name
        culture = self.jars.get(name, asked.problem.culture)
        known = self.beliefs.get(self.twins.get(name, name))
        return Jar(culture, None if known is None else known.latest)

    def _odds(self, number: int, thread: Thread, was: UnderWay | None, at: datetime) -> float:
        """By what is believed now, that a wish is kept by who goes on by the signs."""
        bake = self.bakes[number]
        begun = was is not None and was.begun
        problem = replace(bake.problem, now=at)
        known = self._believed(number, latest=begun)
        if known is not None:
            problem = replace(problem, believed=known)
        if was is not None and begun:
            return odds_on(problem, bake.stage, thread, was)
        return float(np.mean(followed(problem, bake.stage, thread).lived.kept))

    def _offer(
        self,
        numbers: Sequence[int],
        question: WeekQuestion,
        before: Sequence[UnderWay | None],
        now: datetime,
        anew: Collection[int] = (),
    ) -> bool:
        """Take what keeps more; whether it was taken."""
        try:
            found = replan(question, before, work=MOST_WORK, anew=anew)
        except InputError:
            return False  # there is too little of a culture
        moves: dict[int, InHand] = {}
        gain = 0.0
        for n, number in enumerate(numbers):
            old, was = self.bakes.get(number), before[n]
            new = self._moved(number, n, found, was, now)
            if new is None:
                continue
            moves[number] = new
            if new.so_far is None:
                gain += new.odds
            else:
                gain += odds_on(new.problem, new.stage, new.thread, new.so_far)
            if old is not None:
                was = was or old.under_way(now)
                gain -= self._odds(number, was.thread, was, question.now)
        if not moves:
            return False
        self.offered += 1
        if gain <= BETTER:
            return False
        self.taken += 1
        for n in found.anew:
            self.anew += numbers[n] in moves
            self.left[self._culture(numbers[n])] += watched_of(self.bakes[numbers[n]], now)
        self.bakes |= moves
        return True

    def _moved(
        self, number: int, n: int, found: Replanned, was: UnderWay | None, now: datetime
    ) -> InHand | None:
        """A bake by the offer; None where it is as before, or given up."""
        old, way, thread = self.bakes.get(number), found.choice.ways[n], found.threads[n]
        if way is None or thread is None or (was is not None and thread == was.thread):
            return None
        wish, traits = self.question.wishes[number], self.natures[number]
        what = (number, wish, traits, way.problem, way.stage, thread, way.ready)
        if was is None or not was.begun or old is None or n in found.anew:
            return InHand(*what)
        return InHand(*what, so_far=replace(was, thread=thread), before=old.past(now))


def watched_of(bake: InHand, now: datetime) -> Iterator[Watched]:
    """What was read of a bake by now, of its feeds and its bulk, as the product knows them."""
    readings: dict[int, list[Rise]] = {}
    for each in bake.happens():
        if each.mixture >= 0 and each.at <= now:
            rise = Rise(each.at, max(1.0, each.rise))
            readings.setdefault(each.mixture, []).append(rise)
    if not readings:
        return
    problem = bake.problem
    thread = bake.under_way(now).thread
    masses = amounts(problem, thread.feeds).masses
    run = run_thread(problem, thread, median_traits(), masses)
    for number, seen in sorted(readings.items()):
        rises = tuple(sorted(seen, key=lambda it: it.at))
        if number < len(run.feeds):
            fed = run.feeds[number]
            stand, start, mixture = fed.stand, fed.at, fed.mixed.mixture
        elif number == len(run.feeds):
            assert bake.life.dough is not None
            place = problem.room if bake.life.dough.cool[0] else problem.bulk_place
            mixture, start = run.dough.mixture, thread.mix
            stand = problem.stands.bulk(mixture, place)
        else:
            continue  # of pieces in the proof a rise is seldom read
        yield Watched(
            mixture, stand.place.surroundings, start, rises, follow_h=stand.follow.hours
        )  # fmt: skip
