"""The flour page: three small sums with a mill's sheet in hand."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import ClassVar

from pointage.web.forms.field import Field
from pointage.web.frame import Frame


@dataclass(frozen=True, slots=True)
class TypeLine:
    """A national type: where, what it is called, and its ash."""

    country: str
    called: str
    ash: str


@dataclass(frozen=True, slots=True)
class FlourPage:
    """fields: by name. beyond: why no blend can be calculated, or empty.

    blended, converted: lines of an answer, name and value.
    """

    template: ClassVar[str] = "flour.html"
    frame: Frame
    fields: Mapping[str, Field]
    beyond: str
    blended: tuple[tuple[str, str], ...]
    blend_types: tuple[TypeLine, ...]
    converted: str
    types: tuple[TypeLine, ...]
