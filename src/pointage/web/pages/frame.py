"""What stands on every page, and what several of them print."""

from __future__ import annotations

from dataclasses import dataclass

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
class Frame:
    """What stands around every page. screen: which of the four words is marked.

    trouble: what the one who minds the machine must know, such as a backup that failed; or empty.
    aside: what the figures leave out, and the address that says more.
    """

    kitchen: str
    screen: str
    theme: str
    made: Moment
    path: str
    trouble: str = ""
    aside: tuple[tuple[str, str], ...] = ()


@dataclass(frozen=True, slots=True)
class ConflictNote:
    """A wish that stands in the way, and what giving it up would bring."""

    name: str
    sentence: str
    relaxed: str
