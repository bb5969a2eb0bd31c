"""A page that cannot be had."""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar

from pointage.web.frame import Frame


@dataclass(frozen=True, slots=True)
class ErrorPage:
    """Why a page cannot be had, in one sentence."""

    template: ClassVar[str] = "error.html"
    frame: Frame
    title: str
    sentence: str
