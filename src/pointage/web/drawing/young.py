"""A young culture's days as one picture: how it rose from feed to feed, and what was seen."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import datetime, timedelta

import numpy as np
from markupsafe import Markup
from numpy.typing import NDArray

from pointage.culture.raising import RaisedDay
from pointage.language import say
from pointage.shown import day_name
from pointage.web.drawing.plot import NARROW, WIDE, Plot
from pointage.web.drawing.svg import element
from pointage.web.frame import Drawing
from pointage.web.words.clock import Clock

HOUR, DAY = timedelta(hours=1), timedelta(days=1)
HEIGHT = 250.0
STEP_H = 2.0
LEAST_TOP = 2.5
LABEL = 40.0  # room that the name of a day wants

Floats = NDArray[np.float64]
Points = list[tuple[float, float]]


def young_chart(
    days: Sequence[RaisedDay], seen: Sequence[tuple[float, float]], clock: Clock, words: str
) -> Drawing:
    """The days done, and those ahead in a quieter line. seen: hours since the first feed, and the
    rise that somebody read then. words: what it shows, for those who hear it."""
    first = days[0].at
    rows = [_risen(day, first) for day in days]
    top = max([LEAST_TOP, *(rise for row in rows for _, rise in row), *(rise for _, rise in seen)])
    end = max(at for row in rows for at, _ in row)
    plots = (Plot(width, (0.0, end), (0.9, top), HEIGHT) for width in (NARROW, WIDE))
    narrow, wide = (_drawn(plot, days, rows, seen, clock) for plot in plots)
    return Drawing(narrow, wide, words)


def _risen(day: RaisedDay, first: datetime) -> Points:
    """Hours since the first feed, and the likeliest rise, every STEP_H."""
    course = day.young.course
    start = (day.at - first) / HOUR
    every = max(1, round(STEP_H / float(course.hours[1] - course.hours[0])))
    rise = course.rise[:, ::every]
    middle = _middle(rise, day.weights)
    return [
        (start + float(h), float(r)) for h, r in zip(course.hours[::every], middle, strict=True)
    ]


def _middle(rise: Floats, weights: Floats) -> Floats:
    """The weighted median of each column."""
    order = np.argsort(rise, axis=0)
    row = (np.cumsum(weights[order], axis=0) >= 0.5).argmax(axis=0)
    columns = np.arange(rise.shape[1])
    return np.asarray(rise[order[row, columns], columns])


def _drawn(
    plot: Plot,
    days: Sequence[RaisedDay],
    rows: Sequence[Points],
    seen: Sequence[tuple[float, float]],
    clock: Clock,
) -> Markup:
    now_h = (clock.now - days[0].at) / HOUR
    parts = [
        plot.levels([(1.0, "1"), (1.5, "1.5"), (2.0, "2")]),
        plot.along(_names(plot, days, clock)),
    ]
    for day, row in zip(days, rows, strict=True):
        parts.append(
            plot.line(row, "course-line last" if row[0][0] <= now_h else "course-line", 0.9)
        )
        if day.ready >= 0.5:
            parts.append(plot.span(row[0][0], row[-1][0], "ripe"))
    parts.append(plot.dots(seen, "seen-ring", 4.5))
    for number, (at, title) in enumerate(_phases(days, rows)):
        x, y = plot.at(at, plot.y[1])
        late = x + 6 * len(title) > plot.width
        near, x = ("end", plot.width - 4) if late else ("start", x + 3)
        y += 12 + 14 * (number % 2)
        parts.append(element("text", title, class_="hour", x=x, y=y, text_anchor=near))
    if 0 <= now_h <= plot.x[1]:
        x, foot = plot.at(now_h, plot.y[0])
        _, top = plot.at(now_h, plot.y[1])
        parts.append(element("line", class_="now", x1=x, y1=top, x2=x, y2=foot))
    return plot.drawn(parts)


def _names(plot: Plot, days: Sequence[RaisedDay], clock: Clock) -> Iterable[tuple[float, str]]:
    """The names of days under the picture, as many as there is room for."""
    first = days[0].at
    every = max(1, round(LABEL * len(days) / (plot.width - plot.left) + 0.5))
    for number, day in enumerate(days):
        if number % every == 0:
            yield (day.at - first) / HOUR, day_name(clock.local(day.at).date())


def _phases(days: Sequence[RaisedDay], rows: Sequence[Points]) -> Iterable[tuple[float, str]]:
    """Where each phase begins, and what it is called."""
    before = ""
    for day, row in zip(days, rows, strict=True):
        title = say(day.signs()["title"])
        if title != before:
            yield row[0][0], title
        before = title
