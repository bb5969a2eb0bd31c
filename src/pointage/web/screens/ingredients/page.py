"""Ingredients of one's own."""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar

from pointage.web.forms.field import Field
from pointage.web.frame import Frame


@dataclass(frozen=True, slots=True)
class OwnLine:
    """One of them: what is known of it, what is not, and what hangs on it. form: its fields.

    opened: the form is open, with what cannot be used.
    """

    entry: str
    name: str
    facts: str
    lacks: str
    hangs: str
    form: tuple[Field, ...]
    opened: bool
    above: str


@dataclass(frozen=True, slots=True)
class GoneLine:
    """One that was removed, and the entry that did it."""

    removal: str
    name: str


@dataclass(frozen=True, slots=True)
class IngredientsPage:
    """Those there are, a form for another, and those that were removed. known: what it may be like.

    opened: the form for another is open.
    """

    template: ClassVar[str] = "ingredients.html"
    frame: Frame
    lines: tuple[OwnLine, ...]
    form: tuple[Field, ...]
    opened: bool
    above: str
    gone: tuple[GoneLine, ...]
    known: tuple[str, ...]
