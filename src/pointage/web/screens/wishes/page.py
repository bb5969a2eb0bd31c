"""Several bakes planned at once: the form of wishes, and what becomes of them."""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar

from markupsafe import Markup

from pointage.web.forms.field import Field
from pointage.web.frame import Frame, Moment
from pointage.web.screens.week.loads import LoadsBlock
from pointage.web.screens.week.page import DayRow


@dataclass(frozen=True, slots=True)
class WishRowForm:
    """A row of the form. more: the fields that are seldom needed; opened: one of them is filled."""

    number: int
    fields: tuple[Field, ...]
    more: tuple[Field, ...]
    opened: bool


@dataclass(frozen=True, slots=True)
class WishesPage:
    """The form: a row a wish. above: a line on the whole of it, or empty. none: no formula yet.

    lean: what may be leaned to; leans: something is.
    """

    template: ClassVar[str] = "wishes.html"
    frame: Frame
    rows: tuple[WishRowForm, ...]
    above: str
    none: bool
    lean: tuple[Field, ...] = ()
    leans: bool = False


@dataclass(frozen=True, slots=True)
class WishLine:
    """What becomes of a wish. when: it is ready, None where it is given up; likely: by its odds.

    row: of one that cannot be used, to be mended where it stands.
    """

    title: str
    when: Moment | None
    odds: str
    likely: bool
    facts: str
    row: WishRowForm | None = None


@dataclass(frozen=True, slots=True)
class WeekWayOut:
    """A way out of a clash: in words with its price, and the wishes as they then are."""

    words: str
    sent: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class ClashNote:
    """Wishes that cannot all be kept, and the ways out."""

    sentence: str
    ways: tuple[WeekWayOut, ...]


@dataclass(frozen=True, slots=True)
class AnswerPage:
    """What becomes of the wishes. sent: all that was typed, to be changed; usable: of it, what is
    of the wishes that can be used, where others cannot. error: why it could not be taken. missed:
    what the cultures need and nobody is free for, a sentence each."""

    template: ClassVar[str] = "week_answer.html"
    frame: Frame
    week: str
    status: str
    wishes: tuple[WishLine, ...]
    clashes: tuple[ClashNote, ...]
    drawing: Markup | None
    drawing_words: str
    loads: LoadsBlock
    days: tuple[DayRow, ...]
    sent: tuple[tuple[str, str], ...]
    can_take: int
    error: str = ""
    usable: tuple[tuple[str, str], ...] = ()
    missed: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class CanBeLine:
    """A formula that can be baked: when, how sure, what it asks; path: where it is planned."""

    title: str
    when: Moment | None
    odds: str
    likely: bool
    facts: tuple[str, ...]
    path: str


@dataclass(frozen=True, slots=True)
class CanBePage:
    """What can be baked. by: the field of when it is wanted, of `day` and `clock`, or empty. waits:
    it is worked out; stopped: that was cancelled."""

    template: ClassVar[str] = "can_be.html"
    frame: Frame
    lines: tuple[CanBeLine, ...]
    waits: bool
    by: Field
    day: str
    clock: str
    stopped: bool = False


@dataclass(frozen=True, slots=True)
class WeekWaitsPage:
    """A week that is being worked out, or whose work was stopped. so_far: what is known of each
    bake meanwhile, a line each."""

    template: ClassVar[str] = "week_waits.html"
    frame: Frame
    words: str
    waits: bool
    sent: tuple[tuple[str, str], ...]
    so_far: tuple[tuple[str, Moment | None], ...] = ()
