"""The daybook as it reads now, kept up to date from the newest entries alone.

A journal is never changed: what is new makes the next one, and says which lines read otherwise.
"""

from __future__ import annotations

from bisect import bisect_left, insort
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import datetime
from typing import overload

from pointage.daybook.entry import Entry
from pointage.daybook.replay import (
    Line,
    amended,
    in_order,
    in_turn,
    line_of,
)

Place = tuple[datetime, datetime, str]


@dataclass(frozen=True, slots=True)
class Turned:
    """A line that reads otherwise than before; `before` is None for a new one."""

    before: Line | None
    now: Line


@dataclass(frozen=True, slots=True)
class Journal:
    """A kitchen's daybook.

    change: the kitchen's change up to which it reads. lines: every entry that is no amendment, with
    what became of it, by id; places: their places in time, in order, as they were written;
    moved: the places of those that now read as of another time.
    """

    change: int = 0
    entries: Mapping[str, Entry] = field(default_factory=dict)
    about: Mapping[str, tuple[Entry, ...]] = field(default_factory=dict)
    lines: Mapping[str, Line] = field(default_factory=dict)
    places: Sequence[Place] = ()
    moved: Mapping[str, Place] = field(default_factory=dict)

    def with_new(self, entries: Iterable[Entry], change: int) -> tuple[Journal, list[Turned]]:
        """The journal with these entries too, and the lines that read otherwise for them.

        An entry that is there already changes nothing.
        """
        every, about = dict(self.entries), dict(self.about)
        touched: dict[str, None] = {}
        new = []
        for entry in entries:
            if entry.id in every:
                continue
            new.append(entry)
            every[entry.id] = entry
            target = amended(entry)
            if target is not None:
                about[target] = tuple(in_turn((*about.get(target, ()), entry)))
        for entry in new:
            touched[_root(entry, every)] = None
        lines, places, moved = dict(self.lines), list(self.places), dict(self.moved)
        turned = []
        for root in touched:
            # What amends an entry that is not here waits for it.
            if root not in every or amended(every[root]) is not None:
                continue
            before, now = lines.get(root), line_of(every[root], about)
            lines[root] = now
            if before is None:
                insort(places, in_order(now.written))
            moved.pop(root, None)
            if now.now is not None and now.now.happened != now.written.happened:
                moved[root] = in_order(now.written)
            if before != now:
                turned.append(Turned(before, now))
        return Journal(change, every, about, lines, places, moved), turned

    def in_order(self) -> Sequence[Line]:
        """Every line in the order in which it was written; looked up as they are asked for."""
        return _InOrder(self)

    def in_force(self) -> list[Entry]:
        """The entries that hold, as they read now, in the order in which they happened."""
        return sorted(
            (line.now for line in self.lines.values() if line.now is not None), key=in_order
        )

    def line(self, name: str) -> Line | None:
        """The line that the entry called so began or amends; None where there is none."""
        entry = self.entries.get(name)
        return None if entry is None else self.lines.get(_root(entry, self.entries))

    def waiting(self) -> list[Line]:
        """What amends an entry that is not here, or amends in a ring: a line of its own each.

        It changes nothing, unless what it names comes. Withdrawn, it reads as nothing.
        """
        rings = {name for name in self.about if self._in_ring(name)}
        first = [
            each
            for target, said in self.about.items()
            if target in rings or target not in self.entries
            for each in said
            if target not in rings or each.id in rings  # else it amends one that waits
        ]
        if not first:
            return []
        about = {
            target: tuple(each for each in said if each.id not in rings)
            for target, said in self.about.items()
        }
        lines = [line_of(each, about) for each in first]
        return [replace(line, now=line.now and line.written) for line in lines]

    def _in_ring(self, name: str) -> bool:
        passed = {name}
        entry = self.entries.get(name)
        while entry is not None and (target := amended(entry)) is not None:
            if target in passed:
                return target == name
            passed.add(target)
            entry = self.entries.get(target)
        return False

    def since(self, at: datetime) -> list[Line]:
        """The lines that read as of `at` or later, in the order in which they were written."""
        first = bisect_left(self.places, at, key=lambda place: place[0])
        earlier = sorted(place for place in self.moved.values() if place[0] < at)
        found = [self.lines[name] for _, _, name in (*earlier, *self.places[first:])]
        return [line for line in found if (line.now or line.written).happened >= at]


@dataclass(frozen=True, slots=True, eq=False)
class _InOrder(Sequence[Line]):
    """The lines of a journal in order. A page shows forty of years of them."""

    journal: Journal

    def __len__(self) -> int:
        return len(self.journal.places)

    @overload
    def __getitem__(self, at: int) -> Line: ...

    @overload
    def __getitem__(self, at: slice) -> list[Line]: ...

    def __getitem__(self, at: int | slice) -> Line | list[Line]:
        lines, places = self.journal.lines, self.journal.places
        if isinstance(at, slice):
            return [lines[name] for _, _, name in places[at]]
        return lines[places[at][2]]


def _root(entry: Entry, every: Mapping[str, Entry]) -> str:
    """The id of the entry that this one amends in the end; its own when it amends none."""
    passed = set()
    while (target := amended(entry)) is not None and target not in passed:
        passed.add(target)
        if target not in every:
            return target
        entry = every[target]
    return entry.id
