"""The course of what stands, drawn for paper: rise, its band and the ripe window."""

from __future__ import annotations

from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

from pointage.desk.sheets.parts.times import clock, hours_between, span
from pointage.desk.wording.odds import odds_words
from pointage.documents.blocks import PrintedCourse
from pointage.language import say, written
from pointage.shown import warmth
from pointage.timetable.plan import Plan, Step, StepCourse

MOST_MARKS = 6
SHORTEST = timedelta(minutes=30)
ABOVE = 1.06  # of the highest rise, so that the line does not touch the edge


def courses_of(plan: Plan) -> tuple[PrintedCourse, ...]:
    """A drawing of each mixture that stands, in order."""
    zone = ZoneInfo(plan.zone)
    return tuple(
        _drawn(step, step.standing, zone)
        for step in plan.steps
        if step.standing is not None
        and len(step.standing.rows) > 2
        and step.standing.rows[-1].at - step.standing.rows[0].at >= SHORTEST
    )


def _drawn(step: Step, course: StepCourse, zone: ZoneInfo) -> PrintedCourse:
    rows = course.rows
    start, end = rows[0].at, rows[-1].at
    top = max(1.5, ABOVE * max(max(row.rise_p90, row.rise) for row in rows))
    low = min(1.0, *(row.rise_p10 for row in rows))

    def x(at: datetime) -> float:
        return min(max((at - start) / (end - start), 0.0), 1.0)

    def y(rise: float) -> float:
        return (rise - low) / (top - low)

    ripe = None
    if course.ripe_from is not None and course.ripe_until is not None:
        ripe = x(course.ripe_from.p50), x(course.ripe_until.p50)
    levels = [n / 2 for n in range(2, 17) if low <= n / 2 <= top]
    if len(levels) > 4:
        levels = levels[::2]
    return PrintedCourse(
        heading=_name(step),
        points=tuple((x(row.at), y(row.rise)) for row in rows),
        low=tuple((x(row.at), y(row.rise_p10)) for row in rows),
        high=tuple((x(row.at), y(row.rise_p90)) for row in rows),
        ripe=ripe if ripe is not None and ripe[1] > ripe[0] else None,
        marks=tuple(
            (x(each), clock(each, zone))
            for each in hours_between(start.astimezone(zone), end.astimezone(zone), MOST_MARKS)
        ),
        levels=tuple((y(each), f"× {written(f'{each:g}')}") for each in levels),
        under=_under(step, course, zone),
    )


def _name(step: Step) -> str:
    from pointage.desk.wording.steps import title

    if step.mixture and step.ladder is not None:
        return step.mixture
    return title(step)


def _under(step: Step, course: StepCourse, zone: ZoneInfo) -> str:
    place = say(
        "{place}, {warmth} at first",
        place=step.place,
        warmth=warmth(course.rows[0].temperature_c),
    )
    if course.ripe_from is None or course.ripe_until is None:
        return place
    ripe = say("ripe {span}", span=span(course.ripe_from.p50, course.ripe_until.p50, zone))
    if step.ripe_odds is None:
        return f"{place}; {ripe}"
    odds = odds_words(step.ripe_odds)
    return say("{place}; {ripe}; ripe when used: {odds}", place=place, ripe=ripe, odds=odds)
