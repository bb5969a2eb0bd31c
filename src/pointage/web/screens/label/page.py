"""The label of a formula's bread."""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar

from pointage.web.forms.field import Field
from pointage.web.frame import Frame


@dataclass(frozen=True, slots=True)
class PanelLine:
    """A figure: what it is, whether it is a part of the one above, and what is in so much."""

    what: str
    indented: bool
    hundred: str
    portion: str
    daily: str


@dataclass(frozen=True, slots=True)
class ListedPart:
    """An ingredient of the list. warns: it is an allergen that must stand out."""

    label: str
    warns: bool
    comes_from: str


@dataclass(frozen=True, slots=True)
class LabelPage:
    """What a bread contains. error: what cannot be used and is of no field."""

    template: ClassVar[str] = "label.html"
    frame: Frame
    slug: str
    name: str
    facts: tuple[tuple[str, str], ...]
    fields: tuple[Field, ...]
    error: str
    portion_head: str
    with_daily: bool
    panel: tuple[PanelLine, ...]
    ingredients: tuple[ListedPart, ...]
    contains: str
    may_contain: str
    cautions: tuple[str, ...]
