"""The formula book: revisions, two formulas side by side, what if, and a formula from a file."""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar

from pointage.web.forms.field import Field
from pointage.web.frame import Frame, Moment, Side
from pointage.web.screens.culture.page import Table
from pointage.web.screens.formula_edit.page import Outcome


@dataclass(frozen=True, slots=True)
class RevisionLine:
    """One revision. kept: None where the date is not known; beside: the address of it and the one
    before, side by side; empty for the first."""

    number: str
    kept: Moment | None
    what: str
    edit: str
    file: str
    beside: str


@dataclass(frozen=True, slots=True)
class RevisionsPage:
    """Every revision of a formula, the last first. hangs: what hangs on it, in lines."""

    template: ClassVar[str] = "formula_revisions.html"
    frame: Frame
    slug: str
    name: str
    revisions: tuple[RevisionLine, ...]
    put_away: bool = False
    removed: bool = False
    hangs: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class SideBySidePage:
    """Two formulas or revisions. tables: what is in them; take: the address of the first as a
    draft of the second's next revision, empty where they are of two formulas."""

    template: ClassVar[str] = "formula_compare.html"
    frame: Frame
    title: str
    sides: tuple[Field, ...]
    outcomes: tuple[Outcome, ...]
    tables: tuple[Table, ...]
    take: str
    same: str


@dataclass(frozen=True, slots=True)
class WishForm:
    """One thing that may be asked."""

    key: str
    title: str
    fields: tuple[Field, ...]
    opened: bool


@dataclass(frozen=True, slots=True)
class WhatIfPage:
    """A formula as it would be. draft, after: sent along; take: the address of the answer."""

    template: ClassVar[str] = "formula_what_if.html"
    frame: Frame
    slug: str
    name: str
    draft: str
    after: str
    wishes: tuple[WishForm, ...]
    error: str
    outcomes: tuple[Outcome, ...]
    changed: Table | None
    notes: tuple[str, ...]
    take: str


@dataclass(frozen=True, slots=True)
class ImportPage:
    """A formula from a file. again: says that it is the next revision of what is there.

    mended: the slug of the formula whose text it is to replace, or empty; after: the revision of it
    that was shown. both: the revision kept meanwhile, shown at `leave`, and what was typed.
    """

    template: ClassVar[str] = "formula_import.html"
    frame: Frame
    text: str
    error: str
    again: str
    mended: str
    after: str = ""
    both: tuple[Side, ...] = ()
    leave: str = ""
