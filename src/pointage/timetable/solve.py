"""Choose: of every levain and every dough that the engine knows, the plan with the least penalty.

The search is complete over its grid and its list of alternatives, but for one thing: of all ways to
a levain in hand at an instant only the best is carried on. `bound` is therefore found apart: the
least penalty of any levain plus the least of any dough, which no plan can undercut.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta

from pointage.kitchen.capacity import HANDS
from pointage.kitchen.kitchen import Oven
from pointage.timetable.calendar import (
    GRID,
    Calendar,
    calendar_of,
    floor_to_grid,
)
from pointage.timetable.occupied import Span
from pointage.timetable.problem import HORIZON, TURN_MINUTES, Problem
from pointage.timetable.shortage import fridge_is_full
from pointage.timetable.ways.doughs import SOAK_MINUTES, Way, dough_ways, hands_on
from pointage.timetable.ways.lean import AS_USUAL, Lean, Leaning
from pointage.timetable.ways.levains import FEED_MINUTES, LevainSearch, RipeInHand, ripe_levains

EARLY_STEPS = 12  # bread may be out up to three hours before it is wanted
EACH_EARLY_HOUR = 1.0
EACH_HOUR_LONG = 0.03  # penalty for each hour from the first feed to the oven
LIGHT_MINUTES = 5.0  # to light the oven
OTHER_OVEN = 0.1  # penalty for each oven passed over: a cook keeps to the first that works (ours)

LEVAINS, DOUGHS, SEARCHED = 0.3, 0.6, 0.7
"""How much of the work on a plan is done once the levains, the doughs and the choice are."""


@dataclass(frozen=True, eq=False)
class ChosenWay:
    """A chosen way, and when each load goes into which oven."""

    way: Way
    oven: Oven
    loads: tuple[datetime, ...]
    preheat: datetime
    penalty: float


@dataclass(frozen=True, eq=False)
class Found:
    """All ways between two instants, the choice among them if any keeps every wish, the bound."""

    calendar: Calendar
    ways: Sequence[Way]
    choice: ChosenWay | None
    bound: float | None


def search(
    problem: Problem,
    reached: Callable[[float], None] = lambda share: None,
    *,
    sleepless: bool = False,
    later: timedelta = timedelta(),
    lean: Lean = AS_USUAL,
) -> Found:
    """Search for the best plan. `later` widens the horizon beyond the wanted time.

    reached: hears how much of a whole plan is done. lean: what is leaned to, where one can choose.
    """
    last = problem.ready + later
    first = max(problem.now, problem.ready - HORIZON)
    hands = problem.occupied_spans(HANDS)
    calendar = calendar_of(problem.kitchen, first, last, hands, sleepless=sleepless)
    leaning = None if lean == AS_USUAL else Leaning.of(lean, problem, first, last)
    levains = _levains(problem.levain_search(calendar), leaning)
    reached(LEVAINS)
    ways = dough_ways(problem.dough_search(calendar), levains)
    reached(DOUGHS)
    choice = choose(problem, calendar, ways, problem.ready, leaning=leaning)
    return Found(calendar, ways, choice, _bound(ways))


def _levains(search: LevainSearch, leaning: Leaning | None) -> dict[datetime, RipeInHand]:
    """The best ripe levain in hand at each instant, by what is leaned to besides."""
    every: list[RipeInHand] = []
    found = ripe_levains(search, every)
    if leaning is None:
        return found
    costs = {at: node.penalty + leaning.levain(node) for at, node in found.items()}
    for node in every:
        cost = node.penalty + leaning.levain(node)
        if cost < costs[node.at]:
            found[node.at], costs[node.at] = node, cost
    return found


def choose(
    problem: Problem,
    calendar: Calendar,
    ways: Sequence[Way],
    ready: datetime,
    *,
    loads: int = 0,
    early_steps: int = EARLY_STEPS,
    any_room: bool = False,
    leaning: Leaning | None = None,
) -> ChosenWay | None:
    """The best of `ways` with the last load out at `ready` or a few steps of the grid before.

    loads: so many in place of what the oven takes. any_room: whether the fridge takes everything.
    leaning: prices beside the usual ones.
    """
    dearer = [0.0 if leaning is None else _leaned(problem, way, leaning) for way in ways]
    best: ChosenWay | None = None
    for passed_over, baked in enumerate(problem.in_each_oven):
        choice = _choose_in_oven(
            baked,
            calendar,
            ways,
            ready,
            loads=loads,
            early_steps=early_steps,
            any_room=any_room,
            leaning=leaning,
            dearer=dearer,
        )
        if choice is None:
            continue
        choice = replace(choice, penalty=choice.penalty + passed_over * OTHER_OVEN)
        if best is None or choice.penalty < best.penalty:
            best = choice
    return best


def _choose_in_oven(
    problem: Problem,
    calendar: Calendar,
    ways: Sequence[Way],
    ready: datetime,
    *,
    loads: int,
    early_steps: int,
    any_room: bool,
    leaning: Leaning | None,
    dearer: Sequence[float],
) -> ChosenWay | None:
    since = max(problem.now, ready - early_steps * GRID)
    until = [way.shaped + (way.last_fit + 1) * GRID for way in ways]
    best: ChosenWay | None = None
    for step in range(early_steps + 1):
        out = floor_to_grid(ready) - step * GRID
        early = (ready - out).total_seconds() / 3600 * EACH_EARLY_HOUR
        if best is not None and early > best.penalty:
            break
        leaned = 0.0 if leaning is None else leaning.hours(since, out)
        ovens = oven_times(problem, calendar, out, loads or problem.loads)
        if ovens is None:
            continue
        preheat, starts = ovens
        times = [floor_to_grid(start) for start in starts]
        if leaning is not None:
            leaned += leaning.jobs(_at_oven(problem, preheat, starts))
        for way, dear, fit_until in zip(ways, dearer, until, strict=True):
            if starts[0] < way.shaped or times[-1] > fit_until:
                continue
            waits = _waits(way, times)
            if waits is None:
                continue
            penalty = early + way.penalty + length_penalty(way, out) + sum(waits) / len(waits)
            penalty += leaned + dear
            if best is not None and penalty >= best.penalty:
                continue
            if _lit_with_full_hands(problem, way, preheat):
                continue
            waiting = (way.shaped, starts[-1])
            if any_room or not fridge_is_full(problem, *waiting, retarded=way.retarded):
                best = ChosenWay(way, problem.oven, starts, preheat, penalty)
    return best


def _leaned(problem: Problem, way: Way, leaning: Leaning) -> float:
    """What a way costs before the oven by what is leaned to."""
    feed, soak = timedelta(minutes=FEED_MINUTES), timedelta(minutes=SOAK_MINUTES)
    feeds = [(each.at, each.at + feed) for each in way.levain.feedings()]
    jobs = [*feeds, *((at, at + soak) for at in way.soaks), *hands_on(problem.process, way)]
    return leaning.levain(way.levain) + leaning.jobs(jobs)


def _at_oven(problem: Problem, preheat: datetime, loads: Sequence[datetime]) -> list[Span]:
    each = timedelta(minutes=problem.process.load_minutes + problem.bake_minutes)
    lit = (preheat, preheat + timedelta(minutes=LIGHT_MINUTES))
    return [lit, *((load, load + each) for load in loads)]


def _waits(way: Way, times: Sequence[datetime]) -> list[float] | None:
    """The penalty of each load that goes in then; None where the dough is not fit for one."""
    found = []
    for at in times:
        wait = way.wait_penalty(at)
        if wait is None:
            return None
        found.append(wait)
    return found


def _lit_with_full_hands(problem: Problem, way: Way, preheat: datetime) -> bool:
    """Whether the oven would have to be lit by hands that are at the dough."""
    lit = preheat + timedelta(minutes=LIGHT_MINUTES)
    return any(preheat < until and lit > since for since, until in hands_on(problem.process, way))


def length_penalty(way: Way, out: datetime) -> float:
    """The penalty for how long it takes, from the first feed or soak until it is out."""
    return (out - way_begins(way)).total_seconds() / 3600 * EACH_HOUR_LONG


def way_begins(way: Way) -> datetime:
    """Its first feed or soak."""
    return min([*way.soaks, way.levain.feedings()[0].at])


def first_load(problem: Problem, out: datetime, loads: int) -> datetime:
    """When the first of so many loads goes into the oven for the last to be out at an instant."""
    each = problem.process.load_minutes + problem.bake_minutes
    return out - timedelta(minutes=loads * each + (loads - 1) * TURN_MINUTES)


def oven_times(
    problem: Problem, calendar: Calendar, out: datetime, loads: int, *, hot: bool = False
) -> tuple[datetime, tuple[datetime, ...]] | None:
    """When the oven is lit and each load goes in, None when hands are asleep for any of it.

    hot: another bake leaves it hot, and nobody lights it.
    """
    process = problem.process
    each = process.load_minutes + problem.bake_minutes
    first = first_load(problem, out, loads)
    starts = tuple(first + timedelta(minutes=i * (each + TURN_MINUTES)) for i in range(loads))
    preheat = first - timedelta(minutes=0.0 if hot else problem.oven.preheat_minutes)
    if not hot and not calendar.free(preheat, LIGHT_MINUTES):
        return None
    if not all(calendar.free(start, each) for start in starts):
        return None
    taken = problem.occupied_spans(problem.oven.name)
    if any(preheat < until and out > since for since, until in taken):
        return None
    return preheat, starts


def _bound(ways: Sequence[Way]) -> float | None:
    if not ways:
        return None
    return min(w.levain.penalty for w in ways) + min(w.penalty - w.levain.penalty for w in ways)
