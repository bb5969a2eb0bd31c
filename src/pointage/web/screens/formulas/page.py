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
    away, removed: those that were put away, and removed. kinds: what the list can be narrowed to,
    each with its words; kind: to which it is. alike: pairs that are much the same, each with the
    address of the two side by side. query: what was searched for; searched: there is a search.
    """

    template: ClassVar[str] = "formulas.html"
    frame: Frame
    formulas: tuple[ListedFormula, ...]
    aside: tuple[ListedFormula, ...] = ()
    away: tuple[ListedFormula, ...] = ()
    query: str = ""
    searched: bool = False
    removed: tuple[ListedFormula, ...] = ()
    kinds: tuple[tuple[str, str], ...] = ()
    kind: str = ""
    alike: tuple[tuple[str, str], ...] = ()


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

    method: each step's title and how it is worked, with the author's own words. others: what its
    other ingredients do. past: what was noted of its bakes: the bake, when, and the words. typed:
    the lines that it was read from, each with what it was taken for. varies: of which it is a
    variation, and why; or empty. after: the revision that a mark is put after.
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
    others: tuple[str, ...] = ()
    past: tuple[tuple[str, str, str], ...] = ()
    linked: Markup = Markup()  # noqa: RUF009
    varies: str = ""
    favourite: bool = False
    after: str = ""
