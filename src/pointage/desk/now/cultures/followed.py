"""The cultures of a kitchen, each followed by the engine from its last feed on."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from datetime import datetime, timedelta
from typing import TYPE_CHECKING

from pointage.culture.life import Life
from pointage.culture.raising import RaisedDay
from pointage.daybook.entry import Entry
from pointage.desk.answers import CultureNow
from pointage.desk.jobs import Found
from pointage.desk.now.bakes.bake import KEPT_AFTER
from pointage.desk.now.cultures.culture import (
    CultureCourses,
    courses,
    culture_now,
    spans_of,
    young_now,
)
from pointage.desk.now.cultures.needs import backup_needs, grown_need, spoiled_need, young_need
from pointage.desk.now.cultures.young import (
    Elsewhere,
    elsewhere,
    is_young,
    on_its_way,
    spoiled_at,
)
from pointage.kitchen.kitchen import CultureAtHand, Kitchen
from pointage.kitchen.needs import CultureNeed

if TYPE_CHECKING:
    from pointage.desk.now.present import Present


class FollowedCultures:
    """The cultures of one present, for its methods of the same names."""

    def __init__(self, present: Present) -> None:
        self._present = present

    def course(self, culture: CultureAtHand, now: datetime) -> CultureCourses:
        """What a culture does from its last feed on."""
        believed = self._present.learning.beliefs(culture.name)
        spans = spans_of(culture, now)
        stamp = (culture, self._present.revision, self._present.flours, spans, believed.stamp)
        return self._present.jobs.at_once(
            ("course", culture.name),
            stamp,
            lambda _: courses(culture, self._present.kitchen, spans, believed.found),
        )

    def now(self, culture: CultureAtHand, now: datetime) -> CultureNow:
        """One of them; one that is still being raised by the course of its raising."""
        found, life = self._now(culture, now), culture.life
        spoiled = life and spoiled_at(life, self._present.about_culture(life))
        return replace(found, need=spoiled_need(culture.name, spoiled)) if spoiled else found

    def _now(self, culture: CultureAtHand, now: datetime) -> CultureNow:
        life, present = culture.life, self._present
        if life is not None and is_young(life, now):
            days = self.raising(life.name, now)
            return young_now(culture, days, now, young_need(life, days, present.kitchen, now))
        scores = present.learning.scores(culture.name)
        waits = present.learning.beliefs(culture.name).waits or scores.waits
        found = self.course(culture, now)
        planned = (record.bake for record in present.ended_since(now - KEPT_AFTER))
        need = grown_need(culture, found.outlook, present.kitchen, planned, now)
        return culture_now(culture, found, now, scores.found, under_way=waits, need=need)

    def needs(self, now: datetime) -> tuple[CultureNeed, ...]:
        """What the cultures need next, the soonest first."""
        found = [each.need for each in self._present.cultures(now) if each.need is not None]
        found += backup_needs(self._present.lives, self._present.kitchen, now)
        return tuple(sorted(found, key=lambda each: (each.at, each.culture)))

    def raising(self, name: str, now: datetime) -> tuple[RaisedDay, ...]:
        """The days of a culture begun from flour and water. Raises NotThere, InputError."""
        return self._of_raising("raising", name, now, on_its_way)

    def raising_elsewhere(self, name: str, now: datetime) -> tuple[Elsewhere, ...]:
        """When it may be trusted in each place and by each means there is. Raises as `raising`."""
        return self._of_raising("elsewhere", name, now, elsewhere)

    def _of_raising(
        self,
        kind: str,
        name: str,
        now: datetime,
        work: Callable[[Life, Sequence[Entry], Kitchen, datetime], Found],
    ) -> Found:
        life = self._present.life(name)
        said = self._present.about_culture(life)
        # Within an hour it is the same: what is overdue is fed at its end at the soonest.
        until = now.replace(minute=0, second=0, microsecond=0) + timedelta(hours=1)
        stamp = (life, tuple(said), self._present.revision, self._present.flours, until)
        return self._present.jobs.at_once(
            (kind, life.names[0]),
            stamp,
            lambda _: work(life, said, self._present.kitchen_through(life.began), until),
        )
