"""The choices of a browser."""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar

from pointage.web.forms.field import Field
from pointage.web.frame import Frame


@dataclass(frozen=True, slots=True)
class UnitsPage:
    """fields: a choice each. back: the page that it was opened from."""

    template: ClassVar[str] = "units.html"
    frame: Frame
    fields: tuple[Field, ...]
    back: str
