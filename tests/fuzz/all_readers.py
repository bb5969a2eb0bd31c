"""Every reader of the program, from the cheapest to the dearest."""

from __future__ import annotations

from collections.abc import Iterator

from tests.fuzz import commands, pages, readers
from tests.fuzz.meter import Reader


def all_readers() -> Iterator[Reader]:
    yield from readers.readers()
    yield from pages.readers()
    yield from commands.readers()
