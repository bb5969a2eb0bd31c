"""The ways of one wish with what each costs: one by one, and thousands of them as columns."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from functools import lru_cache
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from pointage.timetable.plan import Feed, Thread
from pointage.timetable.problem import Problem
from pointage.timetable.solve import LIGHT_MINUTES
from pointage.timetable.ways.doughs import (
    LEAST_RETARD_H,
    SOAK_MINUTES,
    Way,
    hands_on,
)
from pointage.timetable.ways.levains import FEED_MINUTES
from pointage.timetable.week.question import WantedStage

Floats = NDArray[np.float64]
Numbers = NDArray[np.intp]
Spans = list[tuple[datetime, datetime]]

EPOCH = datetime(2020, 1, 1, tzinfo=UTC)
"""Columns of instants are in minutes after it."""
MOST_SPELLS = 1024
"""More than twice as many as there are spells from a mix to bread."""


@dataclass(frozen=True, eq=False)
class WeekWay:
    """One way of one wish. hot: it goes into an oven that another bake has left hot.

    odds: about, that it is kept by who follows the signs, which are in its penalty. ready: when
    what is wanted is there. problem: in the oven that was taken.
    """

    problem: Problem
    stage: WantedStage
    way: Way
    ready: datetime
    penalty: float
    loads: tuple[datetime, ...] = ()
    preheat: datetime | None = None
    hot: bool = False
    odds: float = 1.0

    @property
    def begins(self) -> datetime:
        return min([*self._soaks, self.way.levain.feedings()[0].at])

    @property
    def _soaks(self) -> tuple[datetime, ...]:
        return () if self.stage is WantedStage.RIPE else self.way.soaks

    def hands(self) -> Spans:
        """When hands are at it, but for the waking feeds of its culture."""
        return self.hands_at_dough() + self.hands_at_oven()

    def hands_at_dough(self) -> Spans:
        """The same before the oven."""
        process, way, stage = self.problem.process, self.way, self.stage
        builds = way.levain.feedings()[-len(self.problem.builds) :]
        found = [(each.at, each.at + span(FEED_MINUTES)) for each in builds]
        found += [(at, at + span(SOAK_MINUTES)) for at in self._soaks]
        mix, *folds, divide, shape = hands_on(process, way)
        if stage is not WantedStage.RIPE:
            found.append(mix)
        if stage not in (WantedStage.RIPE, WantedStage.MIXED):
            found += folds
        if stage in (WantedStage.SHAPED, WantedStage.BAKED):
            found += [divide, shape]
        return found

    def hands_at_oven(self) -> Spans:
        """To light it and with each load."""
        if not self.loads:
            return []
        each = span(self.problem.process.load_minutes + self.problem.bake_minutes)
        lit = [] if self.hot or self.preheat is None else [self.preheat]
        return [(at, at + span(LIGHT_MINUTES)) for at in lit] + [
            (load, load + each) for load in self.loads
        ]

    def waking(self) -> Spans:
        """When its culture is woken."""
        feeds = self.way.levain.feedings()[: -len(self.problem.builds)]
        return [(each.at, each.at + span(FEED_MINUTES)) for each in feeds]

    def hands_before(self) -> Spans | None:
        """When hands are at it before the oven; None where they would be at two things at once."""
        spans = sorted([*self.hands_at_dough(), *self.waking()])
        return None if any(a[1] > b[0] for a, b in pairwise(spans)) else spans

    def overlaps(self, before: Spans | None) -> bool:
        """Whether hands would be at two things at once. before: as `hands_before`."""
        at_oven = self.hands_at_oven()
        return before is None or any(a[0] < b[1] and a[1] > b[0] for a in at_oven for b in before)

    def thread(self) -> Thread:
        """What was chosen; beyond the stage that is wanted, what would come next."""
        way, process = self.way, self.problem.process
        loads = self.loads or (way.shaped + timedelta(hours=LEAST_RETARD_H),)
        preheat = loads[0] if self.hot or self.preheat is None else self.preheat
        return Thread(
            feeds=tuple(
                Feed(each.at, each.seed_share, each.chilled, each.warmed)
                for each in way.levain.feedings()
            ),
            soaks=way.soaks,
            mix=way.mix,
            divide=way.divide,
            shaped=way.shaped,
            retarded=way.retarded,
            preheat=preheat,
            loads=loads,
            oven=self.problem.oven.name if process else "",
        )


@lru_cache(maxsize=256)  # asked for each use of each way
def span(minutes: float) -> timedelta:
    return timedelta(minutes=minutes)


def minute(at: datetime) -> float:
    return (at - EPOCH) / span(1)


@dataclass(frozen=True, eq=False)
class Ending:
    """When what is wanted is ready; of bread, the oven (in its problem) and when it goes there."""

    problem: Problem
    stage: WantedStage
    ready: datetime
    loads: tuple[datetime, ...] = ()
    preheat: datetime | None = None
    hot: bool = False


@dataclass(frozen=True, eq=False)
class ManyWays:
    """Ways of one wish as columns, the cheapest first. Each is made when it is asked for.

    dough, ending: of each way, the number of its own among all doughs and all endings.
    """

    doughs: Sequence[Way]
    endings: Sequence[Ending]
    dough: Numbers
    ending: Numbers
    penalty: Floats
    odds: Floats

    @staticmethod
    def of(ways: Sequence[WeekWay]) -> ManyWays:
        each = np.arange(len(ways))
        endings = [Ending(w.problem, w.stage, w.ready, w.loads, w.preheat, w.hot) for w in ways]
        return ManyWays(
            [way.way for way in ways], endings, each, each,
            np.array([way.penalty for way in ways]), np.array([way.odds for way in ways]),
        ).weighed()  # fmt: skip

    def __len__(self) -> int:
        return len(self.penalty)

    def __iter__(self) -> Iterator[WeekWay]:
        return map(self.one, range(len(self)))

    def one(self, number: int) -> WeekWay:
        end = self.endings[self.ending[number]]
        return WeekWay(
            end.problem, end.stage, self.doughs[self.dough[number]], end.ready,
            float(self.penalty[number]), end.loads, end.preheat, end.hot, float(self.odds[number]),
        )  # fmt: skip

    def weighed(self, odds: Floats | None = None, penalty: Floats | None = None) -> ManyWays:
        """The same at other odds and penalties, the cheapest first."""
        odds = self.odds if odds is None else odds
        penalty = self.penalty if penalty is None else penalty
        order = np.argsort(penalty, kind="stable")
        columns = (self.dough[order], self.ending[order], penalty[order], odds[order])
        return ManyWays(self.doughs, self.endings, *columns)

    def sorts(self, mixed_about: timedelta) -> Numbers:
        """A number for each that ways share which are about as steady as each other.

        They are fed and chilled, mixed and retarded alike, and go into an oven left hot or not.
        """
        of_dough = []
        for way in self.doughs:
            feeds = way.levain.feedings()
            of_dough.append(4 * len(feeds) + 2 * (feeds[-1].chilled is not None) + way.retarded)
        return MOST_SPELLS * np.array(of_dough, dtype=np.intp)[self.dough] + self._ends(mixed_about)

    def times(self, mixed_about: timedelta) -> tuple[Numbers, Numbers]:
        """Numbers for when each is ready, and built, with how long before that it is mixed."""
        built = [way.levain.feedings()[-1].at for way in self.doughs]
        ready = np.array([minute(end.ready) for end in self.endings])[self.ending]
        instants = (ready, np.array(list(map(minute, built)))[self.dough])
        ends = self._ends(mixed_about)
        by_ready, by_built = (MOST_SPELLS * np.rint(x).astype(np.intp) + ends for x in instants)
        return by_ready, by_built

    def _ends(self, mixed_about: timedelta) -> Numbers:
        """How many such spells before it is ready each is mixed, and whether the oven is hot."""
        mixed = np.array([minute(way.mix) for way in self.doughs])
        ready = np.array([minute(end.ready) for end in self.endings])
        hot = np.array([end.hot for end in self.endings], dtype=np.intp)
        spells = (ready[self.ending] - mixed[self.dough]) // (mixed_about / span(1))
        return np.asarray(2 * spells.astype(np.intp) + hot[self.ending])
