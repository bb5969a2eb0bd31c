"""Inverse questions: what seed, what temperature, how late? Each is solved by running the engine.

The unknown is spread over a grid, and the members are held at every point of it, all at once.
Where the wished-for quantile of the members falls to the wished-for hour the grid is drawn closer,
and the answer is held once more to find its odds. Nothing is clipped: a wish that no point of the
grid can meet comes back as `OutOfReach`, which says what could be met.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from enum import StrEnum

import numpy as np
from numpy.typing import NDArray

from pointage.errors import InputError
from pointage.language import mark, say
from pointage.mixture.course import first_crossing, leavened, ripe_windows, rise_of
from pointage.mixture.flours import FlourRecord
from pointage.mixture.hold import (
    STEP_MIN,
    TEMPERATURE_RANGE,
    run,
    settings_for,
)
from pointage.mixture.mixture import Mixture, mix, raw
from pointage.mixture.state import P
from pointage.mixture.temperature.surroundings import (
    Constant,
    Later,
    Surroundings,
    straying,
)
from pointage.mixture.traits import Traits
from pointage.quantities import print_measure, print_number

Floats = NDArray[np.float64]
Case = tuple[Mixture, Surroundings]

SEED_SHARES = (0.005, 2.0)
"""Seed over fresh flour: from what can just be weighed to twice the flour."""
LONGEST_WAIT_H = 7 * 24.0
GRID_POINTS = 16
CLOSER_POINTS = 6
SEARCHED_MEMBERS = 64
"""So many members find the answer; all of them give its odds."""
ROW_STEPS = 2
AFTERWARDS_H = 12.0
"""Held for twice the hours wanted and so much more, a mixture shows the end of its window."""
LEAST_OF_BEST = 0.5
"""A mixture that rises less than this of the best on the grid is too cold or too hot, never ripe:
ours, since the gas that water takes up in cooling makes a peak of its own."""


@dataclass(frozen=True, slots=True)
class Fresh:
    """What is put to the seed: grams of flour by kind, of water and of salt, at one temperature.

    record: what the flours are together; None for what the tables have of them.
    """

    flours: Mapping[str, float]
    water: float
    celsius: float
    salt: float = 0.0
    record: FlourRecord | None = None

    def with_seed(self, culture: Mixture, share: float) -> Mixture:
        """The mix with `share` of seed over fresh flour."""
        seed = culture.scaled(share * sum(self.flours.values()))
        fresh = raw(self.flours, self.water, self.salt, celsius=self.celsius, record=self.record)
        return mix([seed, fresh])


@dataclass(frozen=True, slots=True)
class Solved:
    """The value asked for, and its odds: the share of members that are then as wished."""

    value: float
    odds: float


@dataclass(frozen=True, slots=True)
class LatestFeed:
    """The latest instant to feed, and the share of members that are then ripe at the wanted one."""

    at: datetime
    odds: float


class Tried(StrEnum):
    """What was varied to find an answer."""

    SEED = "seed"  # a share of the fresh flour
    PLACE = "place"  # °C
    MIX = "mix"  # °C
    AHEAD = "ahead"  # hours, up to `high`


@dataclass(frozen=True, slots=True)
class OutOfReach:
    """No answer: what was tried, and from when until when (hours of hold) it would come to it.

    low, high: between which it was tried. earliest_h and latest_h are None where that is not within
    the hours looked at.
    """

    tried: Tried
    low: float
    high: float
    wanted_h: float
    earliest_h: float | None
    latest_h: float | None

    @property
    def reason(self) -> str:
        """The one line a person is shown, as of an error."""
        tried = say(_TRIED[self.tried], low=self.low, high=self.high)
        if self.earliest_h is None:
            return say("{tried}: it does not get there within the hours searched", tried=tried)
        if self.latest_h is None:
            return say(
                "{tried}: that takes {earliest:.1f} h at the soonest, not the {wanted:.1f} h "
                "wanted",
                tried=tried,
                earliest=self.earliest_h,
                wanted=self.wanted_h,
            )
        return say(
            "{tried}: that takes {earliest:.1f} h at the soonest and {latest:.1f} h at the latest, "
            "not the {wanted:.1f} h wanted",
            tried=tried,
            earliest=self.earliest_h,
            latest=self.latest_h,
            wanted=self.wanted_h,
        )


_TRIED = {
    Tried.SEED: mark("seed of {low:.1%} to {high:.0%} of the fresh flour"),
    Tried.PLACE: mark("a place of {low:g} to {high:g} °C"),
    Tried.MIX: mark("a mix of {low:g} to {high:g} °C"),
    Tried.AHEAD: mark("fed {high:.1f} h ahead or later"),
}


def seed_share(
    culture: Mixture,
    fresh: Fresh,
    surroundings: Surroundings,
    *,
    start: datetime,
    ripe_at: datetime,
    traits: Traits,
) -> Solved | OutOfReach:
    """The seed over fresh flour (g/g) with which the middle of the ripe window falls on `ripe_at`.

    It is mixed at `start` and stands in `surroundings`. The middle is the median over members, the
    odds are the share of members inside their own windows then.
    Range: 0.005 to 2 of the fresh flour. Raises InputError unless ripe_at is within a week after.
    """
    wanted = _wait_h(start, ripe_at)

    def case(seed: Mixture, log_share: float) -> Case:
        return fresh.with_seed(seed, float(np.exp(log_share))), surroundings

    low, high = SEED_SHARES
    grid = _Grid(case, culture, start, 2 * wanted + AFTERWARDS_H, traits)
    found = grid.falls_to(wanted, (float(np.log(low)), float(np.log(high))), _Rises.middle, 0.5)
    if isinstance(found, float):
        return Solved(float(np.exp(found)), grid.at(found).odds_of_ripe(wanted))
    return _out_of_reach(Tried.SEED, SEED_SHARES, wanted, found)


def ripens_after(
    culture: Mixture,
    fresh: Fresh,
    surroundings: Surroundings,
    *,
    start: datetime,
    ripe_at: datetime,
    traits: Traits,
    shares: Sequence[float],
) -> Floats:
    """Hours to the middle of the ripe window at each of `shares` of seed over fresh flour (g/g),
    by the median of the members that search; infinite where it is not seen.

    What `seed_share` goes by, for whoever only chooses among a few. ripe_at: up to about which it
    matters. Raises InputError unless that is within a week after.
    """

    def case(seed: Mixture, share: float) -> Case:
        return fresh.with_seed(seed, share), surroundings

    hours = 2 * _wait_h(start, ripe_at) + AFTERWARDS_H
    few = _Grid(case, culture, start, hours, traits)._thinned()
    return _quantile(few.held(np.array(shares)).middle(), 0.5)


def place_temperature(
    mixture: Mixture,
    *,
    start: datetime,
    wanted_at: datetime,
    traits: Traits,
    rise: float | None = None,
    sure: float = 0.5,
) -> Solved | OutOfReach:
    """The constant temperature (°C) of a place in which `mixture` is as wished at `wanted_at`.

    Wished is a `rise`, which the share `sure` of members has then reached; or, when none is given,
    the middle of the ripe window. Where two temperatures serve, one on either side of the optimum,
    the cooler is given.
    Range: 2 to 40 °C. Raises InputError if wanted_at is not within a week of start.
    """

    def case(whole: Mixture, celsius: float) -> Case:
        return whole, Constant(celsius)

    return _temperature(
        Tried.PLACE,
        case,
        mixture,
        start=start,
        wanted_at=wanted_at,
        traits=traits,
        rise=rise,
        sure=sure,
    )


def mix_temperature(
    mixture: Mixture,
    surroundings: Surroundings,
    *,
    start: datetime,
    wanted_at: datetime,
    traits: Traits,
    rise: float | None = None,
    sure: float = 0.5,
) -> Solved | OutOfReach:
    """The temperature (°C) just after mixing at which `mixture` is as wished at `wanted_at`.

    As `place_temperature`, but the place is given and the mix is what can be set. A mixture drifts
    to its place within hours, so the reach is narrow, the more so the smaller the tub.
    """

    def case(whole: Mixture, celsius: float) -> Case:
        return whole.at_temperature(celsius), surroundings

    return _temperature(
        Tried.MIX,
        case,
        mixture,
        start=start,
        wanted_at=wanted_at,
        traits=traits,
        rise=rise,
        sure=sure,
    )


def _temperature(
    tried: Tried,
    case: Callable[[Mixture, float], Case],
    mixture: Mixture,
    *,
    start: datetime,
    wanted_at: datetime,
    traits: Traits,
    rise: float | None,
    sure: float,
) -> Solved | OutOfReach:
    wanted = _wait_h(start, wanted_at)
    grid = _Grid(case, mixture, start, 2 * wanted + AFTERWARDS_H, traits)
    if rise is None:
        found = grid.falls_to(wanted, TEMPERATURE_RANGE, _Rises.middle, 0.5)
    else:
        found = grid.falls_to(wanted, TEMPERATURE_RANGE, lambda held: held.reaches(rise), sure)
    if not isinstance(found, float):
        return _out_of_reach(tried, TEMPERATURE_RANGE, wanted, found)
    held = grid.at(found)
    odds = held.odds_of_ripe(wanted) if rise is None else held.odds_of_rise(rise, wanted)
    return Solved(found, odds)


def latest_feed(
    fed: Mixture,
    surroundings: Surroundings,
    *,
    earliest: datetime,
    ripe_at: datetime,
    traits: Traits,
    sure: float = 0.5,
) -> LatestFeed | OutOfReach:
    """The latest instant, not before `earliest`, to mix `fed` and have it ripe at `ripe_at`.

    fed: the mix of seed, flour and water (`Fresh.with_seed`), taken to be the same whenever it is
    mixed. By then the share `sure` of members has come into its ripe window; the odds are the share
    inside it. Raises InputError if ripe_at is not within a week of earliest.
    """
    longest = _wait_h(earliest, ripe_at)

    def case(whole: Mixture, wait: float) -> Case:
        return whole, Later(surroundings, longest - wait)

    def lateness(held: _Rises) -> Floats:
        return held.ripe_from() - held.points[:, None]

    grid = _Grid(case, fed, earliest, longest + 2 * AFTERWARDS_H, traits)
    found = grid.falls_to(0.0, (0.0, longest), lateness, sure)
    if isinstance(found, float):
        at = ripe_at - timedelta(hours=found)
        return LatestFeed(at, grid.at(found).odds_of_ripe(found))
    soonest = _quantile(grid.at(longest).ripe_from(), sure)
    return _out_of_reach(Tried.AHEAD, (0.0, longest), longest, soonest)


@dataclass(frozen=True, eq=False)
class _Rises:
    """Rises of every member at every point of the grid: (points, members, rows).

    by_yeast: (points, members), see `course.leavened`.
    """

    points: Floats
    hours: Floats
    rise: Floats
    by_yeast: NDArray[np.bool_]

    def windows(self) -> tuple[Floats, Floats]:
        """Hours from and until which it is ripe; infinite where that is not seen."""
        found = ripe_windows(self.hours, self._flat(), self.by_yeast.ravel())
        begin, end = (self._late(each) for each in found)
        height = self.rise.max(axis=2) - 1.0
        ever = height >= LEAST_OF_BEST * height.max(axis=0)
        return np.where(ever, begin, np.inf), np.where(ever, end, np.inf)

    def ripe_from(self) -> Floats:
        return self.windows()[0]

    def middle(self) -> Floats:
        begin, end = self.windows()
        return 0.5 * (begin + end)

    def reaches(self, rise: float) -> Floats:
        flat = self._flat()
        return self._late(first_crossing(self.hours, flat, np.full(len(flat), rise)))

    def odds_of_ripe(self, hours: float) -> float:
        begin, end = self.windows()
        return float(np.mean((begin <= hours) & (hours <= end)))

    def odds_of_rise(self, rise: float, hours: float) -> float:
        return float(np.mean(self.reaches(rise) <= hours))

    def _flat(self) -> Floats:
        return self.rise.reshape(-1, self.rise.shape[-1])

    def _late(self, found: Floats) -> Floats:
        return np.where(np.isnan(found), np.inf, found).reshape(self.rise.shape[:2])


@dataclass(frozen=True, eq=False)
class _Grid:
    """What is held at each value of the unknown, and for how long."""

    case: Callable[[Mixture, float], Case]
    mixture: Mixture
    start: datetime
    hours: float
    traits: Traits

    def falls_to(
        self,
        level: float,
        span: tuple[float, float],
        reading: Callable[[_Rises], Floats],
        sure: float,
    ) -> float | Floats:
        """The least unknown at which the reading's quantile falls to `level`.

        Where it never does, or is there from the first, the quantiles over the grid instead.
        """
        few = self._thinned()
        first = np.linspace(*span, GRID_POINTS)
        late = _quantile(reading(few.held(first)), sure)
        place = int(np.argmax(late <= level))
        if place == 0:
            return late
        closer = np.linspace(first[place - 1], first[place], CLOSER_POINTS)
        late = _quantile(reading(few.held(closer)), sure)
        place = max(int(np.argmax(late <= level)), 1)
        before, after = late[place - 1], late[place]
        part = (before - level) / (before - after) if before < np.inf else 1.0
        return float(closer[place - 1] + part * (closer[place] - closer[place - 1]))

    def at(self, value: float) -> _Rises:
        """Every member held at one value."""
        return self.held(np.array([value]))

    def held(self, values: Floats) -> _Rises:
        """Every member held at every value."""
        rows = -int(-self.hours * 60 // (ROW_STEPS * STEP_MIN))
        clock = np.arange(rows * ROW_STEPS + 1) * STEP_MIN / 60
        cases = [self.case(self.mixture, float(value)) for value in values]
        members, points = len(self.traits), len(cases)
        # The kernel takes the surroundings in turn, so the points run fastest.
        settings = np.stack([settings_for(m, self.traits) for m, _ in cases], axis=1)
        wide = (members, self.mixture.states.shape[1])
        states = np.stack([np.broadcast_to(m.states, wide) for m, _ in cases], axis=1)
        around = np.stack(
            np.broadcast_arrays(
                *(straying(place, self.start, clock, members) for _, place in cases)
            ),
            axis=1,
        ).reshape(-1, len(clock))
        settings = settings.reshape(members * points, -1)
        courses = run(states.reshape(members * points, -1), settings, around, ROW_STEPS)
        rise = rise_of(courses, settings[:, P.VOLUME])
        by_yeast = leavened(courses, rise).reshape(members, points).T
        rises = np.ascontiguousarray(np.swapaxes(rise.reshape(members, points, -1), 0, 1))
        return _Rises(values, clock[::ROW_STEPS], rises, by_yeast)

    def _thinned(self) -> _Grid:
        """The same with SEARCHED_MEMBERS of the members, evenly taken."""
        members = len(self.traits)
        if members <= SEARCHED_MEMBERS:
            return self
        kept = np.linspace(0, members - 1, SEARCHED_MEMBERS).astype(int)
        traits = self.traits.only(kept)
        states = self.mixture.states
        mixture = replace(self.mixture, states=states[kept] if len(states) > 1 else states)
        return replace(self, traits=traits, mixture=mixture)


def _quantile(late: Floats, sure: float) -> Floats:
    return np.asarray(np.quantile(late, sure, axis=1, method="nearest"))


def _out_of_reach(
    tried: Tried, between: tuple[float, float], wanted: float, late: Floats
) -> OutOfReach:
    seen = late[np.isfinite(late)]
    earliest = float(seen.min()) if len(seen) else None
    latest = float(seen.max()) if len(seen) == len(late) else None
    return OutOfReach(tried, *between, wanted, earliest, latest)


def _wait_h(start: datetime, wanted: datetime) -> float:
    hours = (wanted - start).total_seconds() / 3600
    if not 0 < hours <= LONGEST_WAIT_H:
        raise InputError(
            "wanted at",
            print_measure(hours, "h"),
            say("a time within a week, at most {most} h", most=print_number(LONGEST_WAIT_H)),
        )
    return hours
