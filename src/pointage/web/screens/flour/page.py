"""The flour page: three small sums with a mill's sheet in hand."""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar

from pointage.web.frame import Frame


@dataclass(frozen=True, slots=True)
class TypeLine:
    """A national type: where, what it is called, and its ash."""

    country: str
    called: str
    ash: str


@dataclass(frozen=True, slots=True)
class FlourPage:
    """typed and errors: by field. blended, converted: lines of an answer, name and value."""

    template: ClassVar[str] = "flour.html"
    frame: Frame
    typed: dict[str, str]
    errors: dict[str, str]
    blended: tuple[tuple[str, str], ...]
    blend_types: tuple[TypeLine, ...]
    converted: str
    types: tuple[TypeLine, ...]
