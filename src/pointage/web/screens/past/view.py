"""A culture's and a formula's past as pictures, and what changed between two bakes."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime, timedelta

from pointage.desk.answers import Bake
from pointage.desk.past.changed import WhatChanged
from pointage.desk.past.culture import CulturePast, SeenCourse
from pointage.desk.past.formula import FormulaPast
from pointage.quantities import print_number
from pointage.shown import date_text, shown, warmth
from pointage.web.forms.field import Choice, Field
from pointage.web.frame import Frame
from pointage.web.screens.culture.page import Table
from pointage.web.screens.past import drawings as draw
from pointage.web.screens.past.page import ChangedLine, ComparePage, PastPage, Picture
from pointage.web.words.clock import Clock
from pointage.web.words.words import (
    count,
    length,
    mass,
    percent,
)

ON_TIME = timedelta(minutes=5)
LATEST = 12


def culture_past_page(past: CulturePast, clock: Clock, frame: Frame) -> PastPage:
    """A culture's past."""
    pictures = [
        _courses(past.courses, clock, "Its rises, overlaid", "since it was fed")
        if past.courses
        else None,
        _vigour(past, clock) if past.vigour else None,
        _forecasts(past, clock) if past.forecasts else None,
        _waste(past) if past.waste else None,
    ]
    return PastPage(
        frame=frame,
        name=past.name,
        lead="What the daybook has of it.",
        pictures=tuple(each for each in pictures if each is not None),
        changes=tuple(
            (f"{number}. {_day(each.at, clock)}", each.words)
            for number, each in enumerate(past.changes, 1)
        ),
        pending="Its vigour is being calculated." if past.under_way else "",
        nothing="" if any(pictures) or past.under_way else "Nothing has been measured yet.",
        onward=(
            Choice(f"/cultures/{past.name}", f"{past.name} now"),
            Choice(f"/daybook?culture={past.name}#lines", "All entries about it"),
        ),
    )


def formula_past_page(past: FormulaPast, slug: str, clock: Clock, frame: Frame) -> PastPage:
    """A formula's bakes."""
    courses = [each.course for each in past.bakes if each.course.points]
    lost = [each for each in past.bakes if each.lost is not None]
    tasted = [each for each in past.bakes if each.marks]
    pictures = []
    if courses:
        pictures.append(
            _courses(courses, clock, "The bulk of every bake, overlaid", "since the mix")
        )
    if tasted:
        names = [name for name in draw.MARKS if any(name in each.marks for each in tasted)]
        rows = [
            (_day(each.bake.plan.ready, clock), *(_mark(each.marks.get(n)) for n in names))
            for each in tasted
        ]
        pictures.append(
            Picture(
                "How it tasted",
                "Marks from 1 to 5, the larger the better.",
                draw.marks([(each.bake.plan.ready, each.marks) for each in tasted], names, clock),
                Table("Marks when tasted", ("", *(n.capitalize() for n in names)), tuple(rows)),
            )
        )
    if lost:
        shares = [(each.bake.plan.ready, each.lost or 0.0) for each in lost]
        mean = sum(share for _, share in shares) / len(shares)
        pictures.append(
            Picture(
                "Bake loss",
                f"{percent(mean, 1)} of the dough on average.",
                draw.lost(shares, clock),
                Table(
                    "Bake loss, share of the dough",
                    ("", "Bake loss"),
                    tuple((_day(at, clock), percent(share, 1)) for at, share in shares),
                ),
            )
        )
    pair = past.bakes[-2:]
    onward = [Choice(f"/formulas/{slug}", "The formula")]
    if len(pair) == 2:
        address = f"/daybook/compare?a={pair[0].bake.key}&b={pair[1].bake.key}"
        onward.append(Choice(address, "What changed between the last two"))
    bakes = count(len(past.bakes), "bake")
    return PastPage(
        frame=frame,
        name=past.name,
        lead=f"{bakes} in the daybook." if past.bakes else "",
        pictures=tuple(pictures),
        changes=(),
        pending="",
        nothing="" if pictures else "It has not been baked yet, or nothing was recorded.",
        onward=tuple(onward),
    )


