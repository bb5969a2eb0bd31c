"""What has moved, what is offered, and another ready time tried out."""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar

from markupsafe import Markup

from pointage.web.forms.field import Field
from pointage.web.frame import Frame, Moment


@dataclass(frozen=True, slots=True)
class MoveNote:
    """One thing that may be done: in a line, and the token by which it is taken."""

    title: str
    line: str
    token: str


@dataclass(frozen=True, slots=True)
class MovesNote:
    """What has moved, in a line with its reason. take: what is offered; others: besides.

    changes: every step that moves by it. waits: it is being worked out. again: where the bake can
    be planned anew, when nothing else is left. sent: what goes with every button.
    """

    line: str
    take: MoveNote | None = None
    others: tuple[MoveNote, ...] = ()
    changes: tuple[str, ...] = ()
    waits: bool = False
    again: str = ""
    sent: tuple[tuple[str, str], ...] = ()


@dataclass(frozen=True, slots=True)
class TakenNote:
    """A change of plan that can still be undone: of what, when, and the entry that took it."""

    words: str
    at: Moment
    offer: str


@dataclass(frozen=True, slots=True)
class MovesBlock:
    """What stands on the Bench and the Week: what is offered, and what was taken last."""

    offered: tuple[MovesNote, ...] = ()
    taken: TakenNote | None = None
    error: str = ""
    back: str = "/"


UNMOVED = MovesBlock()


@dataclass(frozen=True, slots=True)
class StepLink:
    """A step that can be moved, by its key, or the bread, "": when it is planned, its page.

    held: it stays wanted then.
    """

    step: str
    name: str
    at: Moment
    path: str
    chosen: bool = False
    held: bool = False


@dataclass(frozen=True, slots=True)
class ChangePage:
    """Another time for a bake or for a step of it, tried out: what would move, before and after.

    now: when what is moved is planned; bread: when the bread is, by the clock of its kitchen. step:
    its key, "" for the bread. ready: when it is wanted, asked for as `day` and `clock`. steps: what
    else can be moved. drawing: the week, with both once they are known.
    held: that the step is held at its time, or empty.
    nothing: why there is nothing to take. again: where to look while it is worked out.
    """

    template: ClassVar[str] = "change.html"
    frame: Frame
    bake: str
    title: str
    now: Moment
    ready: Field
    day: str
    clock: str
    note: MovesNote | None = None
    nothing: str = ""
    drawing: Markup | None = None
    drawing_words: str = ""
    again: str = ""
    step: str = ""
    steps: tuple[StepLink, ...] = ()
    bread: str = ""
    held: str = ""
