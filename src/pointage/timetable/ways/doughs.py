"""From a levain in hand to loaves that may go into the oven: every way, weighed by the engine.

For each instant at which a mix could begin, the dough's course in its bulk place says when it may
be divided; from each such instant its course in the proof place, and in the fridge, says when it
may be baked. What is left for the timetable is to choose.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from pointage.formula.formula import Process
from pointage.kitchen.kitchen import Place
from pointage.mixture.many import CoursesOfMany, hold_from
from pointage.mixture.mixture import Mixture
from pointage.mixture.state import S
from pointage.mixture.traits import Traits
from pointage.timetable.calendar import GRID, GRID_MIN, Calendar
from pointage.timetable.ways.levains import FEED_MINUTES, RipeInHand
from pointage.timetable.ways.stands import KitchenStands

LONGEST_BULK_H = 14.0
LONGEST_PROOF_H = 12.0
LONGEST_RETARD_H = 30.0
LEAST_RETARD_H = 4.0  # the core is near the fridge's temperature by then
WEAKEST = 0.4  # least strength of a dough that still holds in the oven (ours)
SOAK_MINUTES = 10  # to put a soaker to soak
OFF_RISE = 1.0  # penalty hours for baking or dividing at the very edge of the wanted rise


@dataclass(frozen=True, eq=False)
class DoughSearch:
    """Everything the search needs to know. `mixed` makes a dough from each of some levains."""

    process: Process
    bulk_place: Place
    proof_place: Place
    retard_place: Place | None
    mixed: Callable[[Sequence[RipeInHand]], Mixture]
    stands: KitchenStands
    pieces: int
    piece_g: float
    traits: Traits
    calendar: Calendar
    soaks: Sequence[tuple[float, float]] = ()  # least and most hours before the mix

    def handling_minutes(self) -> float:
        """From the start of dividing to the end of shaping."""
        p = self.process
        return p.divide_minutes + p.bench_rest_minutes + p.shape_minutes


@dataclass(frozen=True, eq=False)
class Way:
    """A dough as far as the proof: mixed, divided and shaped at given instants, then left.

    bakeable: the rises of the course on grid instants after `shaped`, from which `wait_penalty`
    says whether and how gladly it is baked then.
    """

    levain: RipeInHand
    mix: datetime
    soaks: tuple[datetime, ...]
    divide: datetime
    shaped: datetime
    retarded: bool
    penalty: float
    wanted: tuple[float, float, float]
    rise: NDArray[np.float64]
    last_fit: int

    def wait_penalty(self, bake: datetime) -> float | None:
        """The penalty for baking at an instant, or None when the dough is not fit then."""
        row = round((bake - self.shaped) / timedelta(minutes=GRID_MIN))
        if not 0 <= row < len(self.rise) or row > self.last_fit:
            return None
        if self.retarded and row * GRID_MIN < LEAST_RETARD_H * 60:
            return None
        return rise_penalty(float(self.rise[row]), self.wanted)


def rise_penalty(rise: float, wanted: tuple[float, float, float]) -> float | None:
    """OFF_RISE times the squared distance from the wanted rise, None outside least and most."""
    least, best, most = wanted
    if not least <= rise <= most:
        return None
    span = (best - least) if rise < best else (most - best)
    return OFF_RISE * ((rise - best) / span) ** 2 if span > 0 else 0.0


def dough_ways(
    search: DoughSearch,
    levains: Mapping[datetime, RipeInHand],
    loaded: tuple[datetime, datetime] | None = None,
) -> list[Way]:
    """Every way from a levain in hand to shaped pieces that are waiting.

    loaded: when a load goes into the oven at the earliest and at the latest; what could not be
    baked between them is left out.
    """
    starts = [
        (at, levain, soaks)
        for at, levain in sorted(levains.items())
        if search.calendar.free(at, search.process.mix_minutes)
        and (soaks := soaks_before(search, levain)) is not None
    ]
    if not starts:
        return []
    doughs = search.mixed([levain for _, levain, _ in starts])
    here = search.stands.bulk(doughs, search.bulk_place)
    bulk = hold_from(
        doughs,
        search.bulk_place.surroundings,
        [at for at, _, _ in starts],
        LONGEST_BULK_H,
        here.traits(search.traits),
        follow_h=here.follow.hours,
    )
    divisions = _Divisions(search)
    shaped = [
        (i, at, levain, soaks, row, penalty)
        for i, (at, levain, soaks) in enumerate(starts)
        for row, penalty in divisions.of(at, bulk.rise[i])
    ]
    ways = []
    for retarded in (False, True):
        ways += _left(search, bulk, shaped, loaded, retarded=retarded)
    return ways


def soaks_before(search: DoughSearch, levain: RipeInHand) -> tuple[datetime, ...] | None:
    """When each soaker is put to soak, as late as may be; None when hands are never free."""
    if not search.soaks:
        return ()
    feeds = [(each.at, each.at + timedelta(minutes=FEED_MINUTES)) for each in levain.feedings()]
    calendar = search.calendar.also(feeds)
    found = []
    for least, most in search.soaks:
        hours = max(least, SOAK_MINUTES / 60)  # it is put to soak before the mix, not in it
        while not calendar.free(levain.at - timedelta(hours=hours), SOAK_MINUTES):
            hours += GRID_MIN / 60
            if hours > most:
                return None
        at = levain.at - timedelta(hours=hours)
        if at < calendar.first:
            return None
        calendar = calendar.also([(at, at + timedelta(minutes=SOAK_MINUTES))])
        found.append(at)
    return tuple(found)


@dataclass(frozen=True, eq=False)
class _Divisions:
    """When a dough may be divided."""

    search: DoughSearch

    def of(self, mix: datetime, rise: NDArray[np.float64]) -> Iterator[tuple[int, float]]:
        """Rows of its bulk course at which it may be, with their penalties."""
        process, calendar = self.search.process, self.search.calendar
        if not all(calendar.free(at, process.fold_minutes) for at in fold_times(process, mix)):
            return
        least, _, most = process.bulk_rise
        worked = process.mix_minutes + process.folds * process.fold_every_minutes
        if process.folds:
            worked += process.fold_minutes
        first = int(worked // GRID_MIN + 1)
        handling = self.search.handling_minutes()
        # While it is handled it stands in the bulk place.
        last = min(int(rise.argmax()), len(rise) - round(handling / GRID_MIN) - 1)
        part = rise[first : last + 1]
        since = round((mix - calendar.first) / GRID) + first
        free = self._free[since : since + len(part)]
        for n in np.flatnonzero((least <= part) & (part <= most) & free).tolist():
            penalty = rise_penalty(float(part[n]), process.bulk_rise)
            assert penalty is not None
            yield first + n, penalty

    @cached_property
    def _free(self) -> NDArray[np.bool_]:
        """Whether hands are free for it, of each instant of the calendar and as long after it."""
        calendar = self.search.calendar
        later = replace(calendar, last=calendar.last + timedelta(hours=LONGEST_BULK_H) + GRID)
        return later.free_on_grid(self.search.handling_minutes())


def fold_times(process: Process, mix: datetime) -> list[datetime]:
    """When the dough is folded: at even spells after the mix."""
    end = mix + timedelta(minutes=process.mix_minutes)
    return [
        end + timedelta(minutes=(i + 1) * process.fold_every_minutes) for i in range(process.folds)
    ]


def hands_on(process: Process, way: Way) -> list[tuple[datetime, datetime]]:
    """When hands are at the dough of a way, from the mix to the shaped pieces."""
    divided = way.divide + timedelta(minutes=process.divide_minutes)
    folded = timedelta(minutes=process.fold_minutes)
    return [
        (way.mix, way.mix + timedelta(minutes=process.mix_minutes)),
        *((at, at + folded) for at in fold_times(process, way.mix)),
        (way.divide, divided),
        (divided + timedelta(minutes=process.bench_rest_minutes), way.shaped),
    ]


def _left(
    search: DoughSearch,
    bulk: CoursesOfMany,
    shaped: Sequence[tuple[int, datetime, RipeInHand, tuple[datetime, ...], int, float]],
    loaded: tuple[datetime, datetime] | None,
    *,
    retarded: bool,
) -> list[Way]:
    """The shaped pieces left to proof, or in the fridge. loaded: as of `dough_ways`."""
    process = search.process
    longest_h = LONGEST_RETARD_H if retarded else LONGEST_PROOF_H
    handling = search.handling_minutes()
    if loaded is not None:
        since = loaded[0] - timedelta(hours=longest_h) - GRID
        until = loaded[1] - timedelta(hours=LEAST_RETARD_H if retarded else 0.0) + GRID
        handled = timedelta(minutes=handling)
        shaped = [x for x in shaped if since <= x[1] + x[4] * GRID + handled <= until]
    place = search.retard_place if retarded else search.proof_place
    wanted = process.rise_to_load(retarded=retarded)
    if place is None or not shaped:
        return []
    after = [row * GRID_MIN + handling for _, _, _, _, row, _ in shaped]
    starts = [each[1] + timedelta(minutes=m) for each, m in zip(shaped, after, strict=True)]
    pieces = bulk.stood([each[0] for each in shaped], [minutes / 60 for minutes in after])
    piece = bulk.held.scaled(search.piece_g)
    here = search.stands.piece(piece, search.pieces, place)
    courses = hold_from(
        pieces.handled(process.shape_keeps),
        place.surroundings,
        starts,
        longest_h,
        here.traits(search.traits),
        follow_h=here.follow.hours,
    )
    last_fit = _last_fit(courses, retarded=retarded).tolist()
    return [
        Way(
            levain=levain,
            mix=mix,
            soaks=soaks,
            divide=mix + row * GRID,
            shaped=start,
            retarded=retarded,
            penalty=levain.penalty + penalty,
            wanted=wanted,
            rise=rise,
            last_fit=last,
        )
        for (_, mix, levain, soaks, row, penalty), start, rise, last in zip(
            shaped, starts, courses.rise, last_fit, strict=True
        )
    ]


def _last_fit(courses: CoursesOfMany, *, retarded: bool) -> NDArray[np.intp]:
    """The last row of each at which the dough still stands.

    In the warm that is its highest point. In the fridge it shrinks as it cools without harm, and
    only its strength shows a dough past its time.
    """
    if not retarded:
        return np.asarray(courses.rise.argmax(axis=1))
    weak = courses.states[:, :, S.STRENGTH] < WEAKEST
    return np.asarray(np.where(weak.any(axis=1), weak.argmax(axis=1), weak.shape[1]) - 1)
