"""A state brought through events in their order, so that what is new costs only what is new.

Events come with their place in time. One that comes late, or goes, sends the state back to the last
one saved before it; the rest is gone through again, so the outcome never hangs on the order of
arrival.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Generic, TypeVar

State = TypeVar("State")
Event = TypeVar("Event")

Key = tuple[datetime, int, str]
"""When it happened; of what happens at one instant, which comes first; and a name of its own."""

SAVED = 32
"""So many of the latest states are kept: a phone that was away for an hour costs an hour."""


@dataclass(frozen=True, slots=True)
class Fold(Generic[State, Event]):
    """Events in order, and the states after so many of them, the latest last."""

    start: State
    events: Sequence[tuple[Key, Event]] = ()
    saved: Sequence[tuple[int, State]] = ()

    @property
    def state(self) -> State:
        """What all events come to."""
        return self.saved[-1][1] if self.saved else self.start

    def with_events(
        self,
        gone: Iterable[Key],
        new: Iterable[tuple[Key, Event]],
        step: Callable[[State, Event], State],
    ) -> tuple[Fold[State, Event], int]:
        """The fold without the events of these keys and with these new ones; and steps gone again.

        step: the state after an event; it must be total and must not change what it is given.
        """
        events = list(self.events)
        first = len(events)
        for key in gone:
            at = bisect_left(events, key, key=_key)
            if at < len(events) and events[at][0] == key:
                del events[at]
                first = min(first, at)
        added = 0
        for each in new:
            at = bisect_left(events, each[0], key=_key)
            events.insert(at, each)
            first = min(first, at)
            added += 1
        kept = [each for each in self.saved if each[0] <= first]
        done, state = kept[-1] if kept else (0, self.start)
        again = len(events) - done - added
        for number in range(done, len(events)):
            state = step(state, events[number][1])
            kept.append((number + 1, state))
        return Fold(self.start, events, kept[-SAVED:]), max(again, 0)


def _key(each: tuple[Key, object]) -> Key:
    return each[0]
