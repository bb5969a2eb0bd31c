"""Skerry Hall on a Friday in December 2026, for the pages to show.

Every figure here is invented: the pages are tested, not the bread.
"""

from __future__ import annotations

import math
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from fractions import Fraction
from functools import cache
from uuid import UUID, uuid5
from zoneinfo import ZoneInfo

from pointage.daybook.entry import Entry, EntryKind
from pointage.desk.answers import Bake, CultureNow, Wished
from pointage.desk.kitchen.kitchens import demonstration_formulas, demonstration_text
from pointage.desk.now.bakes.bake import planned_bake, with_news
from pointage.desk.plans import write_plan
from pointage.formula.ingredients import ingredients
from pointage.formula.ladder import PourKind, PourState
from pointage.kitchen.file.read import read_kitchen
from pointage.kitchen.kitchen import Kitchen
from pointage.timetable.plan import (
    CourseRow,
    Ladder,
    Plan,
    Pour,
    Quantiles,
    Status,
    Step,
    StepCourse,
    StepKind,
)
from pointage.timetable.remark import (
    Conflict,
    ConflictName,
    Remark,
    RemarkCode,
)

ZONE = ZoneInfo("Europe/Dublin")
THURSDAY, FRIDAY, SATURDAY, SUNDAY = (datetime(2026, 12, day, tzinfo=UTC) for day in (3, 4, 5, 6))
READY = SATURDAY + timedelta(hours=9)
NOW = FRIDAY + timedelta(hours=12, minutes=40)
PLANNED = THURSDAY + timedelta(hours=17)
HARBOUR = "6f1c0a52-8d0e-4f57-9b3c-2a7d41c6e805"
"""The bake that is in hand on that Friday: Plover is fed, the levain is built, and the dough is
mixed next."""


def at(day: datetime, clock: str) -> datetime:
    hours, minutes = clock.split(":")
    return day + timedelta(hours=int(hours), minutes=int(minutes))


def standing(
    start: datetime, hours: float, rise: float, ripe: tuple[float, float] | None, warmth: float
) -> StepCourse:
    """A course of a plausible shape: an S with a slow fall at its end."""
    rows = []
    for n in range(int(hours * 6) + 1):
        h = n / 6
        share = 1 / (1 + math.exp(-9 * (h / hours - 0.55)))
        fall = max(0.0, h / hours - 0.9) * 1.4
        middle = 1 + (rise - 1) * max(0.0, share - fall)
        spread = 0.16 * (middle - 1)
        rows.append(
            CourseRow(
                at=start + timedelta(hours=h),
                temperature_c=warmth - 3 * math.exp(-h),
                rise=middle,
                rise_p10=middle - spread,
                rise_p90=middle + spread,
                ph=5.9 - 2.0 * share,
            )
        )

    def odds(h: float) -> Quantiles:
        half = timedelta(hours=0.08 * h)
        middle = start + timedelta(hours=h)
        return Quantiles(middle - half, middle, middle + half)

    return StepCourse(
        rows=tuple(rows),
        ripe_from=odds(ripe[0]) if ripe else None,
        ripe_until=odds(ripe[1]) if ripe else None,
        peak=odds((ripe[0] + ripe[1]) / 2) if ripe else None,
        rise_at_end=rows[-1].rise,
        ph_at_end=rows[-1].ph,
    )


def ladder(vessel: str, tare: float, *pours: tuple[str, float, float | None]) -> Ladder:
    """Of ingredients by identifier; else of Plover, or of the levain, as it is ripe."""
    display = tare
    steps = []
    for named, grams, warmth in pours:
        display += grams
        name, _, state = named.partition(", ")
        kind = PourKind.CULTURE if name == "Plover" else PourKind.STAGE
        kind = PourKind.INGREDIENT if name in ingredients() else kind
        steps.append(Pour(kind, name, grams, display, warmth, PourState(state)))
    return Ladder(vessel, tare, 1.0, tuple(steps))


def said(text: str) -> tuple[Remark, ...]:
    return (Remark(RemarkCode.AUTHOR, text=text),)


