"""The coming hours as a line: sleep shaded, beads for hands, the oven as a bar."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from markupsafe import Markup

from pointage.desk.week.oven_loads import OvenLoad, oven_loads
from pointage.kitchen.kitchen import Kitchen
from pointage.language import say_many
from pointage.timetable.plan import Step, StepKind
from pointage.web.drawing.hours import HourLine
from pointage.web.drawing.svg import drawing, element
from pointage.web.frame import Drawing
from pointage.web.screens.bench.page import Coming
from pointage.web.words.clock import Clock, Span, quiet_spans
from pointage.web.words.words import length, lower_first

HOURS = timedelta(hours=24)
NARROW, WIDE = 350, 760
HEIGHT, BASE, TOP, EDGE = 84, 52, 14, 8


@dataclass(frozen=True, slots=True)
class ComingLine:
    """A line of Next and where it belongs."""

    at: datetime
    coming: Coming


def how_long_where(step: Step) -> str:
    """ "4 h 30, boiler cupboard"."""
    lasts = length(step.end - step.start)
    return f"{lasts}, {lower_first(step.place)}" if step.place else lasts


def hours_drawing(steps: Sequence[Step], kitchen: Kitchen, clock: Clock) -> Drawing:
    """The next 24 hours from the last full hour."""
    start = clock.now.replace(minute=0, second=0, microsecond=0)
    beads = [step for step in steps if step.hands and start <= step.start <= start + HOURS]
    words = say_many(
        "The next 24 hours: {n} step to do, listed below.",
        "The next 24 hours: {n} steps to do, listed below.",
        len(beads),
    )
    nights = quiet_spans(kitchen.hours.sleep, clock, start, start + HOURS)
    loads = oven_loads(steps)
    narrow, wide = (
        _line(steps, loads, nights, clock, HourLine(start, start + HOURS, EDGE, width - EDGE))
        for width in (NARROW, WIDE)
    )
    return Drawing(narrow, wide, words)


def _line(
    steps: Sequence[Step],
    loads: Sequence[OvenLoad],
    nights: Sequence[Span],
    clock: Clock,
    line: HourLine,
) -> Markup:
    width = line.right + EDGE
    parts = [
        element("rect", class_="night", x=line.x(low), y=TOP, width=line.x(high) - line.x(low),
                height=BASE - TOP)
        for low, high in nights
    ]  # fmt: skip
    parts.append(element("line", class_="axis", x1=line.left, x2=line.right, y1=BASE, y2=BASE))
    for at in line.marks(clock, 3 if width == WIDE else 6):
        x = line.x(at)
        anchor = "start" if x < 20 else "end" if x > width - 20 else "middle"
        parts.append(element("line", class_="axis", x1=x, x2=x, y1=BASE, y2=BASE + 6))
        parts.append(
            element("text", clock.hour(at), class_="hour", x=x, y=BASE + 24, text_anchor=anchor)
        )
    middle = (TOP + BASE) / 2
    for step in steps:
        if not line.meets(step.start, step.end):
            continue
        low, high = line.x(step.start), line.x(step.end)
        if not step.hands:
            chilled = " chilled" if step.kind is StepKind.RETARD else ""
            parts.append(
                element("line", class_=f"stands{chilled}", x1=low, x2=high, y1=middle, y2=middle)
            )
    for load in loads:
        if line.meets(load.start, load.end):
            low, high = line.x(load.start), line.x(load.end)
            parts.append(element("rect", class_=f"oven {load.kind}", x=low, y=middle - 5,
                                 width=max(2.0, high - low), height=10))  # fmt: skip
    parts += [
        element("circle", class_="bead", cx=line.x(step.start), cy=middle, r=5)
        for step in steps
        if step.hands and line.holds(step.start)
    ]
    now = line.x(clock.now)
    parts.append(element("line", class_="now", x1=now, x2=now, y1=TOP - 8, y2=BASE))
    return drawing(width, HEIGHT, parts, "hours")
