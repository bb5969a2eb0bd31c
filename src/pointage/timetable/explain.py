"""When a wish cannot be kept: which of its parts stand in the way, and what each would free.

Each named wish is given up alone and the search run again. Those that free the bake are the
conflicts, each with what it would then cost. If none does alone, that is said too.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime, timedelta

from pointage.timetable.calendar import GRID, ceil_to_grid, sleep_spans
from pointage.timetable.doughs import SOAK_MINUTES, hands_on
from pointage.timetable.levains import FEED_MINUTES
from pointage.timetable.plan import Conflict
from pointage.timetable.problem import HORIZON, Problem
from pointage.timetable.shortage import shortages
from pointage.timetable.solve import LIGHT_MINUTES, Choice, Found, choose, search

LATEST = timedelta(hours=48)


def conflicts(problem: Problem, found: Found) -> tuple[Conflict, ...]:
    """The wishes of `problem` that stand in the way, each with what giving it up would bring.

    found: what the search for it found, without a choice.
    """
    given_up = (
        _ready(problem),
        _sleep(problem),
        _away(problem),
        _oven(problem, found),
        _fridge(problem, found),
        _others(problem),
        _start(problem),
    )
    in_the_way = tuple(each for each in given_up if each is not None)
    if in_the_way:
        return in_the_way
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
    """The first work of a plan that is not out of the sleeping hours, and when."""
    way = choice.way
    feed, soak, light = (timedelta(minutes=m) for m in (FEED_MINUTES, SOAK_MINUTES, LIGHT_MINUTES))
    mix, *folds, divide, shape = hands_on(problem.process, way)
    works = [
        *(((each.at, each.at + feed), "a feed") for each in way.levain.feedings()),
        *(((at, at + soak), "the soaker") for at in way.soaks),
        (mix, "the mix"),
        *((fold, "a fold") for fold in folds),
        (divide, "dividing"),
        (shape, "shaping"),
        ((choice.preheat, choice.preheat + light), "lighting the oven"),
        *(((load, problem.ready), "baking") for load in choice.loads),
    ]
    nights = sleep_spans(problem.kitchen, problem.now, problem.ready)
    for (start, end), what in sorted(works):
        if any(start < up and end > down for down, up in nights):
            return f"{what[0].upper()}{what[1:]} at {_clock(problem, start)}"
    return "Some of the work"


def _away(problem: Problem) -> Conflict | None:
    """Somebody there all the time."""
    hours = problem.kitchen.hours
    spells = [each for each in hours.away if each[0] < problem.ready and each[1] > problem.now]
    if not spells:
        return None
    at_home = replace(problem.kitchen, hours=replace(hours, away=()))
    if search(replace(problem, kitchen=at_home)).choice is None:
        return None
    told = " and ".join(f"{_clock(problem, a)} to {_clock(problem, b)}" for a, b in spells)
    return Conflict(
        "away",
        f"Nobody is there when hands are needed: away {told}.",
        f"With somebody there, it is out of the oven at {_clock(problem, problem.ready)}.",
    )


def _oven(problem: Problem, found: Found) -> Conflict | None:
    """An oven that takes everything at once."""
    if problem.loads == 1:
        return None
    choice = choose(problem, found.calendar, found.ways, problem.ready, loads=1)
    if choice is None:
        return None
    return Conflict(
        "oven",
        f"The oven takes {problem.loads} loads one after another, and the dough cannot wait.",
        "In a single load it would work: fewer pieces, or a second oven.",
    )


def _fridge(problem: Problem, found: Found) -> Conflict | None:
    """A fridge with room for everything."""
    choice = choose(problem, found.calendar, found.ways, problem.ready, any_room=True)
    if choice is None:
        return None
    waiting = (choice.way.shaped, choice.loads[-1])
    lacks = shortages(problem, *waiting, retarded=choice.way.retarded)
    for each in lacks:
        if each.name != "fridge":
            continue
        freed = f", or from {_clock(problem, each.free_from)} on" if each.free_from else ""
        return Conflict(
            each.name,
            f"The pieces need {each.needed:.3g} l of the {each.capacity.lower()} from "
            f"{_clock(problem, each.start)}, and {each.free:.3g} l are free.",
            f"With {each.missing:.3g} l more it would work{freed}; as it is there is room for "
            f"{each.most_pieces} of {problem.pieces} pieces.",
        )
    return None


def _others(problem: Problem) -> Conflict | None:
    """Hands and oven free of other bakes."""
    if not problem.occupied:
        return None
    if search(replace(problem, occupied=())).choice is None:
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
    earlier = replace(problem, now=problem.ready - HORIZON)
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
