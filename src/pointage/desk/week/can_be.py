"""What can be baked: every formula by itself, from now on or by a time, as soon as it can be."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime, time, timedelta
from fractions import Fraction

from pointage.desk.bakes.plan import culture_for
from pointage.desk.calculators.water_page import friction_of
from pointage.desk.now.present import Present
from pointage.errors import InputError
from pointage.formula.formula import Formula
from pointage.larder.cost import is_stocked
from pointage.timetable.occupied import Occupied, occupied_by
from pointage.timetable.plan import Step
from pointage.timetable.problem import Problem
from pointage.timetable.ways.lean import NIGHT_EDGE
from pointage.timetable.week.answer import WishAnswer
from pointage.timetable.week.question import SOON, WantedWhen, WeekQuestion, WeekWish
from pointage.timetable.week.week import answers_of, choose_week


@dataclass(frozen=True, slots=True)
class CanBe:
    """A formula that can be baked, or not. ready: None where no time is left.

    odds: that it is kept, by the signs. first: the first work; night: the work next to a night.
    lacking: grams of what the larder says there is too little of. why: it cannot be planned at all.
    """

    slug: str
    name: str
    pieces: int
    ready: datetime | None = None
    odds: float = 0.0
    first: datetime | None = None
    night: tuple[Step, ...] = ()
    lacking: tuple[tuple[str, Fraction], ...] = ()
    why: InputError | None = None


def can_be(
    present: Present, now: datetime, by: datetime | None, reached: Callable[[float], None]
) -> tuple[CanBe, ...]:
    """Every formula, those that can be first and the soonest of them before the others.

    by: the time by which it is wanted; None: as soon as can be.
    """
    occupied = tuple(
        each for bake in present.in_hand(now) for each in occupied_by(bake.plan, present.kitchen)
    )
    found = []
    for number, (slug, formula) in enumerate(present.formulas.items()):
        reached(number / len(present.formulas))
        try:
            found.append(_can(present, slug, formula, now, by, occupied=occupied))
        except InputError as error:
            found.append(CanBe(slug, formula.name, formula.pieces, why=error))
    return tuple(sorted(found, key=lambda each: (each.ready is None, each.ready or now)))


def _can(
    present: Present,
    slug: str,
    formula: Formula,
    now: datetime,
    by: datetime | None,
    *,
    occupied: tuple[Occupied, ...],
) -> CanBe:
    kitchen = present.kitchen
    culture = culture_for(formula, kitchen)
    believed = present.learning.beliefs_now(culture.name)
    gained = friction_of(present, formula, formula.pieces, formula.piece_g).kelvin
    problem = Problem(
        formula=formula,
        kitchen=kitchen.that_gains(gained),
        culture=culture,
        now=now,
        ready=by or now + SOON,
        pieces=formula.pieces,
        piece_g=formula.piece_g,
        occupied=occupied,
        believed=None if believed is None else believed.traits,
        warming={} if believed is None else believed.warming,
    )
    problem.check_warmth()
    problem.check_oven()
    problem.check_pieces()
    wish = WeekWish(problem, WantedWhen.EARLIEST, now)
    answer = present.jobs.planner.ask(answer_alone, WeekQuestion(kitchen, now, (wish,)))
    lacking = _lacking(present, formula, problem, now)
    plan = answer.plan
    if plan is None or answer.ready is None or answer.ready > problem.ready:
        return CanBe(slug, formula.name, formula.pieces, lacking=lacking)
    hands = [step for step in plan.steps if step.hands]
    nights = kitchen.hours.sleep
    local = kitchen.zone
    night = tuple(
        step
        for step in hands
        for down, up in nights
        if _near(step.start.astimezone(local).time(), up)
        or _near(down, step.end.astimezone(local).time())
    )
    odds = 0.0 if answer.odds is None else answer.odds.by_signs
    return CanBe(
        slug,
        formula.name,
        formula.pieces,
        answer.ready,
        odds,
        min(step.start for step in hands),
        night,
        lacking,
    )


def answer_alone(question: WeekQuestion) -> WishAnswer:
    """What becomes of the only wish of a question."""
    (answer,) = answers_of(choose_week(question))
    return answer


def _near(later: time, earlier: time) -> bool:
    """Whether one time of the day comes less than an hour after another."""
    minutes = [at.hour * 60 + at.minute for at in (later, earlier)]
    return (minutes[0] - minutes[1]) % (24 * 60) < NIGHT_EDGE / timedelta(minutes=1)


def _lacking(
    present: Present, formula: Formula, problem: Problem, now: datetime
) -> tuple[tuple[str, Fraction], ...]:
    """What is too little for it once the bakes in hand are mixed, of what the larder keeps."""
    stock = present.ledger(now).ahead
    flour = Fraction(problem.flour_g()).limit_denominator(1000) / 100
    return tuple(
        (name, percent * flour - stock.grams(name))
        for name, percent in formula.total.items()
        if is_stocked(name) and stock.shelf(name).lots and stock.grams(name) < percent * flour
    )
