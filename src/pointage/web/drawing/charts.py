"""The course of a mixture as a chart: band, median, ripe window, what was seen, now."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from markupsafe import Markup

from pointage.language import say
from pointage.shown import day_name
from pointage.timetable.plan import StepCourse
from pointage.web.drawing.hours import HourLine
from pointage.web.drawing.plot import TOP, Plot
from pointage.web.drawing.svg import element
from pointage.web.frame import Drawing
from pointage.web.words.clock import Clock

NARROW, WIDE = 350.0, 760.0
HEIGHT = 210.0
LABEL = 64  # room that one "20:00" wants under the plot
CLOCK_STEPS = (1, 2, 3, 6, 12, 24)  # hours between labels, as a clock face knows them
MANY_HOURS = 12  # labels so far apart want the names of days between them
LEAST_TOP = 2.0  # twice its height: what a baker looks for in most tubs
HOUR = timedelta(hours=1)
MOST_ROWS = 160
LEFT = timedelta(hours=12)
"""So far past its course the axis goes on to now, for what was left standing."""


@dataclass(frozen=True, slots=True)
class Seen:
    """A rise that somebody read off the tub."""

    at: datetime
    rise: float


def rise_chart(standing: StepCourse, clock: Clock, seen: Sequence[Seen], words: str) -> Drawing:
    """The chart of a course in both widths. words: what it shows, for those who hear it."""
    chart = _Chart.of(standing, seen, clock.now)
    narrow, wide = (_drawn(chart, standing, clock, width) for width in (NARROW, WIDE))
    return Drawing(narrow, wide, words)


@dataclass(frozen=True, slots=True)
class _Chart:
    """The points of a chart: hours since the start of the course, and rise."""

    start: datetime
    hours: float
    floor: float
    top: float
    low: list[tuple[float, float]]
    middle: list[tuple[float, float]]
    high: list[tuple[float, float]]
    seen: list[tuple[float, float]]

    @staticmethod
    def of(standing: StepCourse, seen: Sequence[Seen], now: datetime) -> _Chart:
        rows = standing.rows[:: max(1, len(standing.rows) // MOST_ROWS)]
        start = rows[0].at
        at = [(row.at - start) / HOUR for row in rows]
        beyond = [each.at for each in seen]
        if now <= rows[-1].at + LEFT:
            beyond.append(now)
        highest = max(*(row.rise_p90 for row in rows), *(each.rise for each in seen))
        return _Chart(
            start,
            max(1.0, at[-1], *((each - start) / HOUR for each in beyond)),
            min(1.0, *(row.rise_p10 for row in rows), *(each.rise for each in seen)),
            max(LEAST_TOP, math.ceil(2 * highest) / 2),
            [(hour, row.rise_p10) for hour, row in zip(at, rows, strict=True)],
            [(hour, row.rise) for hour, row in zip(at, rows, strict=True)],
            [(hour, row.rise_p90) for hour, row in zip(at, rows, strict=True)],
            [((each.at - start) / HOUR, each.rise) for each in seen],
        )

    def hour(self, instant: datetime) -> float:
        return (instant - self.start) / HOUR

    def levels(self) -> Iterable[tuple[float, str]]:
        step = 0.5 if self.top <= 3 else 1.0
        for number in range(int((self.top - 1) / step) + 1):
            yield 1 + step * number, f"{1 + step * number:g}"

    def along(self, clock: Clock, width: float) -> Iterable[tuple[float, str]]:
        """Labels on the local clock, spaced by true elapsed time, as many as there is room for."""
        every = next((s for s in CLOCK_STEPS if self.hours / s * LABEL < width), CLOCK_STEPS[-1])
        line = HourLine(self.start, self.start + self.hours * HOUR, 0, width)
        for at in line.marks(clock, every):
            yield self.hour(at), _mark_words(at, clock, every)


def _mark_words(at: datetime, clock: Clock, every: int) -> str:
    """ "20:00"; over several days midnight goes by the name of the day that begins."""
    local = clock.local(at)
    return day_name(local.date()) if every >= MANY_HOURS and not local.hour else clock.hour(at)


def _drawn(chart: _Chart, standing: StepCourse, clock: Clock, width: float) -> Markup:
    plot = Plot(width, (0.0, chart.hours), (chart.floor, chart.top), HEIGHT)
    return plot.drawn(
        [
            plot.levels(chart.levels()),
            plot.along(chart.along(clock, width)),
            *(plot.span(low, high, "ripe") for low, high in _ripe(chart, standing)),
            plot.area(chart.low, chart.high, "band-area"),
            plot.line(chart.middle, "course-line last"),
            plot.dots(chart.seen, "seen-ring", 4.5),
            *_now(plot, chart, standing, clock),
        ]
    )


def _ripe(chart: _Chart, standing: StepCourse) -> list[tuple[float, float]]:
    """The ripe window: surely ripe in the middle, perhaps at the edges."""
    begins, ends = standing.ripe_from, standing.ripe_until
    if begins is None:
        return []
    spans = [
        (begins.p10, ends.p90 if ends else None),
        (begins.p50, ends.p50 if ends else None),
    ]
    drawn = [
        (max(0.0, chart.hour(low)), min(chart.hours, chart.hour(high)) if high else chart.hours)
        for low, high in spans
    ]
    return [(low, high) for low, high in drawn if high > low]


def _now(plot: Plot, chart: _Chart, standing: StepCourse, clock: Clock) -> list[Markup]:
    rise = standing.rise_at(clock.now)
    hour = chart.hour(clock.now)
    if not 0 <= hour <= chart.hours:
        return []
    x, foot = plot.at(hour, chart.floor)
    # Near the right edge the words stand to the left of their line.
    anchor, beside = ("end", -7) if hour > chart.hours * 0.75 else ("start", 7)
    words = say("now") if rise is None else say("now {rise:.1f}", rise=rise)
    return [
        element("line", class_="now", x1=x, y1=TOP, x2=x, y2=foot),
        *([] if rise is None else [plot.dots([(hour, rise)], "now-dot", 5.0)]),
        element("text", words, class_="now-label",
                x=x + beside, y=TOP + 15, text_anchor=anchor),
    ]  # fmt: skip
