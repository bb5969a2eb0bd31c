"""What was said once of a build that several bakes share: written for each, counted once."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from datetime import datetime, timedelta
from uuid import UUID, uuid5

from pointage.daybook.entry import Entry
from pointage.daybook.readings import Reading, ReadingKind
from pointage.desk.answers import Bake
from pointage.timetable.plan import StepKind

AT_ONCE = timedelta(minutes=1)
"""What was recorded together arrived within this; only so far it is looked for."""
Sign = tuple[ReadingKind, float | None, datetime]


def part_of(entry: str, bake: str) -> str:
    """The identifier of what is written for another bake together with an entry."""
    return str(uuid5(UUID(entry), bake))


def said_at_once(entry: Entry, written: Iterable[Entry]) -> list[Entry]:
    """An entry, and those of `written` that were recorded together with it for other bakes."""
    if "bake" not in entry.body:
        return [entry]
    beside = [
        each
        for each in written
        if each.kind is entry.kind and each.id != entry.id and "bake" in each.body
        if abs(each.arrived - entry.arrived) <= AT_ONCE
    ]
    first = next((each for each in beside if _follows(entry, each)), entry)
    return [entry, *(each for each in beside if each is first or _follows(each, first))]


def _follows(entry: Entry, first: Entry) -> bool:
    """Whether it was written with the first, for its own bake."""
    return entry.id == part_of(first.id, str(entry.body["bake"]))


def read_before(bakes: Sequence[Bake], own: Bake | None = None) -> frozenset[str]:
    """The entries whose reading of a build another bake has as well, so that it counts once.

    Of bakes that share a build the first keeps it; where there is an `own`, that one does. What
    reads alike, to the instant, is one reading: hands are at one tub at a time.
    """
    known: set[Sign] = set() if own is None else {_sign(each) for each in of_builds(own)}
    found: set[str] = set()
    for bake in bakes:
        here = list(of_builds(bake))
        found |= {each.entry for each in here if _sign(each) in known}
        known |= {_sign(each) for each in here}
    return frozenset(found)


def of_builds(bake: Bake) -> Iterator[Reading]:
    """What was read of a bake's levains."""
    for step in bake.plan.steps:
        if step.kind is StepKind.BUILD:
            yield from bake.step_news(step.key).readings


def _sign(reading: Reading) -> Sign:
    return reading.kind, reading.value, reading.at
