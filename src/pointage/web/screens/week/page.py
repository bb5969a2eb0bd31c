"""The Week, and a bake to be planned."""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar

from markupsafe import Markup

from pointage.web.forms.field import Choice
from pointage.web.frame import ConflictNote, Frame, Moment


@dataclass(frozen=True, slots=True)
class AgendaLine:
    """One step in the list of a day."""

    at: Moment
    title: str
    rest: str
    hands: bool
    done: bool


@dataclass(frozen=True, slots=True)
class DayRow:
    """One day: its strip for a small screen and its list."""

    name: str
    strip: Markup
    lines: tuple[AgendaLine, ...]


@dataclass(frozen=True, slots=True)
class BakeNote:
    """One bake in hand, in words."""

    key: str
    title: str
    ready: Moment
    facts: tuple[str, ...]
    conflicts: tuple[ConflictNote, ...]


@dataclass(frozen=True, slots=True)
class WeekPage:
    """The Week: a sentence, a drawing with a row a day, each bake in words, the list."""

    template: ClassVar[str] = "week.html"
    frame: Frame
    sentence: str
    drawing: Markup | None
    drawing_words: str
    bakes: tuple[BakeNote, ...]
    days: tuple[DayRow, ...]


@dataclass(frozen=True, slots=True)
class PlanningPage:
    """A plan that is being worked out: of which formula; how many pieces and when, in words."""

    template: ClassVar[str] = "planning.html"
    frame: Frame
    formula: str
    words: str


@dataclass(frozen=True, slots=True)
class WishPage:
    """A bake to be planned. The fields hold what was typed; errors are by the field's name."""

    template: ClassVar[str] = "wish.html"
    frame: Frame
    choices: tuple[Choice, ...]
    formula: str
    pieces: str
    day: str
    clock: str
    zone: str
    errors: dict[str, str]
    conflicts: tuple[ConflictNote, ...]
