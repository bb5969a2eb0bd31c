"""What hands do for a culture beside its bakes, and when: plain frozen data."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import datetime, timedelta

from pointage.culture.life import Built, Fed, Taken
from pointage.kitchen.kitchen import CultureAtHand
from pointage.kitchen.needs import CultureNeed, NeedKind, Outlook
from pointage.mixture.traits import Traits
from pointage.timetable.ways.levains import FEED_MINUTES

MOVE_MINUTES = 5.0
"""To put a jar into the fridge, or away (ours)."""
FED = frozenset({NeedKind.FEED, NeedKind.WAKE, NeedKind.REFRESH, NeedKind.REVIVE})
"""What feeds a grown culture."""
HANDLED = frozenset({NeedKind.CHILL, NeedKind.STORE, NeedKind.DISCARD})
Done = Fed | Built | Taken
"""What a bake does to a culture."""


@dataclass(frozen=True, slots=True)
class CultureTask:
    """Something that hands do for a culture. need: what, with what is weighed.

    at: when it is best; from `earliest` to `latest` it may be, at a price near the edges. follows:
    it ends what the task of its culture before it began (into the fridge after a feed), and moves
    with that. built: when the levain was built of it that it follows on, else None.
    """

    need: CultureNeed
    earliest: datetime
    at: datetime
    latest: datetime
    follows: bool = False
    built: datetime | None = None

    @property
    def culture(self) -> str:
        return self.need.culture

    @property
    def kind(self) -> NeedKind:
        return self.need.kind

    @property
    def minutes(self) -> float:
        """So long it takes the hands."""
        return MOVE_MINUTES if self.kind in HANDLED else FEED_MINUTES


@dataclass(frozen=True, slots=True)
class PlacedTask:
    """A task with the time that was found for it.

    start: None where nobody is free in its window; nearest: then the nearest time at which somebody
    is, None where there is none within a week of it.
    """

    task: CultureTask
    start: datetime | None
    nearest: datetime | None = None

    @property
    def end(self) -> datetime | None:
        return None if self.start is None else self.start + timedelta(minutes=self.task.minutes)


@dataclass(frozen=True, eq=False)
class KeptCulture:
    """A culture that is kept through the week. outlook: where it stands now, as its page has it.

    traits: the members that it is followed by. comes: what bakes in hand will do to it, in order.
    """

    culture: CultureAtHand
    outlook: Outlook
    traits: Traits
    comes: tuple[Done, ...] = field(default=())
