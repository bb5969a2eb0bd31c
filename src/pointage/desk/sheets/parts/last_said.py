"""The last thing recorded of each bake and culture, whether or not it still stands.

A number taken from what stands goes down again once something is taken back; this one never does.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any

from pointage.daybook.entry import Entry, EntryKind
from pointage.daybook.replay import amended
from pointage.desk.now.bakes.bake import plan_document

Subject = tuple[str, str]
BAKE, CULTURE = "bake", "culture"


@dataclass(frozen=True, slots=True)
class LastSaid:
    """Of a whole daybook. plans: every document of a plan that a bake ever had, the first first."""

    last: Mapping[Subject, tuple[int, datetime]] = field(default_factory=dict)
    plans: Mapping[str, tuple[Mapping[str, Any], ...]] = field(default_factory=dict)

    def of(self, *subjects: Subject) -> tuple[int, datetime] | None:
        """The highest number of them and the latest arrival; None where nothing was said."""
        found = [self.last[each] for each in subjects if each in self.last]
        if not found:
            return None
        return max(number for number, _ in found), max(at for _, at in found)


def last_said(entries: Mapping[str, Entry]) -> LastSaid:
    """entries: all of a daybook, by their ids."""
    last: dict[Subject, tuple[int, datetime]] = {}
    plans: dict[str, tuple[Mapping[str, Any], ...]] = {}
    for entry in sorted(entries.values(), key=lambda each: each.number):
        for subject in _subjects(entry, entries):
            number, arrived = last.get(subject, (0, entry.arrived))
            last[subject] = max(number, entry.number), max(arrived, entry.arrived)
            if subject[0] == BAKE:
                plans[subject[1]] = (*plans.get(subject[1], ()), *_documents(entry))
    return LastSaid(last, plans)


def _subjects(entry: Entry, entries: Mapping[str, Entry]) -> Iterator[Subject]:
    """What it is about; of an amendment, what the entry is about that it amends."""
    seen = {entry.id}
    while (target := amended(entry)) in entries and target not in seen and target is not None:
        seen.add(target)
        entry = entries[target]
    if entry.kind is EntryKind.PLAN:
        yield BAKE, entry.id
    for name in (BAKE, CULTURE):
        if isinstance(said := entry.body.get(name), str):
            yield name, said


def _documents(entry: Entry) -> Iterable[Mapping[str, Any]]:
    """The plan that it brings, if any: of its own, or as what it corrects should read."""
    if entry.kind is EntryKind.PLAN:
        yield entry.body
        return
    for body in (entry.body, entry.body.get("body")):
        if isinstance(body, Mapping) and isinstance(body.get("plan"), Mapping):
            yield plan_document(body)
