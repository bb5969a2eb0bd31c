"""The course of a mixture as a chart: band, median, ripe window, what was seen, now.

Colours are the stylesheet's own custom properties, so one drawing serves paper and dark.
"""

from __future__ import annotations

import json
import math
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from functools import lru_cache
from itertools import pairwise
from typing import Any

from markupsafe import Markup

from pointage.timetable.plan import CourseRow, Standing
from pointage.web.pages import Drawing
from pointage.web.present.clock import DAYS, Clock
from pointage.web.present.hours import HourLine

VEGA_LITE = "5.20"
NARROW, WIDE = 350, 760
HEIGHT = 210
TEXT = 14
LABEL = 64  # room that one "20:00" wants under the axis, in pixels
CLOCK_STEPS = (1, 2, 3, 6, 12, 24)  # hours between labels, as a clock face knows them
MANY_HOURS = 12  # labels so far apart want the names of days between them
LEAST_TOP = 2.0  # twice its height: what a baker looks for in most tubs
HOUR = timedelta(hours=1)
MOST_ROWS = 160

Spec = dict[str, Any]
X: Spec = {"field": "h", "type": "quantitative"}
AXIS: Spec = {
    "labelColor": "var(--soft)",
    "labelFontSize": TEXT,
    "labelPadding": 8,
    "ticks": False,
    "domainColor": "var(--rule)",
}


@dataclass(frozen=True, slots=True)
class Seen:
    """A rise that somebody read off the tub."""

    at: datetime
    rise: float


def rise_chart(standing: Standing, clock: Clock, seen: Sequence[Seen], words: str) -> Drawing:
    """The chart of a course in both widths. words: what it shows, for those who hear it."""
    narrow, wide = (Markup(_svg(_spec(standing, clock, seen, width))) for width in (NARROW, WIDE))
    return Drawing(narrow, wide, words)


def rise_at(rows: Sequence[CourseRow], instant: datetime) -> float | None:
    """The median rise at an instant, straight lines between rows; None outside them."""
    for before, after in pairwise(rows):
        if before.at <= instant <= after.at:
            share = (instant - before.at) / (after.at - before.at)
            return before.rise + share * (after.rise - before.rise)
    return None


def _svg(spec: Spec) -> str:
    return _rendered(json.dumps(spec))


@lru_cache(maxsize=128)
def _rendered(spec: str) -> str:
    import vl_convert

    svg: str = vl_convert.vegalite_to_svg(spec, vl_version=VEGA_LITE)
    # One image with one name: the marks inside must not speak for themselves.
    return svg.replace("<svg ", '<svg aria-hidden="true" focusable="false" ', 1)


@dataclass(frozen=True, slots=True)
class _Axes:
    """The two scales of a chart: hours since the start of the course, and rise."""

    start: datetime
    hours: float
    floor: float
    top: float

    @staticmethod
    def of(rows: Sequence[CourseRow]) -> _Axes:
        hours = max(1.0, (rows[-1].at - rows[0].at) / HOUR)
        top = math.ceil(2 * max(row.rise_p90 for row in rows)) / 2
        return _Axes(
            rows[0].at, hours, min(1.0, *(row.rise_p10 for row in rows)), max(LEAST_TOP, top)
        )

    def hour(self, instant: datetime) -> float:
        return round((instant - self.start) / HOUR, 4)

    def y(self, field: str) -> Spec:
        step = 0.5 if self.top <= 3 else 1.0
        values = [1 + step * n for n in range(int((self.top - 1) / step) + 1)]
        return {
            "field": field,
            "type": "quantitative",
            "scale": {"domain": [self.floor, self.top], "zero": False, "nice": False},
            "axis": {
                "title": None,
                "values": values,
                "format": "~g",
                "grid": True,
                "gridColor": "var(--rule)",
                "domain": False,
                **AXIS,
            },
        }

    def x(self, clock: Clock, width: int) -> Spec:
        """Labels on the local clock, spaced by true elapsed time, as many as there is room for."""
        line = HourLine(self.start, self.start + self.hours * HOUR, 0, width)
        steps = (every for every in CLOCK_STEPS if len(line.marks(clock, every)) * LABEL < width)
        every = next(steps, CLOCK_STEPS[-1])
        marks = line.marks(clock, every)
        values = [self.hour(at) for at in marks]
        labels = json.dumps([_mark_words(at, clock, every) for at in marks])
        return {
            **X,
            "scale": {"domain": [0, self.hours], "nice": False},
            "axis": {
                "title": None,
                "values": values,
                "labelExpr": f"{labels}[indexof({json.dumps(values)}, datum.value)]",
                "grid": False,
                "labelBound": True,
                **AXIS,
            },
        }


