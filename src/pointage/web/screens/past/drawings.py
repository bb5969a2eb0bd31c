"""The pictures of the past, each in two widths and with its words."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from datetime import date, datetime, timedelta
from math import ceil

from markupsafe import Markup

from pointage.culture.vigour import Vigour
from pointage.desk.past.culture import (
    CultureChange,
    RipeForecast,
    SeenCourse,
    Wasted,
)
from pointage.language import say, written
from pointage.quantities import print_number
from pointage.shown import date_text, month_name, warmth
from pointage.web.drawing.plot import (
    NARROW,
    WIDE,
    Plot,
    steps,
)
from pointage.web.drawing.svg import element
from pointage.web.frame import Drawing
from pointage.web.words.clock import Clock

HOUR = timedelta(hours=1)
FAINTEST, OLD = 0.14, 0.55
LABEL = 52.0  # room that a label under the plot wants


def _both(draw: Callable[[float], Markup], words: str) -> Drawing:
    return Drawing(draw(NARROW), draw(WIDE), words)


def overlay(courses: Sequence[SeenCourse], since: str) -> Drawing:
    """Courses one over the other, the older the fainter, the last in strong ink with its dots."""
    longest = max(hours for each in courses for hours, _ in each.points)
    highest = max(rise for each in courses for _, rise in each.points)
    hours, top = max(1.0, ceil(longest)), max(1.5, ceil(4 * highest) / 4)
    lowest = min(1.0, *(rise for each in courses for _, rise in each.points))

    def draw(width: float) -> Markup:
        plot = Plot(width, (0.0, hours), (lowest, top))
        *old, last = courses
        parts = [plot.levels((v, written(print_number(v, 2))) for v in steps(lowest, top, 5))]
        parts.append(
            plot.along((v, written(f"{v:g} h")) for v in steps(0.0, hours, int(width / LABEL)))
        )
        for number, each in enumerate(old):
            share = (number + 1) / len(old)
            line = [(0.0, 1.0), *each.points]
            parts.append(plot.line(line, "course-line", FAINTEST + share * (OLD - FAINTEST)))
        parts.append(plot.line([(0.0, 1.0), *last.points], "course-line last"))
        parts.append(plot.dots(last.points, "seen-dot"))
        return plot.drawn(parts)

    rise = courses[-1].points[-1][1]
    return _both(
        draw,
        say(
            "Rise against hours {since}, {courses} sets of readings overlaid. The last ended at "
            "{rise:.2f}.",
            since=since,
            courses=len(courses),
            rise=rise,
        ),
    )


def vigour(points: Sequence[Vigour], changes: Sequence[CultureChange], clock: Clock) -> Drawing:
    """Hours to its height over the months with their band, and when something changed."""
    times = [each.window.middle for each in points]
    first, last = min(each.window.since for each in points), max(e.window.until for e in points)
    low = min(each.to_peak_h.p10 for each in points) - 0.1
    high = max(each.to_peak_h.p90 for each in points) + 0.1
    days = _days(first)

    def draw(width: float) -> Markup:
        plot = Plot(width, (0.0, days(last)), (low, high))
        at = [days(each) for each in times]
        lower = [(x, each.to_peak_h.p10) for x, each in zip(at, points, strict=True)]
        upper = [(x, each.to_peak_h.p90) for x, each in zip(at, points, strict=True)]
        middle = [(x, each.to_peak_h.p50) for x, each in zip(at, points, strict=True)]
        return plot.drawn(
            [
                plot.levels((v, written(print_number(v, 1))) for v in steps(low, high, 5)),
                plot.along(_months(first, last, clock)),
                plot.area(lower, upper, "band-area"),
                plot.line(middle, "course-line last"),
                plot.dots(middle, "seen-dot"),
                *(
                    plot.upright(days(each.at), str(number))
                    for number, each in enumerate(changes, 1)
                    if first <= each.at <= last
                ),
            ]
        )

    values = ", ".join(written(f"{each.to_peak_h.p50:.1f}") for each in points)
    return _both(
        draw,
        say(
            "Hours from feed to height at {temperature} over the months, the oldest first: "
            "{values}.",
            temperature=warmth(25),
            values=values,
        ),
    )


def forecasts(points: Sequence[RipeForecast], clock: Clock) -> Drawing:
    """The forecast window as a bar about the forecast hour, and when it was seen ripe as a dot."""
    first, last = points[0].at - timedelta(days=4), points[-1].at + timedelta(days=4)
    low = min(-1.0, *(min(each.early_h, each.seen_h) for each in points)) - 0.3
    high = max(1.0, *(max(each.until_h, each.seen_h) for each in points)) + 0.3
    days = _days(first)

    def draw(width: float) -> Markup:
        plot = Plot(width, (0.0, days(last)), (low, high))
        thick = max(6.0, min(18.0, (width - 60) / len(points) * 0.55))
        return plot.drawn(
            [
                plot.levels((v, written(f"{v:+g} h") if v else "0") for v in steps(low, high, 5)),
                plot.along(_months(first, last, clock)),
                *(
                    plot.bar(days(each.at), each.early_h, each.until_h, thick, "window-bar")
                    for each in points
                ),
                plot.line([(0.0, 0.0), (days(last), 0.0)], "zero-line"),
                plot.dots([(days(each.at), each.seen_h) for each in points], "seen-dot", 4.5),
            ]
        )

    kept = sum(each.kept for each in points)
    return _both(
        draw,
        say(
            "Forecasts of ripeness: {kept} of {all} seen within the window.",
            kept=kept,
            all=len(points),
        ),
    )


def waste(weeks: Sequence[Wasted]) -> Drawing:
    """Grams poured off, a bar a week."""
    top = max(10.0, *(each.grams for each in weeks)) * 1.05

    def draw(width: float) -> Markup:
        plot = Plot(width, (-0.6, len(weeks) - 0.4), (0.0, top), height=170.0)
        thick = (width - 60) / len(weeks) * 0.6
        marks = [
            (float(number), month_name(each.begins))
            for number, each in enumerate(weeks)
            if each.begins.day <= 7 or (number == 0 and each.begins.day <= 21)
        ]
        return plot.drawn(
            [
                plot.levels((v, written(f"{v:g} g")) for v in steps(0.0, top, 4)),
                plot.along(marks),
                *(
                    plot.bar(float(number), 0.0, each.grams, thick, "waste-bar")
                    for number, each in enumerate(weeks)
                    if each.grams
                ),
            ]
        )

    values = ", ".join(f"{each.grams:.0f}" for each in weeks)
    return _both(draw, say("Grams of discard a week, the oldest first: {values}.", values=values))


def marks(
    tasted: Sequence[tuple[datetime, Mapping[str, float]]], names: Sequence[str], clock: Clock
) -> Drawing:
    """A row of dots for each mark, the larger the better."""
    first, last = tasted[0][0] - timedelta(days=4), tasted[-1][0] + timedelta(days=4)
    days = _days(first)

    def draw(width: float) -> Markup:
        height = 44.0 * len(names) + 40
        plot = Plot(width, (0.0, days(last)), (-0.6, len(names) - 0.4), height, left=72.0)
        parts = [
            plot.levels((len(names) - 1.0 - n, say(name)) for n, name in enumerate(names)),
            plot.along(_months(first, last, clock)),
        ]
        largest = min(14.0, (width - 90) / len(tasted) * 0.45)
        for n, name in enumerate(names):
            for at, given in tasted:
                if name in given:
                    size = largest * given[name] / 5
                    parts.append(plot.dots([(days(at), len(names) - 1.0 - n)], "mark-dot", size))
        return plot.drawn(parts)

    def given_of(name: str) -> str:
        return ", ".join(written(print_number(it[name])) for _, it in tasted if name in it)

    words = "; ".join(f"{say(name)} {given_of(name)}" for name in names)
    return _both(draw, say("Marks when tasted, the oldest first: {words}.", words=words))


def lost(shares: Sequence[tuple[datetime, float]], clock: Clock) -> Drawing:
    """The share of the dough that baked off, bake by bake."""
    first, last = shares[0][0] - timedelta(days=4), shares[-1][0] + timedelta(days=4)
    percents = [100 * share for _, share in shares]
    low, high = min(percents) - 1.0, max(percents) + 1.0
    days = _days(first)

    def draw(width: float) -> Markup:
        plot = Plot(width, (0.0, days(last)), (low, high), height=170.0)
        points = [(days(at), 100 * share) for at, share in shares]
        return plot.drawn(
            [
                plot.levels((v, written(f"{v:g} %")) for v in steps(low, high, 4)),
                plot.along(_months(first, last, clock)),
                plot.line(points, "course-line", OLD),
                plot.dots(points, "seen-dot"),
            ]
        )

    values = ", ".join(written(f"{each:.1f}") for each in percents)
    return _both(
        draw, say("Bake loss in percent of the dough, the oldest first: {values}.", values=values)
    )


def bar(share: int) -> Markup:
    """A bar of so many of 100, for the strength of an effect."""
    inside = element("rect", x=0, y=0, width=share, height=6, class_="effect-bar")
    return Markup(
        '<svg class="effect" viewBox="0 0 100 6" preserveAspectRatio="none" '
        'aria-hidden="true" focusable="false">{}</svg>'
    ).format(inside)


def _days(first: datetime) -> Callable[[datetime], float]:
    return lambda at: (at - first) / timedelta(days=1)


def _months(first: datetime, last: datetime, clock: Clock) -> list[tuple[float, str]]:
    """The first of each month by its name; a short span has its first and last day."""
    days = _days(first)
    day, end = clock.local(first).date(), clock.local(last).date()
    found = []
    month = date(day.year + day.month // 12, day.month % 12 + 1, 1)
    while month <= end:
        found.append((days(clock.midnight(month)), month_name(month)))
        month = date(month.year + month.month // 12, month.month % 12 + 1, 1)
    if len(found) >= 2:
        return found
    return [(days(at), date_text(local)) for at in (first, last) for local in (clock.local(at),)]