def harbour_loaf() -> Plan:
    """Twelve harbour loaves with Plover, out of the oven on Saturday at nine."""
    steps = (
        Step(
            "feed", StepKind.FEED, at(THURSDAY, "18:30"),
            at(THURSDAY, "18:40"), True, "Boiler cupboard", mixture="Plover", grams=290,
            number=1,
            remarks=said("Out of the fridge, fed at once; what is left over goes into rolls."),
            ladder=ladder("Tub 1", 236, ("Plover", 60, None), ("water", 86, 31.0),
                          ("wheat-white", 144, None)),
            water_temperature_c=31.0, mixture_temperature_c=25.0,
            standing=standing(at(THURSDAY, "18:40"), 14, 2.2, (10.5, 13.5), 26),
        ),
        Step(
            "build", StepKind.BUILD, at(FRIDAY, "06:20"), at(FRIDAY, "06:35"),
            True, "Boiler cupboard", mixture="Levain", grams=1120,
            ladder=ladder("Tub 2", 412, ("Plover, ripe", 160, None), ("water", 460, 32.5),
                          ("wheat-white", 400, None), ("wheat-whole", 100, None)),
            water_temperature_c=32.5, mixture_temperature_c=27.0,
            standing=standing(at(FRIDAY, "06:35"), 9, 2.4, (5.7, 8.1), 26),
        ),
        Step(
            "mix", StepKind.MIX, at(FRIDAY, "13:00"), at(FRIDAY, "13:25"), True,
            "Hall", mixture="Harbour dough", grams=11_340,
            remarks=said("Salt last. Mix until no dry flour is left; the folds bring it together."),
            ladder=ladder("Mixing bowl", 1180, ("water", 3310, 34.5), ("Levain, ripe", 1100, None),
                          ("wheat-white", 4760, None), ("wheat-whole", 1050, None),
                          ("salt", 120, None)),
            water_temperature_c=34.5, mixture_temperature_c=25.0, ripe_odds=0.92,
            standing=standing(at(FRIDAY, "13:25"), 5.5, 1.7, None, 24),
        ),
        Step("bulk", StepKind.BULK, at(FRIDAY, "13:25"), at(FRIDAY, "18:10"), False,
             "Hall", mixture="Harbour dough", grams=10_340, mixture_temperature_c=25.0),
        *(
            Step(f"fold-{n}", StepKind.FOLD, at(FRIDAY, clock),
                 at(FRIDAY, clock) + timedelta(minutes=8), True, "Hall",
                 mixture="Harbour dough", number=n, of=3,
                 remarks=(Remark(RemarkCode.FOLDING),))
            for n, clock in enumerate(("14:00", "14:35", "15:15"), start=1)
        ),
        Step("divide", StepKind.DIVIDE, at(FRIDAY, "18:10"),
             at(FRIDAY, "18:35"), True, "Hall", pieces=12, grams=10_340),
        Step("rest", StepKind.REST, at(FRIDAY, "18:35"), at(FRIDAY, "18:55"), False,
             "Hall", pieces=12),
        Step("shape", StepKind.SHAPE, at(FRIDAY, "18:55"),
             at(FRIDAY, "19:25"), True, "Hall", pieces=12),
        Step("retard", StepKind.RETARD, at(FRIDAY, "19:25"), at(SATURDAY, "07:45"),
             False, "Fridge", mixture="Harbour dough", pieces=12,
             standing=standing(at(FRIDAY, "19:25"), 12.3, 1.5, None, 6)),
        Step("preheat", StepKind.PREHEAT, at(SATURDAY, "06:45"),
             at(SATURDAY, "06:50"), True, "Deck oven", oven_temperature_c=245.0),
        Step("bake", StepKind.BAKE, at(SATURDAY, "07:45"),
             at(SATURDAY, "09:00"), True, "Deck oven", pieces=12, oven_temperature_c=245.0,
             remarks=said("Two loads of six. Steam for the first 15 minutes.")),
        Step("cool", StepKind.COOL, at(SATURDAY, "09:00"), at(SATURDAY, "11:00"),
             False, "Hall", pieces=12),
    )  # fmt: skip
    return Plan(
        formula="Harbour loaf",
        culture="Plover",
        ready=READY,
        zone=ZONE.key,
        pieces=12,
        piece_g=850,
        steps=steps,
        status=Status.BEST,
        penalty=1.5,
        bound=1.5,
        cautions=said(
            "Raw flour can carry germs: no tasting of raw dough, and hands washed after."
        ),
    )


def impossible() -> Plan:
    """A wish that cannot be kept, with its reasons."""
    return Plan(
        formula="Tinned rye",
        culture="Gannet",
        ready=at(FRIDAY, "17:00"),
        zone=ZONE.key,
        pieces=8,
        piece_g=1000,
        steps=(),
        status=Status.IMPOSSIBLE,
        penalty=None,
        bound=None,
        conflicts=(
            Conflict(
                ConflictName.READY,
                {"ready": at(FRIDAY, "17:00"), "possible": at(SATURDAY, "10:30")},
            ),
            Conflict(
                ConflictName.SLEEP,
                {"work": "feed", "at": at(FRIDAY, "03:40"), "ready": at(FRIDAY, "17:00")},
            ),
        ),
    )


def skerry_hall() -> Kitchen:
    """The demonstration kitchen, Plover out of the fridge since Thursday's feed."""
    kitchen = read_kitchen(demonstration_text(), NOW)
    gannet, plover = kitchen.cultures
    fed = replace(plover, fed=at(THURSDAY, "18:40"), place="Boiler cupboard", mass_g=130)
    return replace(kitchen, cultures=(gannet, fed))


def put_in_hand(plan: Plan, bake: str = HARBOUR, kitchen: str = "hall") -> Entry:
    """What the daybook has of a plan of the harbour loaf, as `desk.bakes.wish` writes it."""
    text, piece_g = demonstration_formulas()["harbour-loaf"], Fraction(plan.piece_g)
    body = write_plan(plan, Wished(text, demonstration_text(), PLANNED, piece_g))
    return Entry(bake, kitchen, EntryKind.PLAN, PLANNED, PLANNED, "baker", body)


def until_friday(kitchen: str = "hall") -> list[Entry]:
    """What the daybook has of the harbour loaf until Friday 12:40."""
    ticked = {"feed": at(THURSDAY, "18:38"), "build": at(FRIDAY, "06:36")}
    return [
        put_in_hand(harbour_loaf(), HARBOUR, kitchen),
        *(
            Entry(str(uuid5(UUID(HARBOUR), step)), kitchen, EntryKind.DONE, done, done, "baker",
                  {"bake": HARBOUR, "step": step})
            for step, done in ticked.items()
        ),
    ]  # fmt: skip


@cache
def friday_bake() -> Bake:
    """The harbour loaf as it then stands, for pages that are made of no store."""
    planned, *ticked = until_friday()
    state = planned_bake(planned)
    for entry in ticked:
        state = with_news(state, entry)
    return state.bake


def cultures_now() -> list[CultureNow]:
    """Gannet in its cold rest, and Plover ripe."""
    gannet, plover = skerry_hall().cultures
    course = standing(gannet.fed, 120, 1.6, None, 5)
    feed = standing(plover.fed, 24, 2.4, (15.5, 21), 24)
    return [
        CultureNow(gannet, course, NOW + timedelta(days=11), 1.9),
        CultureNow(plover, feed, None, 1.55),
    ]