def compare_page(
    bakes: Sequence[Bake],
    typed: tuple[str, str],
    found: WhatChanged | None,
    error: str,
    *,
    clock: Clock,
    frame: Frame,
) -> ComparePage:
    """Two bakes to choose, and what changed from the first to the second."""
    latest = sorted(bakes, key=lambda bake: bake.plan.ready, reverse=True)
    choices = tuple(
        Choice(bake.key, f"{bake.plan.formula}, {_day(bake.plan.ready, clock)}") for bake in latest
    )
    fields = (
        Field("a", "From", typed[0], "select", choices),
        Field("b", "To", typed[1], "select", choices, error=error),
    )
    lines: tuple[ChangedLine, ...] = ()
    title = nothing = ""
    if found is not None:
        title = (
            f"{found.after.plan.formula} of {_day(found.after.plan.ready, clock)}, "
            f"against {_day(found.before.plan.ready, clock)}"
        )
        effects = [abs(each.sooner or timedelta()) for each in found.differences]
        most = max([*effects, ON_TIME])
        lines = tuple(
            ChangedLine(
                each.sentence,
                round(100 * abs(each.sooner) / most) if each.sooner else 0,
                "faster" if each.sooner and each.sooner > timedelta() else "slower",
            )
            for each in found.differences
        )
        nothing = "" if lines else "Nothing in the daybook was different."
    return ComparePage(frame, fields, title, lines, nothing)


def _courses(courses: Sequence[SeenCourse], clock: Clock, title: str, since: str) -> Picture:
    latest = courses[-1]
    rows = tuple(
        (
            f"{_day(each.at, clock)}",
            "; ".join(f"{rise:.2f} after {_hours(hours)}" for hours, rise in each.points),
        )
        for each in reversed(courses)
    )
    return Picture(
        title,
        f"Each line is one set of readings, in hours {since}; older ones are fainter. "
        f"The dark one is of {_day(latest.at, clock)}.",
        draw.overlay(courses, since),
        Table("Rises as measured", ("", "Read"), rows[:LATEST]),
    )


def _vigour(past: CulturePast, clock: Clock) -> Picture:
    rows = tuple(
        (
            f"{_day(each.window.since, clock)} to {_day(each.window.until, clock)}",
            f"{each.to_peak_h.p50:.1f} h",
            f"{each.to_peak_h.p10:.1f} to {each.to_peak_h.p90:.1f} h",
            str(each.mixes),
        )
        for each in past.vigour
    )
    last = past.vigour[-1].to_peak_h
    return Picture(
        "Vigour",
        f"Hours from a feed of 1:2:2 (white wheat, {warmth(25)}) to its height, as each four weeks "
        f"by themselves have it; lower is quicker. Now {last.p50:.1f}, most likely {last.p10:.1f} "
        f"to {last.p90:.1f}.",
        draw.vigour(past.vigour, past.changes, clock),
        Table("Vigour by four weeks", ("", "Highest after", "8 in 10", "Mixes"), rows),
    )


def _forecasts(past: CulturePast, clock: Clock) -> Picture:
    kept = sum(each.kept for each in past.forecasts)
    rows = tuple(
        (
            f"{_day(each.at, clock)}, {each.title.lower()}",
            _signed(each.seen_h),
            "within" if each.kept else "outside",
        )
        for each in past.forecasts
    )
    return Picture(
        "Forecast accuracy",
        f"{kept} of {len(past.forecasts)} were seen ripe within the forecast window. The line is "
        "the forecast time, the bar its window, the dot when it was seen ripe.",
        draw.forecasts(past.forecasts, clock),
        Table("Seen ripe, against the forecast time", ("", "Seen", "Window"), rows),
    )


def _waste(past: CulturePast) -> Picture:
    mean = sum(each.grams for each in past.waste) / len(past.waste)
    rows = tuple((date_text(each.begins), mass(each.grams)) for each in past.waste)
    return Picture(
        "What was discarded",
        f"{mass(mean)} a week on average.",
        draw.waste(past.waste),
        Table(f"Discard by week, from {shown().week.capitalize()}", ("", "Grams"), rows),
    )


def _day(at: datetime, clock: Clock) -> str:
    return clock.day(clock.local(at).date())


def _hours(hours: float) -> str:
    return length(timedelta(hours=hours))


def _signed(hours: float) -> str:
    if abs(hours) < ON_TIME / timedelta(hours=1):
        return "on the hour"
    return f"{_hours(abs(hours))} {'later' if hours > 0 else 'sooner'}"


def _mark(mark: float | None) -> str:
    return "–" if mark is None else print_number(mark)
