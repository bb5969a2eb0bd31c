"""A recipe that is pasted, and what it was read as."""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar

from pointage.web.forms.field import Field
from pointage.web.frame import Frame


@dataclass(frozen=True, slots=True)
class RecipeRow:
    """A line as typed, what it was taken for (empty where it was left out), and what to check.

    unknown: the words of an ingredient that nobody knows.
    """

    typed: str
    taken: str
    mass: str
    percent: str
    doubts: tuple[str, ...]
    unknown: str = ""


@dataclass(frozen=True, slots=True)
class RecipePage:
    """The recipe's text, and below it what was read. draft: of its formula, empty before that.

    method: what is said of each step, under its title.
    """

    template: ClassVar[str] = "formula_read.html"
    frame: Frame
    text: str
    country: Field
    error: str = ""
    name: str = ""
    facts: str = ""
    rows: tuple[RecipeRow, ...] = ()
    doubts: tuple[str, ...] = ()
    method: tuple[tuple[str, str], ...] = ()
    draft: str = ""
    bread: Field | None = None