def _mark_words(at: datetime, clock: Clock, every: int) -> str:
    """ "20:00"; over several days midnight goes by the name of the day that begins."""
    local = clock.local(at)
    return DAYS[local.weekday()] if every >= MANY_HOURS and not local.hour else clock.time(at)


def _spec(standing: Standing, clock: Clock, seen: Sequence[Seen], width: int) -> Spec:
    rows = standing.rows[:: max(1, len(standing.rows) // MOST_ROWS)]
    axes = _Axes.of(rows)
    course = [
        {"h": axes.hour(r.at), "rise": r.rise, "low": r.rise_p10, "high": r.rise_p90} for r in rows
    ]
    band = {"x": axes.x(clock, width), "y": axes.y("low"), "y2": {"field": "high"}}
    layers = [
        *_ripe(standing, axes),
        _layer(course, band, type="area", color="var(--crust)", opacity=0.2),
        _layer(course, {"x": X, "y": axes.y("rise")}, type="line", color="var(--crust)",
               strokeWidth=2.5),
        *_seen(seen, axes),
        *_now(rows, clock, axes),
    ]  # fmt: skip
    return {
        "$schema": "https://vega.github.io/schema/vega-lite/v5.json",
        "width": width,
        "height": HEIGHT,
        "autosize": {"type": "fit", "contains": "padding"},
        "padding": {"left": 0, "right": 2, "top": 4, "bottom": 0},
        "background": None,
        "config": {"aria": False, "view": {"stroke": None}, "font": "Source Serif Pro"},
        "layer": layers,
    }


def _layer(values: list[dict[str, Any]], encoding: Spec, **mark: Any) -> Spec:
    return {"data": {"values": values}, "mark": mark, "encoding": encoding}


def _ripe(standing: Standing, axes: _Axes) -> list[Spec]:
    """The ripe window: surely ripe in the middle, perhaps at the edges."""
    begins, ends = standing.ripe_from, standing.ripe_until
    if begins is None:
        return []
    spans = [
        (begins.p10, ends.p90 if ends else None),
        (begins.p50, ends.p50 if ends else None),
    ]
    drawn = [
        (max(0.0, axes.hour(low)), min(axes.hours, axes.hour(high)) if high else axes.hours)
        for low, high in spans
    ]
    return [
        _layer([{"from": low, "to": high}],
               {"x": {"field": "from", "type": "quantitative"}, "x2": {"field": "to"}},
               type="rect", color="var(--ripe)", opacity=0.14)
        for low, high in drawn
        if high > low
    ]  # fmt: skip


def _seen(seen: Sequence[Seen], axes: _Axes) -> list[Spec]:
    if not seen:
        return []
    values = [{"h": axes.hour(each.at), "rise": each.rise} for each in seen]
    return [_layer(values, {"x": X, "y": axes.y("rise")}, type="point", color="var(--ink)",
                   size=70, strokeWidth=2)]  # fmt: skip


def _now(rows: Sequence[CourseRow], clock: Clock, axes: _Axes) -> list[Spec]:
    rise = rise_at(rows, clock.now)
    if rise is None:
        return []
    hour = axes.hour(clock.now)
    here = [{"h": hour, "rise": rise, "top": axes.top, "text": f"now {rise:.1f}"}]
    # Near the right edge the words stand to the left of their line.
    align, dx = ("right", -7) if hour > axes.hours * 0.75 else ("left", 7)
    words = {"x": X, "y": axes.y("top"), "text": {"field": "text"}}
    return [
        _layer(here, {"x": X}, type="rule", color="var(--ink)"),
        _layer(here, {"x": X, "y": axes.y("rise")}, type="circle", color="var(--ink)", size=90,
               opacity=1),
        _layer(here, words, type="text", color="var(--ink)", fontSize=TEXT + 1, align=align,
               baseline="top", dx=dx, dy=3),
    ]  # fmt: skip
