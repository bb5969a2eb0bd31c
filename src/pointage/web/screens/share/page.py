"""A formula, a culture or raising one, as one page for other kitchens."""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar

from pointage.web.forms.field import Choice, Field
from pointage.web.frame import Frame


@dataclass(frozen=True, slots=True)
class SharePage:
    """What is shared, and what its page is for. path: where its form is sent. fields: of whose it
    is, for what has no file that says so. file: the page, once it is made. waits: it is being
    worked out; stopped: that was stopped. large: what is to be said of its size, or "". refused:
    why there can be none, or "".
    """

    template: ClassVar[str] = "share.html"
    frame: Frame
    title: str
    about: str
    back: Choice
    path: str
    fields: tuple[Field, ...] = ()
    file: str = ""
    waits: bool = False
    stopped: bool = False
    large: str = ""
    refused: str = ""
