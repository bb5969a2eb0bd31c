"""A culture on its way: what is due, what to see, what was seen, when it may be trusted."""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar

from pointage.web.forms.field import Choice
from pointage.web.frame import Doubt, Drawing, Frame
from pointage.web.screens.bench.page import CultureAction, LastDone
from pointage.web.screens.culture.page import RecordForm, Table


@dataclass(frozen=True, slots=True)
class Tap:
    """One thing that may be seen, recorded with one tap: its words, and what is sent."""

    title: str
    sent: str


@dataclass(frozen=True, slots=True)
class TapRow:
    """What is asked, its answers, and the one that was given since the last feed, or empty."""

    asks: str
    action: str
    taps: tuple[Tap, ...]
    said: str = ""


@dataclass(frozen=True, slots=True)
class RaisingPage:
    """One that is being raised. due: what it needs next. expect: what should be seen by then;
    ahead: when what may be expected. warmer: how soon elsewhere; ask_warmer: whether that may be
    asked. asks: what comes next for one that may be trusted. chart: its days so far
    and those to come. last: what was recorded last, and undo: where that is taken back."""

    template: ClassVar[str] = "raising.html"
    frame: Frame
    back: Choice
    title: str
    lead: str
    due: CultureAction
    taps: tuple[TapRow, ...]
    expect: tuple[str, ...]
    ahead: tuple[str, ...]
    warmer: tuple[str, ...]
    ask_warmer: bool
    asks: tuple[Choice, ...]
    chart: Drawing
    tables: tuple[Table, ...]
    cautions: tuple[str, ...]
    measure: RecordForm
    so: str
    undo: str
    doubts: tuple[Doubt, ...] = ()
    last: LastDone | None = None
