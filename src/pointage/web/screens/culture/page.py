"""One culture: what it is and was, what can be recorded of it, and advice."""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar

from markupsafe import Markup

from pointage.web.forms.field import Choice, Field
from pointage.web.frame import Doubt, Drawing, Frame
from pointage.web.screens.bench.page import CultureAction, LastDone


@dataclass(frozen=True, slots=True)
class RecordForm:
    """Something that can be recorded of a culture: folded until its title is pressed.

    sent: what goes along with its fields. key: keeps its fields' ids apart from those of forms with
    the same action.
    """

    action: str
    title: str
    button: str
    fields: tuple[Field, ...]
    opened: bool = False
    caution: str = ""
    sent: tuple[tuple[str, str], ...] = ()
    key: str = ""


@dataclass(frozen=True, slots=True)
class Table:
    """A small table: its name, headings and rows of ready text."""

    caption: str
    headings: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]


@dataclass(frozen=True, slots=True)
class OddityNote:
    """What was recorded and cannot be so. path: of the entry that says it, "" where none does."""

    words: str
    path: str


@dataclass(frozen=True, slots=True)
class CulturePage:
    """One culture. advice: addresses and words of what may be asked. happened: when, for all
    forms; it is now where it is left empty. oddities: what was recorded and cannot be, and where it
    is put right. doubts: readings that do not fit. last: what was recorded last, and undo: where
    that is taken back. due: how a backup is brought back or put away, and notes on that."""

    template: ClassVar[str] = "culture.html"
    frame: Frame
    name: str
    jar: Markup
    jar_words: str
    made_of: str
    facts: tuple[tuple[str, str], ...]
    chart: Drawing | None
    oddities: tuple[OddityNote, ...]
    doubts: tuple[Doubt, ...]
    advice: tuple[Choice, ...]
    record_forms: tuple[RecordForm, ...]
    family: tuple[tuple[str, str], ...]
    used: tuple[tuple[str, str], ...]
    history: tuple[tuple[str, str], ...]
    error: str
    last: LastDone | None = None
    undo: str = ""
    due: CultureAction | None = None
    notes: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class AdvicePage:
    """An answer to one question about a culture; path: where its form is sent.

    doubts: what was read of the culture `so`, and is set aside.
    """

    template: ClassVar[str] = "advice.html"
    frame: Frame
    back: Choice | None
    path: str
    title: str
    lead: str
    fields: tuple[Field, ...]
    button: str
    error: str
    tables: tuple[Table, ...]
    notes: tuple[str, ...]
    cautions: tuple[str, ...]
    begin: RecordForm | None = None
    so: str = ""
    doubts: tuple[Doubt, ...] = ()
    links: tuple[Choice, ...] = ()
