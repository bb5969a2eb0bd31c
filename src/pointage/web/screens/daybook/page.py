"""The daybook: what can be written down, what was, and what became of it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar

from pointage.web.forms.field import Choice, Field
from pointage.web.frame import Frame, Moment


@dataclass(frozen=True, slots=True)
class LogForm:
    """Something that can be written down, folded until its title is pressed.

    touches: words of which one touch is enough; each sends the form. photo: it takes a photograph.
    """

    key: str
    title: str
    fields: tuple[Field, ...]
    more: tuple[Field, ...]
    touches: tuple[str, ...] = ()
    photo: bool = False
    opened: bool = False


@dataclass(frozen=True, slots=True)
class DaybookLine:
    """One line. was: the words before a correction; fate: what became of it, with why.

    aside: why it counts for nothing; doubt: why it is asked about. photo: its address, or nothing;
    lost: its photograph is not in the store. path: where it is put right.
    """

    at: Moment
    kind: str
    about: str
    words: str
    was: str
    gone: bool
    fate: str
    aside: str
    doubt: str
    photo: str
    lost: bool
    path: str


@dataclass(frozen=True, slots=True)
class DayOfLines:
    """The lines of one day, the latest first."""

    day: str
    lines: tuple[DaybookLine, ...]


@dataclass(frozen=True, slots=True)
class DaybookPage:
    """Log, and look back. histories: addresses of cultures' and formulas' pictures. back: "bench"
    where it was come from, or empty."""

    template: ClassVar[str] = "daybook.html"
    frame: Frame
    forms: tuple[LogForm, ...]
    error: str
    sizes: str
    filters: tuple[Field, ...]
    found: str
    days: tuple[DayOfLines, ...]
    newer: str
    older: str
    histories: tuple[Choice, ...]
    back: str = ""


@dataclass(frozen=True, slots=True)
class EntryPage:
    """One line with all that was said of it, to be corrected or withdrawn.

    fields: empty for what can only be withdrawn. again: it is withdrawn and can be brought back.
    bakes: for how many it was recorded at once.
    """

    template: ClassVar[str] = "entry.html"
    frame: Frame
    line: DaybookLine
    history: tuple[tuple[Moment, str], ...]
    path: str
    fields: tuple[Field, ...]
    why: str
    again: bool
    error: str
    bakes: int = 1
