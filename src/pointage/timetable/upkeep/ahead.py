"""A culture's upkeep from now on: one need after the other, each as the one before it left it.

What a bake does in time is none: who takes from a culture and feeds it sees to it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta

from pointage.culture.life import Built, Event, Fed, Life, Moved, Taken, after
from pointage.kitchen.awake import fitted
from pointage.kitchen.culture_state import at_hand_of, life_of
from pointage.kitchen.kitchen import CultureAtHand, Kitchen, PlaceKind
from pointage.kitchen.needs import LATEST_CHILL, SLACK, CultureNeed, NeedKind, need_of
from pointage.kitchen.outlook import outlook_of
from pointage.timetable.calendar import GRID
from pointage.timetable.upkeep.task import FED, CultureTask, Done, KeptCulture

MOST = 64
"""Tasks of one culture that are looked ahead."""
NEIGHBOURLY = 4
"""A feed stays within this part of the time from and to its neighbours (ours)."""
BUILT_ON = timedelta(hours=2)
"""A feed that a bake counts on is moved by no more (ours)."""
SOON_TAKEN = timedelta(days=2)
"""So long before it a bake counts on a feed to the hour (ours)."""


@dataclass(frozen=True, eq=False)
class Ahead:
    """What is to be done for a culture, in order, and the culture as that leaves it."""

    tasks: tuple[CultureTask, ...]
    culture: CultureAtHand


def ahead(
    kept: KeptCulture,
    kitchen: Kitchen,
    now: datetime,
    until: datetime,
    *,
    comes: Sequence[Done] = (),
    between: Sequence[datetime] = (),
    covered_at: datetime | None = None,
) -> Ahead:
    """Its tasks from `now` up to `until`.

    comes: what bakes do to it beside what those in hand do. between: when it is fed whatever it
    needs, for a bake that would else find it too tired. covered_at: from then on a bake sees to it.
    """
    walk = _Walk(kept, kitchen, now, until)
    coming = [each for each in (*kept.comes, *comes) if each.at <= until]
    coming.sort(key=lambda each: (each.at, isinstance(each, Built)))  # what is fed back comes last
    forced = sorted(between)
    while len(walk.tasks) < MOST:
        need = walk.need()
        latest = until if need is None else need.best_by
        if coming and coming[0].at <= latest and not (forced and forced[0] < coming[0].at):
            walk.come(coming.pop(0))
        elif forced and (need is None or need.kind not in FED or forced[0] <= walk.due(need)):
            if not walk.feed_between(forced.pop(0)):
                break
        elif (
            need is None
            or (covered_at is not None and covered_at <= need.best_by)
            or walk.due(need) > until
            or not walk.do(need)
        ):
            break
        else:
            forced = [each for each in forced if each > walk.at]
    return Ahead(tuple(apart(walk.tasks, walk.touched)), walk.culture)


class _Walk:
    """A culture going through what is done to it."""

    def __init__(self, kept: KeptCulture, kitchen: Kitchen, now: datetime, until: datetime) -> None:
        self.at = self._now = now
        self._kept, self._kitchen, self._until = kept, kitchen, until
        self._life: Life = life_of(kept.culture)
        self.culture = replace(kept.culture, life=self._life)
        self._outlook = kept.outlook
        self.tasks: list[CultureTask] = []
        self.touched: list[datetime] = []

    def need(self) -> CultureNeed | None:
        return need_of(self.culture, self._outlook, self._kitchen, self.at)

    def due(self, need: CultureNeed) -> datetime:
        """When it is best done; of what is overdue, as soon as somebody is there."""
        return need.at if need.at >= self._now else fitted(self._kitchen, self._now, self._now)

    def do(self, need: CultureNeed) -> bool:
        """Do what is needed; False for what leads no further."""
        at = self.due(need)
        if need.kind is NeedKind.CHILL:
            event: Event = Moved(at, need.place)
        elif need.feed is not None:
            event = _fed(need, at)
        else:
            return False
        earliest = max(self._now, min(need.earliest or need.at, at))
        follows = need.kind is NeedKind.CHILL and bool(self.tasks) and self.at >= self._now
        follows = follows and self.tasks[-1].kind in FED and self._life.stands[-1].fed.at == self.at
        if follows:
            earliest = self.at + GRID
        latest = max(need.best_by, at + SLACK if need.best_by < self._now else at)
        self.tasks.append(CultureTask(need, earliest, max(at, earliest), latest, follows))
        self._go_on(event, at)
        return True

    def feed_between(self, at: datetime) -> bool:
        """Feed it to be kept for a bake: it stays in the warm, for that."""
        fridge = self._kitchen.place(self.culture.place).kind is PlaceKind.FRIDGE
        need = self.need()
        if need is None or need.feed is None:
            need = need_of(self.culture, self._outlook, self._kitchen, at)
        if need is None or need.feed is None:
            return False
        place = self._kitchen.warmest_place.name if fridge else self.culture.place
        need = replace(need, kind=NeedKind.FEED, at=at, place=place, then="", then_h=0.0)
        earliest = max(self._now, at - BUILT_ON)
        self.tasks.append(CultureTask(need, min(earliest, at), at, at + BUILT_ON))
        self._go_on(replace(_fed(need, at), for_bake=True), at)
        return True

    def come(self, event: Done) -> None:
        """What a bake does to it; where it is put back into the fridge then, by whom and when."""
        if isinstance(event, Taken):  # it stands on as it did
            self._life = after(self._life, event)
            self.culture = at_hand_of(self._life)
            return
        self._go_on(event, event.at)
        self.touched.append(event.at)
        if not isinstance(event, Built) or event.bake:
            return  # the plan of a bake in hand says it
        stand = self._life.stands[-1]
        for moved, place in stand.places[1:2]:
            latest = stand.fed.at + LATEST_CHILL
            at = fitted(self._kitchen, moved, moved)
            if at > latest:
                at = fitted(self._kitchen, moved, event.at)
            need = CultureNeed(self.culture.name, NeedKind.CHILL, at, latest, place)
            earliest = min(event.at + GRID, at)
            self.tasks.append(CultureTask(need, earliest, at, max(latest, at), built=event.at))

    def _go_on(self, event: Event, at: datetime) -> None:
        self._life = after(self._life, event)
        self.culture = at_hand_of(self._life)
        self.at = max(self.at, at)
        self._outlook = outlook_of(
            self.culture, self._kitchen, self._kept.traits, self._until + timedelta(days=4)
        )


def _fed(need: CultureNeed, at: datetime) -> Fed:
    feed = need.feed
    assert feed is not None
    flours = {kind: float(grams) for kind, grams in feed.flours_g.items()}
    return Fed(at, float(feed.seed_g), flours, float(feed.water_g), place=need.place)


def apart(tasks: Sequence[CultureTask], touched: Sequence[datetime] = ()) -> list[CultureTask]:
    """The same tasks of one culture, with windows in which none comes near what is done to it
    before or after, and none that a bake counts on is moved by more than BUILT_ON.

    touched: when bakes take from it.
    """
    found = []
    for number, task in enumerate(tasks):
        earliest, latest = task.earliest, task.latest
        if not task.follows:
            others = [each.at for each in tasks if each is not task and not each.follows]
            before = max((at for at in (*others, *touched) if at < task.at), default=None)
            later = min((at for at in others if at > task.at), default=None)
            if task.kind is not NeedKind.CHILL and before is not None:
                earliest = max(earliest, task.at - (task.at - before) / NEIGHBOURLY)
            if later is not None:
                latest = min(latest, task.at + (later - task.at) / NEIGHBOURLY)
            if task.kind in FED and any(task.at < at < task.at + SOON_TAKEN for at in touched):
                earliest = max(earliest, task.at - BUILT_ON)
                latest = min(latest, task.at + BUILT_ON)
        elif number + 1 < len(tasks):
            latest = max(task.at, min(latest, tasks[number + 1].at - 2 * GRID))
        found.append(replace(task, earliest=min(earliest, task.at), latest=max(latest, task.at)))
    return found
