"""The Week, and a bake to be planned."""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar

from markupsafe import Markup

from pointage.web.forms.field import Field
from pointage.web.frame import ConflictNote, Frame, Moment
from pointage.web.screens.moves.page import UNMOVED, MovesBlock
from pointage.web.screens.week.loads import NO_LOADS, LoadsBlock


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
    """One bake in hand, in words. lacks: what there is too little of."""

    key: str
    title: str
    ready: Moment
    facts: tuple[str, ...]
    conflicts: tuple[ConflictNote, ...]
    lacks: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class WeekPage:
    """The Week: a sentence, a drawing with a row a day, the loads, each bake in words, the list."""

    template: ClassVar[str] = "week.html"
    frame: Frame
    sentence: str
    drawing: Markup | None
    drawing_words: str
    bakes: tuple[BakeNote, ...]
    days: tuple[DayRow, ...]
    moves: MovesBlock = UNMOVED
    loads: LoadsBlock = NO_LOADS


@dataclass(frozen=True, slots=True)
class PlanningPage:
    """A plan that is being worked out: of which formula; how many pieces and when, in words."""

    template: ClassVar[str] = "planning.html"
    frame: Frame
    formula: str
    words: str


@dataclass(frozen=True, slots=True)
class WishPage:
    """A bake to be planned. above: a line on the whole form, or empty.

    missing: what no plan can do without and is not there, each with where it is mended and its
    words. ready: when, asked for as `day` and `clock`. later: of one that cannot be then, the form
    with the first time at which it can; later_words: that time, on its button. lean: what may be
    leaned to; leans: something is.
    """

    template: ClassVar[str] = "wish.html"
    frame: Frame
    fields: tuple[Field, ...]
    ready: Field
    day: str
    clock: str
    above: str
    conflicts: tuple[ConflictNote, ...]
    missing: tuple[tuple[str, str, str], ...] = ()
    later: tuple[tuple[str, str], ...] = ()
    later_words: str = ""
    lean: tuple[Field, ...] = ()
    leans: bool = False
