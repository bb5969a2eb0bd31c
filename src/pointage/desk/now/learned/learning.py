"""What the daybook teaches: of cultures over their mixes, of each bake, of the oven."""

from __future__ import annotations

import logging
from collections.abc import Callable, Hashable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import datetime, timedelta
from itertools import islice
from typing import Any

from pointage.culture.vigour import (
    Vigour,
    Window,
    vigour_in,
    windows,
)
from pointage.data.records import records_here
from pointage.daybook.readings import Reading, observation
from pointage.desk.answers import Bake
from pointage.desk.jobs import Found, Job, JobAnswer, Jobs
from pointage.desk.now.bakes.at_once import read_before
from pointage.desk.now.bakes.record import BakeRecord
from pointage.desk.now.bakes.watch import SEED, moved, taught, watched
from pointage.desk.now.cultures.between_feeds import SeenStand, stood
from pointage.desk.now.learned.evidence import Seen, bakes_of, evidence_of
from pointage.desk.now.learned.own_oven import measured
from pointage.desk.now.replayed import Replayed
from pointage.errors import PointageError
from pointage.heat.own_oven import OwnOven, own_oven
from pointage.kitchen.kitchen import Kitchen
from pointage.mixture.learning.scores import Scores, scores
from pointage.mixture.learning.update import Posterior, learn
from pointage.timetable.choice.memo import Digests

LATEST = 12
"""So many bakes with something seen are learned from, the latest: a culture changes over months."""

log = logging.getLogger(__name__)


@dataclass(frozen=True, slots=True)
class Questioned:
    """A reading that does not fit, so long after its mix; of which step of a bake, if of one."""

    reading: Reading
    after: timedelta
    bake: str = ""
    step: str = ""


