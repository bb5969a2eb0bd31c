"""When a wish cannot be kept: which of its parts stand in the way, and what each would free.

Each named wish is given up alone and the search run again. Those that free the bake are the
conflicts, each with what it would then cost. If none does alone, that is said too.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta
from functools import partial

from pointage.timetable.calendar import GRID, ceil_to_grid, sleep_spans
from pointage.timetable.choice.beside import beside
from pointage.timetable.plan import Conflict, StepKind
from pointage.timetable.problem import HORIZON, Problem
from pointage.timetable.remark import (
    Argument,
    ConflictName,
    litres,
    number,
)
from pointage.timetable.shortage import shortages
from pointage.timetable.solve import (
    LIGHT_MINUTES,
    ChosenWay,
    Found,
    choose,
    search,
)
from pointage.timetable.ways.doughs import SOAK_MINUTES, hands_on
from pointage.timetable.ways.levains import FEED_MINUTES

LATEST = timedelta(hours=48)


def conflicts(problem: Problem, found: Found) -> tuple[Conflict, ...]:
    """The wishes of `problem` that stand in the way, each with what giving it up would bring.

    found: what the search for it found, without a choice.
    """
    with beside(partial(_ready, problem)) as ready:  # about as long as all the others
        others = (
            _sleep(problem),
            _away(problem),
            _oven(problem, found),
            _fridge(problem, found),
            _others(problem),
            _start(problem),
        )
        given_up = (ready(), *others)
    in_the_way = tuple(each for each in given_up if each is not None)
    if in_the_way:
        return in_the_way
    return (Conflict(ConflictName.EVERYTHING),)


def _ready(problem: Problem) -> Conflict | None:
    """A later time out of the oven, the earliest there is."""
    widened = search(problem, later=LATEST)
    ready = ceil_to_grid(problem.ready)
    while ready <= problem.ready + LATEST:
        choice = choose(problem, widened.calendar, widened.ways, ready, early_steps=0)
        if choice is not None:
            return Conflict(ConflictName.READY, {"ready": problem.ready, "possible": ready})
        ready += GRID
    return None


def _sleep(problem: Problem) -> Conflict | None:
    """Hands in the night."""
    if not problem.kitchen.hours.sleep:
        return None
    choice = search(problem, sleepless=True).choice
    if choice is None:
        return None
    return Conflict(ConflictName.SLEEP, {"ready": problem.ready, **_night_work(problem, choice)})


def _night_work(problem: Problem, choice: ChosenWay) -> dict[str, Argument]:
    """The first work of a plan that falls in the sleeping hours, and when."""
    way = choice.way
    feed, soak, light = (timedelta(minutes=m) for m in (FEED_MINUTES, SOAK_MINUTES, LIGHT_MINUTES))
    mix, *folds, divide, shape = hands_on(problem.process, way)
    works = [
        *(((each.at, each.at + feed), StepKind.FEED) for each in way.levain.feedings()),
        *(((at, at + soak), StepKind.SOAK) for at in way.soaks),
        (mix, StepKind.MIX),
        *((fold, StepKind.FOLD) for fold in folds),
        (divide, StepKind.DIVIDE),
        (shape, StepKind.SHAPE),
        ((choice.preheat, choice.preheat + light), StepKind.PREHEAT),
        *(((load, problem.ready), StepKind.BAKE) for load in choice.loads),
    ]
    nights = sleep_spans(problem.kitchen, problem.now, problem.ready)
    for (start, end), what in sorted(works):
        if any(start < up and end > down for down, up in nights):
            return {"work": what.value, "at": start}
    return {}


def _away(problem: Problem) -> Conflict | None:
    """Somebody there all the time."""
    hours = problem.kitchen.hours
    spells = [each for each in hours.away if each[0] < problem.ready and each[1] > problem.now]
    if not spells:
        return None
    at_home = replace(problem.kitchen, hours=replace(hours, away=()))
    if search(replace(problem, kitchen=at_home)).choice is None:
        return None
    instants = tuple(at for spell in spells for at in spell)
    return Conflict(ConflictName.AWAY, {"ready": problem.ready, "spells": instants})


def _oven(problem: Problem, found: Found) -> Conflict | None:
    """An oven that takes everything at once."""
    if problem.loads == 1:
        return None
    choice = choose(problem, found.calendar, found.ways, problem.ready, loads=1)
    if choice is None:
        return None
    return Conflict(ConflictName.OVEN, {"loads": number(problem.loads)})


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
        about: dict[str, Argument] = {
            "capacity": each.capacity,
            "needed": litres(each.needed),
            "free": litres(each.free),
            "missing": litres(each.missing),
            "since": each.start,
            "most": number(each.most_pieces),
            "pieces": number(problem.pieces),
        }
        if each.free_from is not None:
            about["freed"] = each.free_from
        return Conflict(ConflictName.FRIDGE, about)
    return None


def _others(problem: Problem) -> Conflict | None:
    """Hands and oven free of other bakes."""
    if not problem.occupied:
        return None
    if search(replace(problem, occupied=())).choice is None:
        return None
    return Conflict(ConflictName.OTHER_BAKES)


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
    return Conflict(ConflictName.START, {"begin": begin})
