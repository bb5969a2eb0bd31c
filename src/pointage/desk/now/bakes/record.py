"""A bake with what was said of it, and where those are found that are learned from."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import UTC, datetime
from typing import Any

from pointage.daybook.entry import Entry
from pointage.desk.answers import Bake
from pointage.desk.now.bakes.bake import BakeState, oven_of
from pointage.desk.now.cultures.lives import NamedEvent
from pointage.desk.now.fold import Fold, Key
from pointage.desk.now.takings import Takings
from pointage.larder.stock import Event as StockEvent

LONG_AGO = datetime.min.replace(tzinfo=UTC)

Ready = tuple[datetime, str]
"""When a bake is ready, and its key."""

Index = dict[str, Sequence[Ready]]
"""Bakes by the name of what is learned of from them, in the order in which they are ready."""


@dataclass(frozen=True, slots=True)
class BakeRecord:
    """A bake with what was said of it.

    stamp: the kitchen's change at which its plan or its news was another last. ends: when its last
    step is over. measured: what was measured of its baking.
    """

    fold: Fold[BakeState, Entry]
    stamp: int = 0
    takings: Takings = field(default_factory=Takings)
    lived: tuple[tuple[Key, NamedEvent], ...] = ()
    took: tuple[tuple[Key, StockEvent], ...] = ()
    ends: datetime = LONG_AGO
    measured: Mapping[str, Any] = field(default_factory=dict)

    @property
    def bake(self) -> Bake:
        return self.fold.state.bake


def placed(read: Index, measured: Index, before: BakeRecord | None, now: BakeRecord | None) -> None:
    """Note a bake under its culture, if something was read, and under its oven; or no longer."""
    for index, of in ((read, _culture_read), (measured, _oven_measured)):
        for record, there in ((before, False), (now, True)):
            if record is None or (name := of(record)) is None:
                continue
            places = list(index.get(name, ()))
            place = record.bake.plan.ready, record.bake.key
            at = bisect_left(places, place)
            if at < len(places) and places[at] == place:
                del places[at]
            if there:
                places.insert(at, place)
            index[name] = places


def _culture_read(record: BakeRecord) -> str | None:
    """The culture that is learned of from a bake."""
    bake = record.bake
    read = any(news.readings for news in bake.news.values())
    return bake.plan.culture.casefold() if read and not bake.given_up else None


def _oven_measured(record: BakeRecord) -> str | None:
    """The oven that is learned of from a bake."""
    return oven_of(record.bake) if record.measured and not record.bake.given_up else None
