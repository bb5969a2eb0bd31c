"""A formula as one page for other kitchens."""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar

from pointage.web.frame import Frame


@dataclass(frozen=True, slots=True)
class SharePage:
    """The formula. made: whether its page can be downloaded; waits: it is being worked out; else
    that was stopped. refused: why there can be none, or ""."""

    template: ClassVar[str] = "share.html"
    frame: Frame
    name: str
    slug: str
    made: bool = False
    waits: bool = False
    refused: str = ""
