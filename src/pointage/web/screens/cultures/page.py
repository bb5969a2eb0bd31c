"""The cultures."""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar

from markupsafe import Markup

from pointage.web.forms.field import Choice
from pointage.web.frame import Drawing, Frame


@dataclass(frozen=True, slots=True)
class CultureNote:
    """One culture: its jar as it stands now, and what a baker asks of it.

    offers: what to do with a jar that is empty.
    """

    name: str
    jar: Markup
    jar_words: str
    made_of: str
    facts: tuple[tuple[str, str], ...]
    chart: Drawing | None
    ripe: str
    past: str
    pending: str
    offers: tuple[Choice, ...] = ()


@dataclass(frozen=True, slots=True)
class CulturesPage:
    """Every culture of the kitchen. backups: the names of those dried or frozen, and how old they
    are."""

    template: ClassVar[str] = "cultures.html"
    frame: Frame
    cultures: tuple[CultureNote, ...]
    backups: tuple[tuple[str, str], ...] = ()
