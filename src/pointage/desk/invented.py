"""Whether an answer is of the demonstration kitchen, for want of a kitchen of one's own."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import dataclass

from pointage.language import say


@dataclass
class StoodIn:
    """What stood in for a kitchen of one's own: the name of an invented one, or nothing."""

    kitchen: str = ""

    @property
    def words(self) -> str:
        """A line for whoever reads the answer; empty where nothing stood in."""
        return self.kitchen and say(
            "{kitchen} is an invented kitchen: it stands in until you have your own, which begins "
            "with pointage serve",
            kitchen=self.kitchen,
        )


_here: ContextVar[StoodIn | None] = ContextVar("stood in", default=None)


@contextmanager
def watched() -> Iterator[StoodIn]:
    """What stands in while one answer is made."""
    found = StoodIn()
    token = _here.set(found)
    try:
        yield found
    finally:
        _here.reset(token)


def stands_in(kitchen: str) -> None:
    """An invented kitchen is used, by this name."""
    if (found := _here.get()) is not None:
        found.kitchen = kitchen
