"""The formulas."""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar

from markupsafe import Markup

from pointage.web.forms.field import Field
from pointage.web.frame import Frame


@dataclass(frozen=True, slots=True)
class ListedFormula:
    """A formula in the list."""

    slug: str
    name: str
    facts: str


@dataclass(frozen=True, slots=True)
class FormulasPage:
    """Every formula of the kitchen. aside: those whose text cannot be read, with the reason.
    away: those that were put away."""

    template: ClassVar[str] = "formulas.html"
    frame: Frame
    formulas: tuple[ListedFormula, ...]
    aside: tuple[ListedFormula, ...] = ()
    away: tuple[ListedFormula, ...] = ()


@dataclass(frozen=True, slots=True)
class SheetLine:
    """An ingredient's row: its name, percent and total, then grams by stage.

    measure: the total in cups and spoons, for those who ask.
    """

    name: str
    percent: str
    total: str
    in_stage: tuple[str, ...]
    measure: str = ""


@dataclass(frozen=True, slots=True)
class StageCard:
    """A stage by itself, as a phone shows it: what goes in, each with its mass."""

    name: str
    facts: str
    rows: tuple[tuple[str, str], ...]
    total: str


@dataclass(frozen=True, slots=True)
class FormulaPage:
    """One formula as the trade's table. linked: the same as linked data, for other programs.

    method: each step's title and how it is worked, with the author's own words. typed: the lines
    that it was read from, each with what it was taken for. varies: of which it is a variation, and
    why; or empty.
    """

    template: ClassVar[str] = "formula.html"
    frame: Frame
    slug: str
    name: str
    pieces: str
    piece: str
    wants: tuple[Field, ...]
    errors: dict[str, str]
    facts: tuple[tuple[str, str], ...]
    stages: tuple[tuple[str, str], ...]
    cards: tuple[StageCard, ...]
    rows: tuple[SheetLine, ...]
    totals: SheetLine
    notes: tuple[str, ...]
    cautions: tuple[str, ...]
    volumes: str
    method: tuple[tuple[str, str], ...] = ()
    typed: tuple[tuple[str, str], ...] = ()
    linked: Markup = Markup()  # noqa: RUF009
    varies: str = ""
