"""What stands on every page, and what several of them print."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import ClassVar, Protocol

from markupsafe import Markup


@dataclass(frozen=True, slots=True)
class Moment:
    """An instant: as a baker reads it ("Sat 09:00") and as a machine does (ISO 8601)."""

    text: str
    iso: str


@dataclass(frozen=True, slots=True)
class Drawing:
    """One drawing in two widths, and the words a screen reader says for it."""

    narrow: Markup
    wide: Markup
    words: str


@dataclass(frozen=True, slots=True)
class WorkLine:
    """A piece of work: what it is of, and how far it is; or that it was stopped."""

    kind: str
    name: str
    words: str
    far: str
    stopped: bool


@dataclass(frozen=True, slots=True)
class WorkNow:
    """What is being worked out. busy: some of it is not stopped. since: what a page is as of.

    lines: what was stopped, what has begun and what comes next; to_follow: how many come after.
    """

    lines: tuple[WorkLine, ...] = ()
    to_follow: int = 0
    busy: bool = False
    since: int | None = None


@dataclass(frozen=True, slots=True)
class Frame:
    """What stands around every page. screen: which of the four words is marked.

    trouble: what the one who minds the machine must know, such as a backup that failed; or empty.
    work: what is being worked out when the page is written: what it asked for itself is among it.
    aside: what the figures leave out, and the address that says more. degrees: in which it shows
    temperatures. home: the address of the reader's own kitchen, where this is but to look round.
    """

    kitchen: str
    screen: str
    theme: str
    made: Moment
    path: str
    trouble: str = ""
    work: Callable[[], WorkNow] = WorkNow
    aside: tuple[tuple[str, str], ...] = ()
    degrees: str = "C"
    home: str = ""


@dataclass(frozen=True, slots=True)
class Side:
    """One of two texts of a document. lines: those near a difference, and whether each differs."""

    title: str
    lines: tuple[tuple[str, bool], ...]


class Page(Protocol):
    """What a screen prints: a frozen dataclass (`page.py` of the screen), all of it printed.

    Text is ready to print: times are in the kitchen's zone, masses and temperatures have their
    units. An `svg` is a finished drawing. A contract test renders every template from these alone
    and fails on a field that no template uses.
    """

    template: ClassVar[str]

    @property
    def frame(self) -> Frame:
        """What stands around it."""


@dataclass(frozen=True, slots=True)
class WorkBlock:
    """What is being worked out, alone: an open page takes it in the place of its own."""

    template: ClassVar[str] = "jobs.html"
    frame: Frame


@dataclass(frozen=True, slots=True)
class Doubt:
    """A reading that does not fit, why, and the entry that says it. bake, step: what it is of."""

    words: str
    reading: str
    bake: str = ""
    step: str = ""


@dataclass(frozen=True, slots=True)
class ConflictNote:
    """A wish that stands in the way, and what giving it up would bring."""

    name: str
    sentence: str
    relaxed: str
