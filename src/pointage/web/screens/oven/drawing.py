"""Core and crust against the minutes, under the ceiling that boiling sets."""

from __future__ import annotations

from collections.abc import Sequence
from math import ceil

from markupsafe import Markup

from pointage.heat.baking import Baked
from pointage.language import say
from pointage.shown import in_degrees, of_degrees, shown, warmth
from pointage.web.drawing.svg import drawing, element
from pointage.web.frame import Drawing

NARROW, WIDE = 350, 560
HEIGHT = 240
LEFT, RIGHT, TOP, FOOT = 34, 8, 12, 30
STEPS = (1, 2, 5, 10, 15, 20, 30, 60)  # minutes between labels
LABEL = 54  # room that a label wants


def oven_curve(baked: Baked) -> Drawing:
    """The course of a bake in both widths."""
    words = say(
        "The core rises from {start} to {done} in {minutes:.0f} minutes; the crust ends at "
        "{crust}.",
        start=warmth(baked.course.core_c[0]),
        done=warmth(baked.done_c),
        minutes=baked.minutes,
        crust=warmth(baked.crust_c),
    )
    narrow, wide = (_drawn(baked, width) for width in (NARROW, WIDE))
    return Drawing(narrow, wide, words)


def _drawn(baked: Baked, width: int) -> Markup:
    course = baked.course
    step = 50 if shown().degrees == "C" else 100
    zero = in_degrees(0.0)
    top = step * ceil(in_degrees(max(course.surface_c)) / step)
    end = max(course.minutes[-1], 1.0)

    def x(minute: float) -> float:
        return round(LEFT + minute / end * (width - LEFT - RIGHT), 1)

    def y(celsius: float) -> float:
        up = (in_degrees(celsius) - zero) / (top - zero)
        return round(HEIGHT - FOOT - up * (HEIGHT - FOOT - TOP), 1)

    def line(values: Sequence[float], class_: str) -> Markup:
        points = " ".join(f"{x(m)},{y(c)}" for m, c in zip(course.minutes, values, strict=True))
        return element("polyline", class_=class_, points=points)

    every = next((s for s in STEPS if end / s * LABEL < width - LEFT), STEPS[-1])
    parts = []
    for degrees in range(step * ceil(zero / step), top + 1, step):
        at = y(of_degrees(degrees))
        parts.append(element("line", class_="rule", x1=LEFT, x2=width - RIGHT, y1=at, y2=at))
        parts.append(element("text", str(degrees), class_="hour end", x=LEFT - 7, y=at + 5))
    for minute in range(0, int(end) + 1, every):
        parts.append(element("text", str(minute), class_="hour middle", x=x(minute), y=HEIGHT - 8))
    ceiling = y(baked.boils_c)
    parts += [
        element("line", class_="boils", x1=LEFT, x2=width - RIGHT, y1=ceiling, y2=ceiling),
        line(course.surface_c, "crust"),
        line(course.core_c, "core"),
        element("circle", class_="done", cx=x(course.minutes[-1]), cy=y(baked.done_c), r=5),
    ]
    crust_at = len(course.minutes) // 3
    core_at = next(i for i, c in enumerate(course.core_c) if c > (baked.done_c + 20) / 2)
    parts += [
        element("text", say("crust"), class_="name", x=x(course.minutes[crust_at]),
                y=y(course.surface_c[crust_at]) - 9),
        element("text", say("core"), class_="name core-name", x=x(course.minutes[core_at]) + 10,
                y=y(course.core_c[core_at]) + 8),
        element("text", say("boiling"), class_="hour end", x=width - RIGHT, y=ceiling - 6),
    ]  # fmt: skip
    return drawing(width, HEIGHT, parts, "oven-curve")
