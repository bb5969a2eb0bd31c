"""What the desk takes and answers: frozen data. Every instant is aware and in UTC."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from fractions import Fraction
from typing import TYPE_CHECKING

from pointage.errors import PointageError
from pointage.formula.formula import StageKind
from pointage.formula.ladder import Keep
from pointage.language import mark, say

# Every command loads these answers: not the engine too, of which only their types are made.
if TYPE_CHECKING:
    from pointage.culture.raising import RaisedDay
    from pointage.daybook.readings import Reading
    from pointage.desk.wording.pours import BatchNow
    from pointage.kitchen.kitchen import CultureAtHand
    from pointage.kitchen.needs import CultureNeed
    from pointage.mixture.flours import Flours
    from pointage.mixture.learning.scores import Scores
    from pointage.quantities import Temperature
    from pointage.timetable.pin import Pin
    from pointage.timetable.plan import CourseRow, Ladder, Plan, StepCourse

KINDS = (
    mark("bake"),
    mark("culture"),
    mark("entry"),
    mark("entry of the larder"),
    mark("form"),
    mark("formula"),
    mark("ladder"),
    mark("photograph"),
    mark("plan"),
    mark("pour"),
    mark("revision"),
    mark("sensor"),
    mark("step"),
)
"""Of what may be named and not be there."""


class NotThere(PointageError):  # noqa: N818
    """A bake, step or formula was named that is not there. what: "bake"; name: as it was given."""

    def __init__(self, what: str, name: str) -> None:
        self.what = what
        self.name = name
        super().__init__(say("there is no {what} {name!r}", what=say(what), name=name))


class AskFirst(PointageError):  # noqa: N818
    """Something that can be and is hardly ever meant; nothing is written until it is confirmed.

    questions: what is odd about it, a line each.
    """

    def __init__(self, questions: Sequence[str]) -> None:
        self.questions = tuple(questions)
        super().__init__("; ".join(self.questions))


@dataclass(frozen=True, slots=True)
class Report:
    """That something was done or seen of a step.

    entry: a UUID made where it was written, so that recording it twice changes nothing. happened:
    when it took place, which may be long before it arrived. sure: it need not be asked about. done:
    of a taking back, the entry that says the step was done, where the teller knew it.
    """

    entry: str
    bake: str
    step: str
    happened: datetime
    sure: bool = True
    done: str = ""


@dataclass(frozen=True, slots=True)
class StepNews:
    """What was done and seen of one step.

    done_by: the last entry to say that it was done, or empty. poured: what the display said after
    each pour so far, in grams. ladder: the plan's ladder with the pours still to come corrected for
    `poured`; None when nothing had to change. keep: what that correction keeps, the batch's ratios
    or its total. batch: what that makes of it; None where it is as planned. ahead: by how much it
    is now sooner ripe than planned, below zero when it is behind; None when nothing was learned
    of it. stands: the entries whose readings were confirmed.
    """

    done: datetime | None = None
    done_by: str = ""
    poured: tuple[float, ...] = ()
    ladder: Ladder | None = None
    keep: Keep = "ratios"
    batch: BatchNow | None = None
    readings: tuple[Reading, ...] = ()
    ahead: timedelta | None = None
    stands: frozenset[str] = frozenset()

    @property
    def remark(self) -> str:
        """What the pours make of the batch, a sentence or two, or empty."""
        from pointage.desk.wording.pours import batch_words

        return batch_words(self.batch)


NO_NEWS = StepNews()


@dataclass(frozen=True, slots=True)
class Wish:
    """Bread that is asked for: which formula (its slug), how many pieces, when out of the oven.

    culture: which raises it; "" for the one that the formula says. lean: what is leaned to, and how
    much, in the words of `[lean]`; as usual where nothing is said.
    """

    formula: str
    pieces: int
    ready: datetime
    culture: str = ""
    lean: tuple[tuple[str, str], ...] = ()


@dataclass(frozen=True, slots=True)
class Planning:
    """How the planning of a bake stands: its plan once there is one, or that it goes on.

    With neither it was stopped, and nothing was kept.
    """

    asked: Wish
    plan: Plan | None = None
    waits: bool = False


@dataclass(frozen=True, slots=True)
class Wished:
    """What a bake was wished with: the texts of its formula and kitchen as they were then.

    since: the instant from which "fed so many days ago" in the kitchen's file counts. culture: as
    it stood then; None in what was wished before cultures had a life of their own. friction_k: what
    mixing was believed to warm the dough by, in kelvin; None: as the kitchen's file says. flours:
    the figures of the sacks that were in use. lean: as of `Wish`. held: a step that the baker has
    put at a time, and that stays wanted then.
    """

    formula: str
    kitchen: str
    since: datetime
    piece_g: Fraction
    culture: CultureAtHand | None = None
    friction_k: float | None = None
    flours: Flours = field(default_factory=dict)
    lean: Mapping[str, str] = field(default_factory=dict)
    held: Pin | None = None


@dataclass(frozen=True, slots=True)
class Bake:
    """A plan that was made. key: how forms name it. news: by the key of the step.

    under_way: its courses do not follow what was seen last yet; that is being worked out. before:
    as it was with a levain that was given up, from which it was built anew.
    """

    key: str
    plan: Plan
    news: Mapping[str, StepNews] = field(default_factory=dict)
    wished: Wished | None = None
    given_up: bool = False
    under_way: bool = False
    before: Bake | None = None

    def step_news(self, step: str) -> StepNews:
        return self.news.get(step, NO_NEWS)


@dataclass(frozen=True, slots=True)
class CultureNow:
    """A culture at hand and what the engine says of it.

    standing: its course since its last feed. holds_until: when its cold rest as likely as not ends,
    after which it needs more than one feed to wake; surely_until: until when it lasts nine times in
    ten. to_peak_h: its vigour, see `culture.vigour`. accuracy:
    how good forecasts of its mixes have been. under_way: what it teaches is being worked out.
    young: of one that is still being raised, the day it is in; there is then no ripe window, no
    cold rest and no vigour. left_since: where its course ends, if it was left for longer
    than that is calculated. need: what it needs next, beside what bakes in hand do to it.
    """

    culture: CultureAtHand
    standing: StepCourse | None = None
    holds_until: datetime | None = None
    to_peak_h: float | None = None
    accuracy: Scores | None = None
    under_way: bool = False
    young: RaisedDay | None = None
    left_since: datetime | None = None
    surely_until: datetime | None = None
    need: CultureNeed | None = None

    def row(self, at: datetime) -> CourseRow | None:
        """The row of its course nearest to `at`; None where that does not reach as far."""
        rows = () if self.standing is None else self.standing.rows
        if not rows or not rows[0].at <= at <= rows[-1].at:
            return None
        return min(rows, key=lambda row: abs(row.at - at))


@dataclass(frozen=True, slots=True)
class FormulaSummary:
    """One formula in a line. hydration and prefermented are fractions of the flour (0.72).

    dough_yield is 100 × (flour + water) / flour; pieces and piece_g are the formula's own.
    put_away: it is not offered where one is chosen; removed: nor is it in the book. favourite: it
    comes first. kind: a key of desk/formulas/methods.py, or empty. varies, because: as of
    `Formula`.
    """

    slug: str
    name: str
    hydration: float
    prefermented: float
    dough_yield: float
    pieces: int
    piece_g: Fraction
    put_away: bool = False
    removed: bool = False
    favourite: bool = False
    kind: str = ""
    varies: str = ""
    because: str = ""


@dataclass(frozen=True, slots=True)
class StageColumn:
    """One stage as a column of the trade's table. seed: None where the plan is to fit it."""

    name: str
    total_g: Fraction
    kind: StageKind = StageKind.DOUGH
    hydration: Fraction = Fraction()
    seed: Fraction | None = None
    temperature: Temperature | None = None
    place: str | None = None


@dataclass(frozen=True, slots=True)
class SheetRow:
    """One ingredient, or one stage that goes whole into another.

    percent (of all flour) and total_g are None for a stage. in_stage: grams by column; None where
    it has no part. Grams are rounded to the scale's step already. ingredient: by its name; empty
    for a stage.
    """

    name: str
    percent: Fraction | None
    total_g: Fraction | None
    in_stage: tuple[Fraction | None, ...]
    ingredient: str = ""


@dataclass(frozen=True, slots=True)
class FormulaSheet:
    """A formula as the trade's table, for `summary.pieces` pieces of `summary.piece_g`.

    drift_g: by how much rounding has made it heavier; step_g: of the scale; lost: what is too
    little for it; flours: what is known of its very flours. A sentence each.
    """

    summary: FormulaSummary
    stages: tuple[StageColumn, ...]
    rows: tuple[SheetRow, ...]
    total_percent: Fraction
    total_g: Fraction
    cautions: tuple[str, ...] = ()
    drift_g: Fraction = Fraction()
    step_g: Fraction = Fraction(1)
    lost: tuple[str, ...] = ()
    flours: tuple[str, ...] = ()
