"""A week as it is lived through: at each reading and each step that is off, it is replanned.

Nature gives each culture traits of its own, and each bake a pace. The baker follows the signs
(`timetable.baker`), so every step falls where they put it. She writes her readings down, and what
they teach of the culture is counted as the product does (`mixture.learning`): of a bake under way
by its own pace, of those to come by one that nobody knows yet. Then the bakes are planned again
from that minute on, with what was done frozen (`timetable.week.replan`), as the desk's offers are.
An offer is taken where, by what is believed then, it keeps more wishes.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import datetime, timedelta
from typing import NamedTuple

import numpy as np

from pointage.errors import InputError
from pointage.kitchen.kitchen import CultureAtHand
from pointage.mixture.learning.observation import Rise
from pointage.mixture.learning.update import Posterior, Watched, learn
from pointage.mixture.traits import Traits, median_traits
from pointage.timetable.baker.life import Lived
from pointage.timetable.baker.looking import Believed
from pointage.timetable.calendar import GRID, ceil_to_grid, floor_to_grid
from pointage.timetable.occupied import Occupied, occupied_by
from pointage.timetable.plan import Thread
from pointage.timetable.problem import Problem
from pointage.timetable.timetable import planned
from pointage.timetable.upkeep.keeping import kept_after
from pointage.timetable.ways.amounts import amounts
from pointage.timetable.ways.bands import run_thread
from pointage.timetable.week.cultures import NEAR
from pointage.timetable.week.odds import followed
from pointage.timetable.week.question import WantedStage, WeekQuestion, WeekWish
from pointage.timetable.week.replan import NOTICED, Replanned, UnderWay, replan
from pointage.timetable.week.week import WeekChoice

READINGS = 9  # the seed of how nature's readings err
BETTER = 0.03
"""So many more wishes must an offer keep, by what is believed, to be taken."""
WORTH_ASKING = 0.9
"""A bake that is not begun and is less likely than that to be kept is searched anew."""
FAR_OFF = timedelta(hours=1)
"""A step done so far from its time is a cause to replan, and a look that tells something."""
NOTICED_SHARE = 0.1
"""Of a stand, so far ahead or behind is a cause to replan, as on the desk."""
MOST_WORK = 10.0  # of the solver, for each offer


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
    """A wish with its plan, and its life by that plan. pace, traits: nature's, of this bake.

    problem: as it was planned; once it is begun that stays, and with it what is done.
    """

    number: int
    wish: WeekWish
    traits: Traits
    problem: Problem
    stage: WantedStage
    thread: Thread
    ready: datetime
    life: Lived = field(init=False)
    odds: float = field(init=False)
    known: tuple[Believed, ...] = field(init=False)

    def __post_init__(self) -> None:
        follower = followed(self.problem, self.stage, self.thread)
        self.odds = float(np.mean(follower.lived.kept))
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
        thread, number = self.thread, self.number
        starts = [*self.feeds, self.mix]
        for n, (at, plan) in enumerate(zip(self.feeds, thread.feeds, strict=True)):
            yield Happened(at, number, f"feed {n}", off=at - plan.at)
        yield Happened(self.mix, number, "mix", off=self.mix - thread.mix)
        yield Happened(self.divide, number, "divide", off=self.divide - thread.divide)
        for n, (start, found) in enumerate(zip(starts, self.life.found, strict=False)):
            assert found.look is not None
            assert found.at_look is not None
            assert found.at_last is not None
            look, last = int(found.look[0]), int(found.rows[0])
            if look:
                rise = float(found.at_look[0])
                news = self._is_news(n, look, rise)
                yield Happened(start + look * GRID, number, "", n, rise, news=news)
            if last != look:
                yield Happened(start + last * GRID, number, "", n, float(found.at_last[0]))

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
            put = int(self.life.put[n][0])
            there = self.instant(put) if put >= 0 else None
            if at > now:
                feeds.append(feed)
            elif there is not None and there <= now:
                feeds.append(replace(feed, at=at, chilled=there))
            elif feed.chilled is not None:
                feeds.append(replace(feed, at=at, chilled=max(now, feed.chilled)))
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

    def instead(self, thread: Thread, was: UnderWay) -> Thread:
        """The thread of an offer, with what was done as it was planned when it was done."""
        old = self.thread
        feeds = (*old.feeds[: was.feeds], *thread.feeds[was.feeds :])
        found = replace(thread, feeds=feeds)
        if was.mixed:
            found = replace(found, mix=old.mix, soaks=old.soaks)
        if was.divided:
            found = replace(found, divide=old.divide, shaped=old.shaped)
        return found

    def past(self, now: datetime) -> list[Happened]:
        return sorted(each._replace(off=timedelta()) for each in self.happens() if each.at <= now)


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
    offered: int = 0
    taken: int = 0

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
            looked = {self._culture(each.wish) for each in here if each.news}
            if looked or any(abs(each.off) > FAR_OFF for each in here):
                for name in sorted(self.unheard):
                    self._learn(name, now)
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
        if seen:
            seed = int(now.timestamp()) % 9973
            self.beliefs[name] = learn(None, seen, seed)
        self.unheard.discard(name)

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
            was = None if bake is None else bake.under_way(now)
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
        if self.searched:
            for n, number in enumerate(numbers):
                bake, was = self.bakes.get(number), before[n]
                if bake is None or was is None or was.begun or self._culture(number) not in looked:
                    continue
                if self._odds(number, bake.problem, bake.thread) < WORTH_ASKING:
                    before[n] = None
        question = WeekQuestion(self.question.kitchen, at, tuple(wishes))
        self._offer(numbers, question, before, now)

    def _odds(self, number: int, problem: Problem, thread: Thread) -> float:
        """By what is believed now, that a wish is kept. The same ensemble for both threads."""
        bake = self.bakes.get(number)
        latest = bake is not None and bake.feeds[0] <= problem.now
        known = self._believed(number, latest=latest)
        if known is not None:
            problem = replace(problem, believed=known)
        stage = self.question.wishes[number].stage
        return float(np.mean(followed(problem, stage, thread).lived.kept))

    def _offer(
        self,
        numbers: Sequence[int],
        question: WeekQuestion,
        before: Sequence[UnderWay | None],
        now: datetime,
    ) -> None:
        try:
            found = replan(question, before, work=MOST_WORK)
        except InputError:
            return  # there is too little of a culture
        moves: dict[int, InHand] = {}
        gain = 0.0
        for n, number in enumerate(numbers):
            old, was = self.bakes.get(number), before[n]
            new = self._moved(number, n, found, was, now)
            if new is None:
                continue
            moves[number] = new
            begun = was is not None and was.begun
            gain += self._odds(number, new.problem, new.thread) if begun else new.odds
            if old is not None:
                gain -= self._odds(number, old.problem, old.thread)
        if not moves:
            return
        self.offered += 1
        if gain > BETTER:
            self.taken += 1
            self.bakes |= moves

    def _moved(
        self, number: int, n: int, found: Replanned, was: UnderWay | None, now: datetime
    ) -> InHand | None:
        """A bake by the offer; None where it is as before, given up, or against what was done."""
        old, way, thread = self.bakes.get(number), found.choice.ways[n], found.threads[n]
        if way is None or thread is None or (was is not None and thread == was.thread):
            return None
        wish = self.question.wishes[number]
        traits = self.natures[number]
        if was is None or not was.begun or old is None:
            return InHand(number, wish, traits, way.problem, way.stage, thread, way.ready)
        own = replace(old.problem, in_oven=way.problem.in_oven)
        new = InHand(
            number, wish, traits, own, old.stage, old.instead(thread, was), way.ready
        )  # fmt: skip
        return new if new.past(now) == old.past(now) else None


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
