"""A culture's and a formula's past as pictures, and what changed between two bakes."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime, timedelta

from pointage.desk.answers import Bake
from pointage.desk.past.changed import WhatChanged
from pointage.desk.past.culture import CulturePast, SeenCourse
from pointage.desk.past.formula import FormulaPast
from pointage.language import mark, say, say_many, within, written
from pointage.quantities import print_number
from pointage.shown import date_text, shown, warmth
from pointage.web.forms.field import Choice, Field
from pointage.web.frame import Frame
from pointage.web.screens.culture.page import Table
from pointage.web.screens.past import drawings as draw
from pointage.web.screens.past.page import ChangedLine, ComparePage, PastPage, Picture
from pointage.web.words.clock import Clock
from pointage.web.words.entries import MARKS
from pointage.web.words.words import (
    length,
    mass,
    percent,
    upper_first,
)

ON_TIME = timedelta(minutes=5)
LATEST = 12
BY_WEEK = {
    "monday": mark("Discard by week, from Monday"),
    "saturday": mark("Discard by week, from Saturday"),
    "sunday": mark("Discard by week, from Sunday"),
}


def culture_past_page(past: CulturePast, clock: Clock, frame: Frame) -> PastPage:
    """A culture's past."""
    pictures = [
        _courses(past.courses, clock, say("Its rises, overlaid"), say("since it was fed"))
        if past.courses
        else None,
        _vigour(past, clock) if past.vigour else None,
        _forecasts(past, clock) if past.forecasts else None,
        _waste(past) if past.waste else None,
    ]
    return PastPage(
        frame=frame,
        name=past.name,
        lead=say("What the daybook has of it."),
        pictures=tuple(each for each in pictures if each is not None),
        changes=tuple(
            (f"{number}. {_day(each.at, clock)}", each.words)
            for number, each in enumerate(past.changes, 1)
        ),
        pending=say("Its vigour is being calculated.") if past.under_way else "",
        nothing="" if any(pictures) or past.under_way else say("Nothing has been measured yet."),
        onward=(
            Choice(f"/cultures/{past.name}", say("{name} now", name=past.name)),
            Choice(f"/daybook?culture={past.name}#lines", say("All entries about it")),
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
            _courses(courses, clock, say("The bulk of every bake, overlaid"), say("since the mix"))
        )
    if tasted:
        names = [name for name in MARKS if any(name in each.marks for each in tasted)]
        rows = [
            (_day(each.bake.plan.ready, clock), *(_mark(each.marks.get(n)) for n in names))
            for each in tasted
        ]
        pictures.append(
            Picture(
                say("How it tasted"),
                say("Marks from 1 to 5, the larger the better."),
                draw.marks([(each.bake.plan.ready, each.marks) for each in tasted], names, clock),
                Table(
                    say("Marks when tasted"),
                    ("", *(upper_first(say(n)) for n in names)),
                    tuple(rows),
                ),
            )
        )
    if lost:
        shares = [(each.bake.plan.ready, each.lost or 0.0) for each in lost]
        mean = sum(share for _, share in shares) / len(shares)
        pictures.append(
            Picture(
                say("Bake loss"),
                say("{share} of the dough on average.", share=percent(mean, 1)),
                draw.lost(shares, clock),
                Table(
                    say("Bake loss, share of the dough"),
                    ("", say("Bake loss")),
                    tuple((_day(at, clock), percent(share, 1)) for at, share in shares),
                ),
            )
        )
    pair = past.bakes[-2:]
    onward = [Choice(f"/formulas/{slug}", say("The formula"))]
    if pair:
        onward.append(
            Choice(f"/daybook/bake/{pair[-1].bake.key}", say("How the last one came out"))
        )
    if len(pair) == 2:
        address = f"/daybook/compare?a={pair[0].bake.key}&b={pair[1].bake.key}"
        onward.append(Choice(address, say("What changed between the last two")))
    lead = say_many("{n} bake in the daybook.", "{n} bakes in the daybook.", len(past.bakes))
    return PastPage(
        frame=frame,
        name=past.name,
        lead=lead if past.bakes else "",
        pictures=tuple(pictures),
        changes=(),
        pending="",
        nothing="" if pictures else say("It has not been baked yet, or nothing was recorded."),
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
        Field("a", say("From"), typed[0], "select", choices),
        Field("b", say("To"), typed[1], "select", choices, error=error),
    )
    lines: tuple[ChangedLine, ...] = ()
    title = nothing = ""
    if found is not None:
        title = say(
            "{formula} of {day}, against {before}",
            formula=found.after.plan.formula,
            day=_day(found.after.plan.ready, clock),
            before=_day(found.before.plan.ready, clock),
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
        nothing = "" if lines else say("Nothing in the daybook was different.")
    return ComparePage(frame, fields, title, lines, nothing)


def _courses(courses: Sequence[SeenCourse], clock: Clock, title: str, since: str) -> Picture:
    latest = courses[-1]
    rows = tuple(
        (
            _day(each.at, clock),
            "; ".join(
                say("{rise:.2f} after {span}", rise=rise, span=_hours(hours))
                for hours, rise in each.points
            ),
        )
        for each in reversed(courses)
    )
    return Picture(
        title,
        say(
            "Each line is one set of readings, in hours {since}; older ones are fainter. "
            "The dark one is of {day}.",
            since=since,
            day=_day(latest.at, clock),
        ),
        draw.overlay(courses, since),
        Table(say("Rises as measured"), ("", say("Read")), rows[:LATEST]),
    )


def _vigour(past: CulturePast, clock: Clock) -> Picture:
    rows = tuple(
        (
            say(
                "{since} to {until}",
                since=_day(each.window.since, clock),
                until=_day(each.window.until, clock),
            ),
            say("{hours:.1f} h", hours=each.to_peak_h.p50),
            say("{low:.1f} to {high:.1f} h", low=each.to_peak_h.p10, high=each.to_peak_h.p90),
            str(each.mixes),
        )
        for each in past.vigour
    )
    last = past.vigour[-1].to_peak_h
    return Picture(
        say("Vigour"),
        say(
            "Hours from a feed of 1:2:2 (white wheat, {temperature}) to its height, as each "
            "four weeks by themselves have it; lower is quicker. Now {now:.1f}, most likely "
            "{low:.1f} to {high:.1f}.",
            temperature=warmth(25),
            now=last.p50,
            low=last.p10,
            high=last.p90,
        ),
        draw.vigour(past.vigour, past.changes, clock),
        Table(
            say("Vigour by four weeks"),
            ("", say("Highest after"), say("8 in 10"), say("Mixes")),
            rows,
        ),
    )


def _forecasts(past: CulturePast, clock: Clock) -> Picture:
    kept = sum(each.kept for each in past.forecasts)
    rows = tuple(
        (
            f"{_day(each.at, clock)}, {within(each.title)}",
            _signed(each.seen_h),
            say("within") if each.kept else say("outside"),
        )
        for each in past.forecasts
    )
    return Picture(
        say("Forecast accuracy"),
        say(
            "{kept} of {all} were seen ripe within the forecast window. The line is the "
            "forecast time, the bar its window, the dot when it was seen ripe.",
            kept=kept,
            all=len(past.forecasts),
        ),
        draw.forecasts(past.forecasts, clock),
        Table(say("Seen ripe, against the forecast time"), ("", say("Seen"), say("Window")), rows),
    )


def _waste(past: CulturePast) -> Picture:
    mean = sum(each.grams for each in past.waste) / len(past.waste)
    rows = tuple((date_text(each.begins), mass(each.grams)) for each in past.waste)
    return Picture(
        say("What was discarded"),
        say("{mass} a week on average.", mass=mass(mean)),
        draw.waste(past.waste),
        Table(say(BY_WEEK[shown().week]), ("", say("Grams")), rows),
    )


def _day(at: datetime, clock: Clock) -> str:
    return clock.day(clock.local(at).date())


def _hours(hours: float) -> str:
    return length(timedelta(hours=hours))


def _signed(hours: float) -> str:
    if abs(hours) < ON_TIME / timedelta(hours=1):
        return say("as forecast")
    span = _hours(abs(hours))
    return say("{span} later", span=span) if hours > 0 else say("{span} sooner", span=span)


def _mark(given: float | None) -> str:
    return "–" if given is None else written(print_number(given))
