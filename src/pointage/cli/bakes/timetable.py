"""Print a plan on a terminal, one line a step."""

from __future__ import annotations

from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

from pointage.cli.table import grams, table
from pointage.cli.terminal import harmless
from pointage.desk.bakes.plan import shortage_words
from pointage.desk.wording import (
    cautions,
    conflict_words,
    narrowed,
    note,
    odds_words,
    pour_label,
    title,
)
from pointage.language import mark, say
from pointage.quantities import print_number
from pointage.shown import clock_text, day_name, long_date_text, warmth
from pointage.timetable.plan import (
    Ladder,
    Plan,
    Status,
    Step,
)

INDENT = " " * 4


def print_plan(plan: Plan, chosen_for: str = "") -> None:
    """The timetable with its ladders, ripe windows and cautions, or why there is none.

    chosen_for: what it was chosen for, in words.
    """
    for line in plan_lines(plan, chosen_for):
        print(harmless(line))


def plan_lines(plan: Plan, chosen_for: str = "") -> list[str]:
    """The lines that `print_plan` prints; clock times are in the plan's zone."""
    zone = ZoneInfo(plan.zone)
    ready = plan.ready.astimezone(zone)
    at = f"{_clock(ready)} {long_date_text(ready)}"
    heading = say(
        "{formula}, {pieces} of {mass} g, ready {at}, {zone}",
        formula=plan.formula,
        pieces=plan.pieces,
        mass=print_number(plan.piece_g),
        at=at,
        zone=plan.zone,
    )
    lines = [heading, ""]
    if chosen_for and plan.status is not Status.IMPOSSIBLE:
        lines = [heading, chosen_for, ""]
    if plan.status is Status.IMPOSSIBLE:
        lines.append(say("It cannot be done as planned:"))
        for conflict in plan.conflicts:
            sentence, relaxed = conflict_words(conflict, zone)
            lines += [f"- {sentence}", f"  {relaxed}"]
    for step in plan.steps:
        lines += step_lines(step, zone)
    if plan.shortages:
        lacking = (shortage_words(each) for each in plan.shortages)
        lines += ["", *(say("Not enough: {what}", what=each) for each in lacking)]
    if plan.cautions:
        lines += ["", *(say("Warning: {caution}", caution=each) for each in cautions(plan))]
    return lines


def upkeep_lines(title: str, step: Step, zone: ZoneInfo) -> list[str]:
    """The lines of something done for a culture beside its bakes, its title first."""
    poured = _ladder_lines(step.ladder) if step.ladder else []
    return [f"{_span(step.start, step.end, zone)}  {title}", *poured]


def step_lines(step: Step, zone: ZoneInfo) -> list[str]:
    """The lines of one step, the first of them its heading."""
    lines = [f"{_span(step.start, step.end, zone)}  {title(step)}{_particulars(step)}"]
    if step.remarks:
        lines.append(INDENT + note(step, zone))
    if step.ladder:
        lines += _ladder_lines(step.ladder)
    if step.standing and step.standing.ripe_from and step.standing.ripe_until:
        ripe = _span(step.standing.ripe_from.p50, step.standing.ripe_until.p50, zone)
        words = say("ripe {span}", span=ripe)
        if step.ripe_odds is not None:
            odds = odds_words(step.ripe_odds)
            words = say("ripe {span}; ripe when used: {odds}", span=ripe, odds=odds)
        lines.append(INDENT + words)
    if step.standing and step.standing.looks:
        best = min(step.standing.looks, key=lambda look: look.left_h)
        band = narrowed(timedelta(hours=step.standing.half_h), timedelta(hours=best.left_h))
        at = _clock(best.at.astimezone(zone))
        lines.append(INDENT + say("a look at {at} tells most: {band}", at=at, band=band))
    if step.keep:
        lines += step_lines(step.keep, zone)
    return lines


def _particulars(step: Step) -> str:
    facts = [step.place] if step.place else []
    for words, celsius in (
        (mark("water {warmth}"), step.water_temperature_c),
        (mark("mix {warmth}"), step.mixture_temperature_c),
        (mark("oven {warmth}"), step.oven_temperature_c),
    ):
        if celsius is not None:
            facts.append(say(words, warmth=warmth(celsius)))
    return f"  ({', '.join(facts)})" if facts else ""


def _ladder_lines(ladder: Ladder) -> list[str]:
    rows = [[ladder.vessel, "", grams(ladder.tare_g), ""]]
    for number, pour in enumerate(ladder.pours):
        bowl = ladder.begins(number)
        if number and bowl is not None:
            rows.append([bowl.vessel, "", grams(bowl.tare_g), ""])
        warm = pour.temperature_c
        rows.append(
            [
                pour_label(pour),
                grams(_on(ladder.step_g, pour.grams)),
                grams(pour.display_g),
                "" if warm is None else warmth(warm),
            ]
        )
    printed = table([say("pour"), say("add"), say("display"), say("at")], rows)
    return [INDENT + line for line in printed.splitlines()]


def _on(step_g: float, grams: float) -> float:
    return round(grams / step_g) * step_g


def _span(start: datetime, end: datetime, zone: ZoneInfo) -> str:
    """ "Fri 13:00–13:25", and with the day of the end when it is another day."""
    first, last = start.astimezone(zone), end.astimezone(zone)
    same_day = first.date() == last.date()
    return f"{_clock(first)}–{clock_text(last) if same_day else _clock(last)}"


def _clock(local: datetime) -> str:
    return f"{day_name(local)} {clock_text(local)}"
