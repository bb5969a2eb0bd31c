"""What passes between the pages and the process that plans, each as one pickle.

To there: `Posed`, and while it is solved at most one `STOP`. Back: any number of `Heard`, then
exactly one of `Answered`, `Raised`, `Unsaid` and `STOPPED`.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

from pointage.data.records import KitchenRecords, Record, ask_records, records_here
from pointage.language import ENGLISH, language, languages, speak
from pointage.shown import Shown, show, shown

STOP, STOPPED = "stop", "stopped"


@dataclass(frozen=True, slots=True)
class AskedFrom:
    """What is asked beside the arguments: the reader's language and units, of whom errors speak,
    and the ingredients that the kitchen has added."""

    language: str
    shown: Shown
    own: Mapping[str, Record]

    @classmethod
    def here(cls) -> AskedFrom:
        """As it is in this thread."""
        return cls(language().tag, shown(), records_here().own)

    def take(self, known: KitchenRecords) -> KitchenRecords:
        """Be so from here on. known: the kitchen's records of the question before, with what was
        worked out of them; gives those of this one."""
        speak(languages().get(self.language, ENGLISH))
        show(self.shown)
        if known.own != self.own:
            known = KitchenRecords()
            for name, record in self.own.items():
                known.keep(name, record)
        ask_records(known)
        return known


@dataclass(frozen=True, slots=True)
class Posed:
    """A question: a function and what it is given. hears: the names under which somebody hears of
    the work. memos: by name, the number of a memo that is kept there."""

    solve: Callable[..., Any]
    given: tuple[Any, ...]
    named: Mapping[str, Any]
    hears: tuple[str, ...]
    memos: Mapping[str, int]
    asked_from: AskedFrom


@dataclass(frozen=True, slots=True)
class Heard:
    """What somebody is to hear: the name, and what is said."""

    name: str
    said: tuple[Any, ...]


@dataclass(frozen=True, slots=True)
class Answered:
    """The answer."""

    answer: Any


@dataclass(frozen=True, slots=True)
class Raised:
    """What was raised instead, with notes of where."""

    error: BaseException


@dataclass(frozen=True, slots=True)
class Unsaid:
    """It was solved, but the answer cannot pass."""

    why: str
