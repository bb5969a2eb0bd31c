"""Daybooks of chance: entries amended, amended again and withdrawn, in any order and in batches."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from typing import Any, TypeVar
from uuid import UUID

from hypothesis import strategies as st

from pointage.daybook.entry import Entry, EntryKind

NOON = datetime(2026, 11, 25, 12, tzinfo=UTC)
MINUTE = timedelta(minutes=1)
NOT_HERE = str(UUID(int=7))
"""No entry is ever called so."""

Item = TypeVar("Item")


def entry(number: int, kind: EntryKind, body: dict[str, Any], happened: int, arrived: int) -> Entry:
    """An entry whose id is `number`; minutes from noon."""
    at, came = NOON + happened * MINUTE, NOON + arrived * MINUTE
    return Entry(str(UUID(int=number)), "k1", kind, at, came, "Orla", body)


@st.composite
def numbers(draw: st.DrawFn, count: int, first: int = 0) -> list[int]:
    """Ids in no order, so that a tie in arrival does not follow the order of writing.

    first: from 0 to 99, so that two lots of them, of which one is short, have none in common.
    """
    chance = draw(st.lists(st.integers(1, 2**60), min_size=count, max_size=count))
    return [each * 100 + first + at for at, each in enumerate(chance)]


@st.composite
def amended(draw: st.DrawFn, roots: Sequence[Entry], most: int) -> list[Entry]:
    """These entries and amendments: of them, of each other in rings, and of what is not here."""
    count = draw(st.integers(0, most))
    names = [str(UUID(int=each)) for each in draw(numbers(count, 50))]
    targets = [each.id for each in roots] + names + [NOT_HERE]
    bodies = [each.body for each in roots] or [{"rise": 1.0}]
    found = list(roots)
    for name in names:
        body: dict[str, Any] = {"entry": draw(st.sampled_from(targets))}
        kind = draw(st.sampled_from((EntryKind.CORRECTED, EntryKind.WITHDRAWN)))
        if kind is EntryKind.CORRECTED:
            body["body"] = draw(st.sampled_from(bodies))
            if draw(st.booleans()):
                moved = NOON + draw(st.integers(0, 3)) * MINUTE
                body["happened"] = moved.isoformat()
        new = entry(1, kind, body, draw(st.integers(0, 3)), draw(st.integers(0, 4)))
        found.append(replace(new, id=name))
    return found


@st.composite
def batches(draw: st.DrawFn, every: Sequence[Item]) -> list[list[Item]]:
    """The same in another order, in batches, some of them twice."""
    twice = draw(st.lists(st.sampled_from(every), max_size=3)) if every else []
    rest = draw(st.permutations([*every, *twice]))
    found = []
    while rest:
        size = draw(st.integers(1, len(rest)))
        found.append(rest[:size])
        rest = rest[size:]
    return found
