"""The Bench."""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar

from pointage.web.forms.field import Choice
from pointage.web.frame import (
    ConflictNote,
    Doubt,
    Drawing,
    Frame,
    Moment,
)
from pointage.web.screens.moves.page import UNMOVED, MovesBlock


@dataclass(frozen=True, slots=True)
class PourRow:
    """One pour. state: "done", "here" (the one to pour now) or "ahead".

    exact_* and target are plain numbers for the form and for the bench without a network. vessel,
    tare: of the further bowl that it is the first into, or empty.
    """

    number: int
    name: str
    temperature: str
    grams: str
    display: str
    state: str
    exact_grams: str
    exact_display: str
    vessel: str = ""
    tare: str = ""
    exact_tare: str = ""


@dataclass(frozen=True, slots=True)
class LadderTable:
    """The readings of one mix.

    last: the number of the pour made last, or None. remark: what a correction made of the batch;
    keep: whether it kept the "ratios" or the "total".
    wrong: the number of the pour whose reading cannot be used, with what was typed and why. bowls:
    that it is mixed in several, or empty.
    """

    vessel: str
    tare: str
    exact_tare: str
    step: str
    pours: tuple[PourRow, ...]
    last: int | None
    remark: str
    keep: str = "ratios"
    wrong: int | None = None
    said: str = ""
    error: str = ""
    bowls: str = ""


@dataclass(frozen=True, slots=True)
class Action:
    """A step for hands, in full: due "at" its start, or "by" its end once it has begun.

    keep: the keeping feed of the culture that is done with it, if there is one. likely: that it is
    ripe, for what `ripe` says. links: other screens that help with it.
    """

    bake: str
    step: str
    title: str
    what_for: str
    due_word: str
    due: Moment
    away: str
    late: str
    place: str
    amount: str
    temperatures: tuple[str, ...]
    ripe: str
    note: str
    ladder: LadderTable | None
    likely: bool = True
    keep: Action | None = None
    links: tuple[Choice, ...] = ()


@dataclass(frozen=True, slots=True)
class CultureAction:
    """What a culture needs next. away: how far off that is, if it is near. due: it is time; late:
    it is more than that, and `why` says what that has done.

    steps: what to do, in sentences. path: its own page, or empty. button: what records that it was
    done, with the fields `sent`; empty where nothing is to be recorded.
    """

    title: str
    at: Moment
    away: str
    due: bool
    why: str
    late: bool
    steps: tuple[str, ...]
    ladder: LadderTable | None
    path: str
    sent: tuple[tuple[str, str], ...]
    button: str


@dataclass(frozen=True, slots=True)
class LastDone:
    """What was done last, for taking it back. done: the entry that says so, or empty. withdraws: of
    what was recorded of a culture, its entry, and then bake and step are empty."""

    bake: str
    step: str
    title: str
    at: Moment
    done: str = ""
    withdraws: str = ""


@dataclass(frozen=True, slots=True)
class CourseLine:
    """One line of a course as a table."""

    at: str
    rise: str
    band: str
    temperature: str
    ph: str


@dataclass(frozen=True, slots=True)
class Touch:
    """Something that can be said of a mixture. numbered: with a number; main: it is asked for;
    warm: its number is a temperature."""

    kind: str
    title: str
    prompt: str
    example: str
    numbered: bool
    main: bool = False
    warm: bool = False


@dataclass(frozen=True, slots=True)
class WayOut:
    """What can still be made of something. grounds: what that rests on. way: as it is recorded,
    empty for advice; button: what records it."""

    title: str
    words: str
    grounds: str
    way: str = ""
    button: str = ""


@dataclass(frozen=True, slots=True)
class Gone:
    """Something that went too far: how far, and the ways out."""

    title: str
    words: str
    ways: tuple[WayOut, ...]


@dataclass(frozen=True, slots=True)
class Working:
    """A mixture at work. ripe: "ripe 20:50 to 23:10"; past: when it was; either may be empty.

    drift: "about 40 min ahead of the plan", or empty. touches: what can be said of it. told_kind,
    told and error are set when a reading was typed that is not valid. level: how full its vessel
    is, or empty; caution: when it may pass the brim, or empty. doubts: readings that do not fit.
    look: when to read its rise next and how far that narrows the forecast, or empty. gone: that it
    went too far.
    """

    bake: str
    step: str
    title: str
    where: str
    note: str
    ripe: str
    past: str
    chart: Drawing
    course: tuple[CourseLine, ...]
    readings: tuple[str, ...]
    doubts: tuple[Doubt, ...] = ()
    level: str = ""
    caution: str = ""
    drift: str = ""
    look: str = ""
    touches: tuple[Touch, ...] = ()
    typed_kind: str = ""
    typed: str = ""
    error: str = ""
    gone: Gone | None = None


@dataclass(frozen=True, slots=True)
class Coming:
    """A line of Next. quiet: a night. action: the step in full when it asks for hands.
    day: of the first line of another day than today, whose lines have the time alone."""

    at: Moment
    title: str
    rest: str
    quiet: bool
    action: Action | None
    day: str = ""


@dataclass(frozen=True, slots=True)
class AheadLine:
    """What one mixture is expected to do at one hour."""

    at: str
    name: str
    rise: str
    band: str
    temperature: str


@dataclass(frozen=True, slots=True)
class BenchPage:
    """The Bench: now, rise, next. `now` is None when nothing is planned or all is done.

    first: what a culture needs before that; cultures: what the others do, the soonest first. asks:
    bread to be asked about, and where. bare: there is no culture. ahead: the next
    day by the hour. error: what is wrong with something typed of what no longer stands here.
    """

    template: ClassVar[str] = "bench.html"
    frame: Frame
    now: Action | None
    last: LastDone | None
    idle: str
    conflicts: tuple[ConflictNote, ...]
    working: tuple[Working, ...]
    hours: Drawing | None
    coming: tuple[Coming, ...]
    cautions: tuple[str, ...]
    first: CultureAction | None = None
    cultures: tuple[CultureAction, ...] = ()
    asks: tuple[Choice, ...] = ()
    ahead: tuple[AheadLine, ...] = ()
    bare: bool = False
    error: str = ""
    moves: MovesBlock = UNMOVED
