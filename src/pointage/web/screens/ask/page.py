"""What is asked about before it is recorded."""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar

from pointage.web.frame import Frame


@dataclass(frozen=True, slots=True)
class AskPage:
    """Something that can be and is hardly ever meant. questions: what is odd about it, a line each.

    path, fields: the form as it was sent; sure, back: the names of the buttons that send it again.
    other: the other degrees, where they may have been meant.
    """

    template: ClassVar[str] = "ask.html"
    frame: Frame
    questions: tuple[str, ...]
    path: str
    fields: tuple[tuple[str, str], ...]
    sure: str
    back: str
    other: str = ""
