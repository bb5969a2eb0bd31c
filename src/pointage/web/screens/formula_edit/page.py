"""A formula as it is edited: its table with cells to type in, and what follows from them."""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar

from pointage.web.forms.field import Choice, Field
from pointage.web.frame import Frame, Side
from pointage.web.screens.culture.page import Table


@dataclass(frozen=True, slots=True)
class EditCell:
    """A cell. field: the name it is sent by, empty where it is calculated; here: of the column that
    a phone shows."""

    key: str
    field: str
    text: str
    label: str
    error: str
    here: bool


@dataclass(frozen=True, slots=True)
class EditRow:
    """A row: an ingredient by its name, or what is taken of a stage, which has none."""

    label: str
    ingredient: str
    cells: tuple[EditCell, ...]


@dataclass(frozen=True, slots=True)
class EditColumn:
    """A column: the total, or a stage by its number."""

    key: str
    name: str
    unit: str
    facts: str
    sum: str
    here: bool


@dataclass(frozen=True, slots=True)
class StageForm:
    """What is said of a stage beside its amounts. is_dough: it stays."""

    key: str
    name: str
    facts: str
    fields: tuple[Field, ...]
    error: str
    here: bool
    is_dough: bool


@dataclass(frozen=True, slots=True)
class Outcome:
    """Something that follows; before: what it was, empty where it stayed."""

    name: str
    now: str
    before: str


@dataclass(frozen=True, slots=True)
class TypedRow:
    """A line as it was typed, what it was taken for, and what is still to be settled of it."""

    key: str
    line: str
    taken: str
    doubts: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class EditPage:
    """A draft. draft, side, extra, column and after are sent along with every change.

    wrong: each field that cannot be used: its id, its label and why. both: the revision that was
    kept meanwhile, and the draft.
    """

    template: ClassVar[str] = "formula_edit.html"
    frame: Frame
    path: str
    title: str
    back: str
    what_if: str
    draft: str
    side: Field
    extra: str
    column: str
    after: str
    keep: str
    columns: tuple[EditColumn, ...]
    rows: tuple[EditRow, ...]
    stages: tuple[StageForm, ...]
    total_error: str
    outcomes: tuple[Outcome, ...]
    further: tuple[Outcome, ...]
    changed: Table | None
    head: tuple[Field, ...]
    words: tuple[Field, ...]
    own_words: tuple[Field, ...]
    typed: tuple[TypedRow, ...]
    unsettled: int
    process: tuple[Field, ...]
    new_stage: tuple[Field, ...]
    method: Field
    ingredient: Field
    known: tuple[Choice, ...]
    error: str
    wrong: tuple[tuple[str, str, str], ...] = ()
    both: tuple[Side, ...] = ()
