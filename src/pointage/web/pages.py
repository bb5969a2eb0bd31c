"""What each page prints: one frozen dataclass a page, and nothing in it that is not printed.

Text is ready to print: times are in the kitchen's zone, masses and temperatures have their units.
An `svg` is a finished drawing. A contract test renders every template from these alone and fails
on a field that no template uses.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar

from markupsafe import Markup


@dataclass(frozen=True, slots=True)
class Moment:
    """An instant: as a baker reads it ("Sat 09:00") and as a machine does (ISO 8601)."""

    text: str
    iso: str


@dataclass(frozen=True, slots=True)
class Drawing:
    """One drawing in two widths, and the words a screen reader says for it."""

    narrow: Markup
    wide: Markup
    words: str


@dataclass(frozen=True, slots=True)
class Frame:
    """What stands around every page. screen: which of the four words is marked."""

    kitchen: str
    screen: str
    theme: str
    made: Moment
    path: str


@dataclass(frozen=True, slots=True)
class ConflictNote:
    """A wish that stands in the way, and what giving it up would bring."""

    name: str
    sentence: str
    relaxed: str


# Bench ------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class PourRow:
    """One pour. state: "done", "here" (the one to pour now) or "ahead".

    exact_* and target are plain numbers for the form and for the bench without a network.
    """

    number: int
    name: str
    temperature: str
    grams: str
    display: str
    state: str
    exact_grams: str
    exact_display: str


@dataclass(frozen=True, slots=True)
class LadderTable:
    """The readings of one mix.

    last: the number of the pour made last, or None. remark: what a correction made of the batch.
    wrong: the number of the pour whose reading will not do, with what was typed and why.
    """

    vessel: str
    tare: str
    exact_tare: str
    step: str
    pours: tuple[PourRow, ...]
    last: int | None
    remark: str
    wrong: int | None = None
    said: str = ""
    error: str = ""


@dataclass(frozen=True, slots=True)
class Action:
    """A step for hands, in full: due "at" its start, or "by" its end once it has begun."""

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


@dataclass(frozen=True, slots=True)
class LastDone:
    """The step done last, for taking it back."""

    bake: str
    step: str
    title: str
    at: Moment


@dataclass(frozen=True, slots=True)
class CourseLine:
    """One line of a course as a table."""

    at: str
    rise: str
    band: str
    temperature: str
    ph: str


@dataclass(frozen=True, slots=True)
class Working:
    """A mixture at work. ripe: "ripe 20:50 to 23:10"; past: when it was; either may be empty.

    drift: "about 40 min ahead of the plan", or empty. told_kind, told and error are set when a
    reading was typed that will not do.
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
    drift: str = ""
    told_kind: str = ""
    told: str = ""
    error: str = ""


@dataclass(frozen=True, slots=True)
class Coming:
    """A line of Next. quiet: a night. action: the step in full when it asks for hands."""

    at: Moment
    title: str
    rest: str
    quiet: bool
    action: Action | None


@dataclass(frozen=True, slots=True)
class BenchPage:
    """The Bench: now, rise, next. `now` is None when nothing is planned or all is done."""

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


# Week -------------------------------------------------------------------------------------------


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
class Choice:
    """One option of a select."""

    value: str
    text: str


@dataclass(frozen=True, slots=True)
class WishPage:
    """A wish for bread. The fields hold what was typed; errors are by the field's name."""

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


# Cultures ---------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class CultureNote:
    """One culture: its jar as it stands now, and what a baker asks of it."""

    name: str
    jar: Markup
    jar_words: str
    made_of: str
    facts: tuple[tuple[str, str], ...]
    chart: Drawing | None
    ripe: str
    past: str


@dataclass(frozen=True, slots=True)
class CulturesPage:
    """Every culture of the kitchen."""

    template: ClassVar[str] = "cultures.html"
    frame: Frame
    cultures: tuple[CultureNote, ...]


# Formulas ---------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class FormulaLine:
    """A formula in the list."""

    slug: str
    name: str
    facts: str


@dataclass(frozen=True, slots=True)
class FormulasPage:
    """Every formula of the kitchen."""

    template: ClassVar[str] = "formulas.html"
    frame: Frame
    formulas: tuple[FormulaLine, ...]


@dataclass(frozen=True, slots=True)
class SheetLine:
    """An ingredient's row: its name, percent and total, then grams by stage."""

    name: str
    percent: str
    total: str
    in_stage: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class FormulaPage:
    """One formula as the trade's table."""

    template: ClassVar[str] = "formula.html"
    frame: Frame
    slug: str
    name: str
    pieces: str
    piece: str
    errors: dict[str, str]
    facts: tuple[tuple[str, str], ...]
    stages: tuple[str, ...]
    rows: tuple[SheetLine, ...]
    totals: SheetLine
    cautions: tuple[str, ...]


# Errors -----------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class ErrorPage:
    """Why a page cannot be had, in one sentence."""

    template: ClassVar[str] = "error.html"
    frame: Frame
    title: str
    sentence: str


Page = BenchPage | WeekPage | WishPage | CulturesPage | FormulasPage | FormulaPage | ErrorPage
