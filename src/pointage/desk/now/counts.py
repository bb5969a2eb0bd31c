"""How often texts were parsed and entries gone through, counted for the tests."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass


@dataclass
class ReadCounts:
    """texts: of kitchens and formulas that were parsed. entries: that were brought into the
    picture or gone through again."""

    texts: int = 0
    entries: int = 0


counts = ReadCounts()


@contextmanager
def uncounted() -> Iterator[None]:
    """What is tried in here and thrown away is not counted."""
    before = counts.texts, counts.entries
    try:
        yield
    finally:
        counts.texts, counts.entries = before
