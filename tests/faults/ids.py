"""Identifiers for what a round of faults sends, and whether it took effect."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any
from uuid import uuid4

from tests.whole.hall import Hall

from pointage.daybook.entry import Entry, EntryKind


@dataclass(frozen=True, slots=True)
class Ids:
    """The kitchen's bake of a round, and an identifier for its form."""

    bake: str
    entry: str

    @staticmethod
    def of(hall: Hall) -> Ids:
        """A plan of its own: what was said of another bake must not look like an effect."""
        plans = hall.store.entries(hall.kitchen, {EntryKind.PLAN})
        now, key = hall.now, str(uuid4())
        body = plans[0].body
        hall.store.append(Entry(key, hall.kitchen, EntryKind.PLAN, now, now, "baker", body))
        return Ids(key, str(uuid4()))

    def of_step(self, step: str, **rest: str) -> dict[str, str]:
        return {"entry": self.entry, "bake": self.bake, "step": step, **rest}


def news(hall: Hall, ids: Ids, step: str) -> Any:
    return hall.desk.present().every_bake[ids.bake].step_news(step)


def holds(entry: str) -> Callable[[Hall], bool]:
    def look(hall: Hall) -> bool:
        line = hall.desk.present().replayed.journal.line(entry)
        return line is not None and line.now is not None

    return look
