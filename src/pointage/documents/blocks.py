"""A sheet of paper as data: what it is called, and its blocks from top to bottom.

Every text is ready to print. None in a row is a line to write on.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar, Literal

Cell = str | None


@dataclass(frozen=True, slots=True)
class PrintedTable:
    """A table. align: "l" or "r" a column. strong: columns whose figures are large. wide: the
    column that takes what is left of the width. tick: a box before each row. even: columns that
    share what is left, to write in."""

    kind: ClassVar[str] = "table"
    heading: str
    heads: tuple[str, ...]
    rows: tuple[tuple[Cell, ...], ...]
    align: str
    foot: tuple[str, ...] = ()
    under: str = ""
    strong: tuple[int, ...] = ()
    wide: int | None = None
    tick: bool = False
    even: tuple[int, ...] = ()


@dataclass(frozen=True, slots=True)
class PrintedStep:
    """A thing to do, with a box to tick. when: "Sat 13:00". done: a line for when it was done."""

    when: str
    title: str
    text: str = ""
    done: bool = True


@dataclass(frozen=True, slots=True)
class PrintedSteps:
    """Things to do in their order. done: what stands over the lines to write on."""

    kind: ClassVar[str] = "steps"
    heading: str
    rows: tuple[PrintedStep, ...]
    done: str = ""


@dataclass(frozen=True, slots=True)
class PrintedCourse:
    """A course drawn. points, low, high: x from 0 to 1 and y from 0 to 1, upwards. ripe: from and
    until, x. marks: x and the hour; levels: y and the rise."""

    kind: ClassVar[str] = "course"
    heading: str
    points: tuple[tuple[float, float], ...]
    low: tuple[tuple[float, float], ...]
    high: tuple[tuple[float, float], ...]
    ripe: tuple[float, float] | None
    marks: tuple[tuple[float, str], ...]
    levels: tuple[tuple[float, str], ...]
    under: str = ""


@dataclass(frozen=True, slots=True)
class PrintedLines:
    """Lines to write on."""

    kind: ClassVar[str] = "lines"
    heading: str
    number: int = 4


@dataclass(frozen=True, slots=True)
class PrintedNotes:
    """Sentences."""

    kind: ClassVar[str] = "notes"
    heading: str
    texts: tuple[str, ...]
    marked: bool = False
    """Cautions, with a bar beside them."""


@dataclass(frozen=True, slots=True)
class PrintedMargin:
    """A text with the why of it in the margin."""

    title: str
    text: str
    why: str = ""


@dataclass(frozen=True, slots=True)
class PrintedMethod:
    """How it is made, step by step. why: what stands over the margin."""

    kind: ClassVar[str] = "method"
    heading: str
    rows: tuple[PrintedMargin, ...]
    why: str = ""


@dataclass(frozen=True, slots=True)
class PrintedTerms:
    """Words and what they mean."""

    kind: ClassVar[str] = "terms"
    heading: str
    rows: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class Beside:
    """Columns beside each other, each with its blocks from top to bottom."""

    kind: ClassVar[str] = "beside"
    columns: tuple[tuple[Block, ...], ...]


@dataclass(frozen=True, slots=True)
class PrintedColumns:
    """Tables in two or three columns of about the same height, read down one and then the next.

    wide: whether the first of them takes both of two columns; of three it takes two unless it has
    few heads.
    """

    kind: ClassVar[str] = "columns"
    tables: tuple[PrintedTable, ...]
    wide: bool = False


Block = (
    PrintedTable
    | PrintedSteps
    | PrintedCourse
    | PrintedLines
    | PrintedNotes
    | PrintedMethod
    | PrintedTerms
    | Beside
    | PrintedColumns
)


@dataclass(frozen=True, slots=True)
class Sheet:
    """A sheet. lead: a sentence under the title. facts: names and figures below it. foot: at the
    foot of each page. address: of the live page, drawn as a code to be photographed; scan: the
    words under that."""

    title: str
    lead: str
    blocks: tuple[Block, ...]
    facts: tuple[tuple[str, str], ...] = ()
    foot: str = ""
    address: str = ""
    scan: str = ""
    language: str = "en"
    leans: Literal["ltr", "rtl"] = "ltr"
