"""A plan as a terminal prints it."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

from pointage.cli.bakes.timetable import plan_lines
from pointage.formula.ladder import PourKind
from pointage.timetable.plan import (
    Conflict,
    Ladder,
    Plan,
    PlannedLook,
    Pour,
    Quantiles,
    Status,
    Step,
    StepCourse,
    StepKind,
)
from pointage.timetable.remark import (
    Argument,
    ConflictName,
    Remark,
    RemarkCode,
)

# Summer time in Dublin, UTC+1: the printed clock is an hour ahead of these.
EVENING = datetime(2026, 6, 5, 19, 30, tzinfo=UTC)


def ripe(hours: float) -> Quantiles:
    middle = EVENING + timedelta(hours=hours)
    return Quantiles(middle - timedelta(hours=1), middle, middle + timedelta(hours=1))


def look(hours: float, left_h: float) -> PlannedLook:
    return PlannedLook(EVENING + timedelta(hours=hours), left_h)


BUILD = Step(
    key="build",
    kind=StepKind.BUILD,
    mixture="Levain",
    start=EVENING,
    end=EVENING + timedelta(minutes=10),
    hands=True,
    place="counter",
    water_temperature_c=28.4,
    ladder=Ladder(
        vessel="tub",
        tare_g=212.0,
        step_g=1.0,
        pours=(
            Pour(PourKind.INGREDIENT, "water", 90.0, 302.0, 28.4),
            Pour(PourKind.INGREDIENT, "rye-whole", 90.0, 392.0),
        ),
    ),
)
STAND = Step(
    key="stand",
    kind=StepKind.BULK,
    start=EVENING + timedelta(minutes=10),
    end=EVENING + timedelta(hours=9),
    hands=False,
    place="",
    ripe_odds=0.84,
    standing=StepCourse(
        (),
        ripe(8),
        ripe(12),
        ripe(10),
        2.1,
        4.0,
        looks=(look(4, 0.9), look(5, 0.4), look(6, 0.5)),
        half_h=1.16,
    ),
)


def plan(status: Status, steps: tuple[Step, ...], conflicts: tuple[Conflict, ...] = ()) -> Plan:
    return Plan(
        formula="Harbour loaf",
        culture="Plover",
        ready=datetime(2026, 6, 6, 8, 0, tzinfo=UTC),
        zone="Europe/Dublin",
        pieces=2,
        piece_g=900.0,
        steps=steps,
        status=status,
        penalty=None,
        bound=None,
        conflicts=conflicts,
        cautions=(Remark(RemarkCode.AUTHOR, text="the oven is hot"),),
    )


CHOSEN_FOR = "Chosen for: bread at its time."


def test_one_line_a_step_with_its_ladder_and_ripe_window() -> None:
    assert plan_lines(plan(Status.BEST, (BUILD, STAND)), CHOSEN_FOR) == [
        "Harbour loaf, 2 of 900 g, ready Sat 09:00 06 June 2026, Europe/Dublin",
        CHOSEN_FOR,
        "",
        "Fri 20:30–20:40  Build the levain  (counter, water 28.5 °C)",
        "    pour              add  display       at",
        "    tub                      212 g",
        "    Water            90 g    302 g  28.5 °C",
        "    Whole rye flour  90 g    392 g",
        "Fri 20:40–Sat 05:30  Bulk",
        "    ripe Sat 04:30–08:30; ripe when used: likely (82 in 100)",
        "    a look at Sat 01:30 tells most: ± 70 min becomes ± 25 min",
        "",
        "Warning: the oven is hot",
    ]


def test_what_cannot_be_says_what_stands_in_the_way() -> None:
    night = datetime(2026, 6, 6, 2, 10, tzinfo=UTC)
    about: dict[str, Argument] = {
        "work": "mix",
        "at": night,
        "ready": datetime(2026, 6, 6, 8, tzinfo=UTC),
    }
    clash = Conflict(ConflictName.SLEEP, about)
    lines = plan_lines(plan(Status.IMPOSSIBLE, (), (clash,)))
    assert lines[2:5] == [
        "It cannot be done as planned:",
        "- The mix at Sat 6 Jun 03:10 falls in the sleeping hours.",
        "  With somebody awake then, it is out of the oven at Sat 6 Jun 09:00.",
    ]
