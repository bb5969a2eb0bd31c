"""Paper: the list of what can be printed, and one sheet before it is."""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar

from pointage.web.forms.field import Choice, Field
from pointage.web.frame import Frame


@dataclass(frozen=True, slots=True)
class SheetGroup:
    """Subjects of one sort, each with its sheets."""

    title: str
    rows: tuple[PrintableRow, ...]


@dataclass(frozen=True, slots=True)
class PrintableRow:
    """A subject: a line of facts, and the sheets there are of it."""

    name: str
    facts: str
    sheets: tuple[Choice, ...]


@dataclass(frozen=True, slots=True)
class SheetsPage:
    """All that can be printed. papers: the sizes to choose from. feed: the address of the calendar
    to subscribe to; "" while nobody may. offered: whether it can be opened here.
    """

    template: ClassVar[str] = "sheets.html"
    frame: Frame
    papers: tuple[Choice, ...]
    paper: str
    groups: tuple[SheetGroup, ...]
    feed: str
    offered: bool
    trouble: str = ""


@dataclass(frozen=True, slots=True)
class PreviewPage:
    """One sheet: what may be asked of it, how it will look, and the file."""

    template: ClassVar[str] = "preview.html"
    frame: Frame
    title: str
    path: str
    fields: tuple[Field, ...]
    error: str
    picture: str
    words: str
    files: tuple[Choice, ...]
