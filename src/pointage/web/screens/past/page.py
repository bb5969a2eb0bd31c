"""Looking back: pictures of a culture's or a formula's past, and what changed between two bakes."""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar

from pointage.web.forms.field import Choice, Field
from pointage.web.frame import Drawing, Frame
from pointage.web.screens.culture.page import Table


@dataclass(frozen=True, slots=True)
class Picture:
    """One picture with its sentence, and the same as a table."""

    title: str
    lead: str
    drawing: Drawing
    table: Table


@dataclass(frozen=True, slots=True)
class PastPage:
    """pending: what is still being worked out, or nothing; changes: numbered as in the picture."""

    template: ClassVar[str] = "past.html"
    frame: Frame
    name: str
    lead: str
    pictures: tuple[Picture, ...]
    changes: tuple[tuple[str, str], ...]
    pending: str
    nothing: str
    onward: tuple[Choice, ...]


@dataclass(frozen=True, slots=True)
class ChangedLine:
    """One difference. share: of the strongest effect, 0 to 100, for its bar; way: how it acted."""

    sentence: str
    share: int
    way: str


@dataclass(frozen=True, slots=True)
class ComparePage:
    """What changed between two bakes."""

    template: ClassVar[str] = "compare.html"
    frame: Frame
    fields: tuple[Field, ...]
    title: str
    lines: tuple[ChangedLine, ...]
    nothing: str