@dataclass(frozen=True, eq=False)
class Learning:
    """What is learned from one picture of the daybook. Each answer says whether it is fresh.

    through: the kitchen with its places as they were since an instant.
    """

    picture: Replayed
    jobs: Jobs
    through: Callable[[datetime], Kitchen]
    _known: dict[tuple[str, str], tuple[list[Seen], Hashable]] = field(
        default_factory=dict, repr=False
    )
    _digests: Digests = field(default_factory=lambda: Digests(strict=True), repr=False)

    def beliefs(self, culture: str) -> JobAnswer[Posterior | None]:
        """What is believed of a culture; None: nothing was ever seen of it."""
        seen, stamp = self._seen(culture)
        if not seen:
            return JobAnswer(None, True)
        return self.jobs.ask(
            ("beliefs", culture), stamp, lambda job: self._learn(seen, job.reached)
        )

    def questioned(self, culture: str) -> tuple[Questioned, ...]:
        """What was read of a culture's mixes and does not fit, the latest first."""
        believed = self.beliefs(culture).found
        if believed is None or not believed.questioned:
            return ()
        odd = {(each.observation.at, type(each.observation)) for each in believed.questioned}
        every = self._seen(culture)[0]
        twice = read_before(bakes_of(every))
        found = [
            each
            for seen in every
            for each in _readings(seen)
            if each.reading.entry not in twice and not each.reading.sure
            if (each.reading.at, type(observation(each.reading))) in odd
        ]
        return tuple(sorted(found, key=lambda each: each.reading.at, reverse=True))

    def beliefs_now(self, culture: str) -> Posterior | None:
        """The same, however long it takes."""
        seen, stamp = self._seen(culture)
        if not seen:
            return None
        return self.jobs.at_once(("beliefs", culture), stamp, lambda _: self._learn(seen))

    def watched(self, record: BakeRecord) -> JobAnswer[Bake]:
        """A bake with its courses run again for what was done and seen; see `watch.watched`."""
        bake = record.bake
        if moved(bake) is None:
            return JobAnswer(bake, True)

        def work(believed: Posterior | None, job: Job) -> Bake:
            def reached(share: float) -> None:
                job.reached((1 + share) / 2)

            def anew() -> Posterior:
                return self.jobs.planner.ask(taught, bake, believed, reached=reached)

            try:
                return watched(bake, self._kept("taught", (bake, believed), anew))
            except PointageError as error:  # what is stored shuts no screen: as it was planned
                log.warning("the courses of bake %s stay as planned: %s", bake.key, error)
                return bake

        found = self.beside("watch", record, None, work)
        if found.fresh and found.found is not None:
            return found
        # Until then what was done and seen stands beside the courses as they were.
        shown = bake if found.found is None else _with_news(found.found, bake)
        return JobAnswer(shown, False, waits=found.waits)

    def beside(
        self,
        kind: str,
        record: BakeRecord,
        more: Hashable,
        work: Callable[[Posterior | None, Job], Found],
    ) -> JobAnswer[Found]:
        """What is worked out of a bake and of what all others of its culture have taught.

        more: what else the answer goes by.
        """
        bake = record.bake
        others, stamp = self._seen(bake.plan.culture, but=bake.key)
        twice = read_before(bakes_of(others), bake)

        def with_others(job: Job) -> Found:
            believed = None
            if others:
                believed = self.jobs.at_once(
                    ("beliefs beside", bake.key),
                    (stamp, twice),
                    lambda _: self._learn(others, lambda share: job.reached(share / 2), twice),
                )
            job.reached(0.5)
            return work(believed, job)

        return self.jobs.ask((kind, bake.key), (record.stamp, stamp, more), with_others)

    def scores(self, culture: str) -> JobAnswer[Scores | None]:
        """How good the forecasts of a culture's mixes were, each from those before."""
        seen, stamp = self._seen(culture)
        if not seen:
            return JobAnswer(None, True)

        def work(job: Job) -> Scores:
            evidence = evidence_of(seen, self.through)

            def anew() -> Scores:
                watched = evidence.watched()
                return self.jobs.planner.ask(scores, watched, SEED, reached=job.reached)

            return self._kept("scores", evidence, anew)

        return self.jobs.ask(("forecast accuracy", culture), stamp, work)

    def vigour(self, culture: str) -> JobAnswer[tuple[Vigour, ...]]:
        """What each few weeks of its mixes say of a culture by themselves."""
        seen = self._seen_of(culture)
        if not seen:
            return JobAnswer((), True)

        def work(job: Job) -> tuple[Vigour, ...]:
            begun = [_began(each) for each in seen]
            every = [
                (window, evidence_of(_near(window, seen), self.through))
                for window in windows(min(begun), max(begun))
            ]

            def anew() -> tuple[Vigour, ...]:
                found = []
                for number, (window, near) in enumerate(every):
                    job.reached(number / len(every))
                    found.append(self.jobs.planner.ask(vigour_in, window, near.watched(), SEED))
                return tuple(each for each in found if each is not None)

            return self._kept("vigour", every, anew)

        return self.jobs.ask(("vigour", culture), _stamp(seen), work)

    def oven(self, oven: str, said: Mapping[str, Mapping[str, Any]]) -> JobAnswer[OwnOven | None]:
        """How much hotter an oven bakes than it says, by what was said of its bakes."""
        if not said:
            return JobAnswer(None, True)

        def work(job: Job) -> OwnOven | None:
            found = measured(self.picture, said)
            if not found:
                return None
            return self._kept("oven", found, lambda: self.jobs.planner.ask(own_oven, found))

        return self.jobs.ask(("heat", oven), said, work)

    def _seen(self, culture: str, but: str = "") -> tuple[list[Seen], Hashable]:
        """The latest of which something was seen, and its stamp: looked for once in a picture."""
        if (culture, but) not in self._known:
            seen = self._seen_of(culture, but, LATEST)
            self._known[culture, but] = seen, _stamp(seen)
        return self._known[culture, but]

    def _seen_of(self, culture: str, but: str = "", most: int | None = None) -> list[Seen]:
        """What something was seen of: bakes of a culture and its own stands, in time."""
        life = self.picture.lives.state.named(culture)
        names = () if life is None else {name.casefold() for name in life.names}
        places = sorted(place for name in names for place in self.picture.read.get(name, ()))
        keys = [key for _, key in places if key != but]
        keys = keys if most is None else keys[-most:]
        found: list[Seen] = [self.picture.bakes[key] for key in keys]
        if life is not None:
            said = [
                entry
                for name in life.names
                for entry in self.picture.about_culture.get(name.casefold(), {}).values()
            ]
            found += islice(stood(life, said), most)
        found.sort(key=_when)
        return found if most is None else found[-most:]

    def _learn(
        self,
        seen: Sequence[Seen],
        reached: Callable[[float], None] | None = None,
        but: frozenset[str] = frozenset(),
    ) -> Posterior | None:
        evidence = evidence_of(seen, self.through, but)

        def anew() -> Posterior | None:
            watched = evidence.watched()
            if not watched:
                return None
            return self.jobs.planner.ask(learn, None, watched, SEED, reached=reached)

        return self._kept("beliefs", evidence, anew)

    def _kept(self, question: str, of: object, work: Callable[[], Found]) -> Found:
        """The answer to a question, out of the files of an earlier process where it is there.

        of: all that the answer hangs on, beside the kitchen's own ingredients.
        """
        if self.jobs.kept is None:
            return work()
        try:
            asked = self._digests.of(question, SEED, of, records_here().own)
        except TypeError:
            return work()
        return self.jobs.kept.get(asked, work)


def _readings(seen: Seen) -> Iterator[Questioned]:
    """Everything that was read of a bake's mixtures, or of a stand."""
    if isinstance(seen, SeenStand):
        yield from (Questioned(each, each.at - seen.at) for each in seen.seen)
        return
    for step in seen.bake.plan.steps:
        began = step.standing.rows[0].at if step.standing and step.standing.rows else step.start
        for each in seen.bake.step_news(step.key).readings:
            yield Questioned(each, each.at - began, seen.bake.key, step.key)


def _when(seen: Seen) -> datetime:
    return seen.bake.plan.ready if isinstance(seen, BakeRecord) else seen.at


def _began(seen: Seen) -> datetime:
    if isinstance(seen, BakeRecord):
        return min(step.start for step in seen.bake.plan.steps)
    return seen.at


def _stamp(seen: Sequence[Seen]) -> Hashable:
    return tuple(
        (each.bake.key, each.stamp) if isinstance(each, BakeRecord) else each.stamp for each in seen
    )


def _near(window: Window, seen: Sequence[Seen]) -> list[Seen]:
    """Of what mixes may fall into the window."""
    since = window.since - timedelta(days=3)
    return [each for each in seen if since <= _began(each) < window.until]


def _with_news(before: Bake, bake: Bake) -> Bake:
    """A bake as it was watched before, with what was done and seen since."""
    news = {
        key: replace(each, ahead=before.step_news(key).ahead) for key, each in bake.news.items()
    }
    return replace(bake, plan=before.plan, news=news)
