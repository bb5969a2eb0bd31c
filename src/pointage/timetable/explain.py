"""When a wish cannot be kept: which of its parts stand in the way, and what each would free.

Each named wish is given up alone and the search run again. Those that free the bake are the
conflicts, each with what it would then cost. If none does alone, that is said too.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime, timedelta

from pointage.timetable.calendar import GRID, ceil_to_grid
from pointage.timetable.plan import Conflict
from pointage.timetable.problem import HORIZON, Problem
from pointage.timetable.solve import Choice, choose, search

LATEST = timedelta(hours=48)


def conflicts(problem: Problem) -> tuple[Conflict, ...]:
    """The wishes of `problem` that stand in the way, each with what giving it up would bring."""
    found = [
        conflict
        for give_up in (_ready, _sleep, _oven, _others, _start)
        if (conflict := give_up(problem)) is not None
    ]
    if found:
        return tuple(found)
    return (
        Conflict(
            "everything at once",
            "No single wish is to blame: neither a later hour (up to two days), nor waking in the "
            "night, nor a larger oven, nor an earlier start alone makes it possible.",
            "Try another formula, a warmer place, or fewer pieces.",
        ),
    )


def _ready(problem: Problem) -> Conflict | None:
    """A later time out of the oven, the earliest there is."""
    widened = search(problem, later=LATEST)
    ready = ceil_to_grid(problem.ready)
    while ready <= problem.ready + LATEST:
        choice = choose(problem, widened.calendar, widened.ways, ready, early_steps=0)
        if choice is not None:
            return Conflict(
                "ready",
                f"Nothing is ripe, risen and baked by {_clock(problem, problem.ready)}.",
                f"Out of the oven at {_clock(problem, ready)}, the rest can stay as it is.",
            )
        ready += GRID
    return None


def _sleep(problem: Problem) -> Conflict | None:
    """Hands in the night."""
    if not problem.kitchen.hours.sleep:
        return None
    choice = search(problem, sleepless=True).choice
    if choice is None:
        return None
    return Conflict(
        "sleep",
        f"{_night_work(problem, choice)} falls in the sleeping hours.",
        f"With somebody up then, it is out of the oven at {_clock(problem, problem.ready)}.",
    )


def _night_work(problem: Problem, choice: Choice) -> str:
    way = choice.way
    moments = [
        *((f.at, "a feed") for f in way.levain.feedings()),
        (way.mix, "the mix"),
        (way.divide, "dividing"),
        (choice.preheat, "lighting the oven"),
        *((load, "baking") for load in choice.loads),
    ]
    for at, what in sorted(moments):
        local = at.astimezone(problem.kitchen.zone).time()
        for down, up in problem.kitchen.hours.sleep:
            asleep = down <= local < up if down < up else local >= down or local < up
            if asleep:
                return f"{what[0].upper()}{what[1:]} at {_clock(problem, at)}"
    return "Some of the work"


def _oven(problem: Problem) -> Conflict | None:
    """An oven that takes everything at once."""
    if problem.loads == 1:
        return None
    found = search(problem)
    choice = choose(problem, found.calendar, found.ways, problem.ready, loads=1)
    if choice is None:
        return None
    return Conflict(
        "oven",
        f"The oven takes {problem.loads} loads one after another, and the dough cannot wait.",
        "In a single load it would work: fewer pieces, or a second oven.",
    )


def _others(problem: Problem) -> Conflict | None:
    """Hands and oven free of other bakes."""
    if not problem.hands_taken and not problem.oven_taken:
        return None
    if search(replace(problem, hands_taken=(), oven_taken=())).choice is None:
        return None
    return Conflict(
        "other bakes",
        "Hands or oven are at another bake when this one needs them.",
        "Without the other bake it would work as wished.",
    )


def _start(problem: Problem) -> Conflict | None:
    """A start before now."""
    if problem.now <= problem.ready - HORIZON:
        return None
    culture = replace(problem.culture, fed=min(problem.culture.fed, problem.ready - HORIZON))
    earlier = replace(problem, now=problem.ready - HORIZON, culture=culture)
    choice = search(earlier).choice
    if choice is None:
        return None
    begin = choice.way.levain.feedings()[0].at
    if begin >= problem.now:
        return None
    return Conflict(
        "start",
        f"It would have had to begin at {_clock(problem, begin)}, and that is past.",
        "Wish for it earlier next time, or keep the culture awake in the warm.",
    )


def _clock(problem: Problem, at: datetime) -> str:
    local = at.astimezone(problem.kitchen.zone)
    return f"{local:%a %-d %b %H:%M}"
