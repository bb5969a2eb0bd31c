"""Raise a culture from flour and water: each day's keep and feed, its signs, and the odds of ready.

It moves on signs, not on the calendar. The engine carries an ensemble through the days; what is
seen weighs its members, and the phase they then agree on decides what the next day asks for.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from fractions import Fraction
from math import floor
from typing import Any

import numpy as np

from pointage.bounds import HYDRATION, RAISING_DAYS
from pointage.culture.members import ENOUGH, counting, drawn_anew, first_members
from pointage.culture.seen import (
    KINDS,
    STRAY,
    TURNED_PH,
    check_sign,
    fits,
    kinds_of,
    weighed,
)
from pointage.culture.seen import Phase as Phase  # noqa: PLC0414
from pointage.culture.seen import Sign as Sign  # noqa: PLC0414
from pointage.culture.young import (
    FEEDS_IN_A_ROW,
    FULL_DAYS,
    RISES,
    Chances,
    Floats,
    YoungDay,
    bringing,
    wanted_rise,
    whose_gas,
)
from pointage.culture.young import strong as is_strong
from pointage.data import load
from pointage.errors import InputError
from pointage.language import say
from pointage.mixture.course import weighted_band
from pointage.mixture.flours import FlourRecord
from pointage.mixture.hold import STEP_MIN, hold
from pointage.mixture.mixture import Mixture, mix, raw
from pointage.mixture.state import S
from pointage.mixture.temperature.surroundings import Surroundings
from pointage.mixture.temperature.temper import temper
from pointage.mixture.traits import Traits
from pointage.quantities import print_measure
from pointage.rounding import round_to_step
from pointage.shown import warmth_span

MEMBERS = 120
DRAWN_AT_MOST = 3
"""Members are drawn anew, where few come near what was seen, until so many draws were made."""
SEED = 7
EVERY_H = 24.0
HOUR = timedelta(hours=1)
EVERY = EVERY_H * HOUR
"""From feed to feed while it is raised."""
SOONEST_H = 20.0
"""A day's feed comes so long after the one before at the soonest, to fit the hours of sleep."""
LONGEST_WAIT = timedelta(days=60)
"""A young culture left longer than this is looked at no further: nothing of it is left."""
WARM_C = (24.0, 28.0)
"""Where one that does not get on is kept: common practice, no source."""
COLDEST_C = 12.0
"""A place that is colder is a fridge, in which nobody raises a culture: ours."""
COARSE_H = 48.0  # a longer day is kept by the hour
QUESTIONED = 0.5  # odds of it, after all that was seen, from which a sign is asked about


@dataclass(frozen=True, slots=True)
class Raising:
    """What a culture is raised from and in.

    flours: shares by kind, 1 in all. hydration: water over flour. daily_flour_g: fresh flour of
    each feed. room_c: of the flour before it is mixed. step_g: the scale's. record:
    what the flours are together; None for what the tables have of them.
    """

    flours: Mapping[str, float]
    hydration: Fraction
    daily_flour_g: Fraction
    place: Surroundings
    start: datetime
    room_c: float
    step_g: Fraction = Fraction(1)
    record: FlourRecord | None = None

    def __post_init__(self) -> None:
        if not HYDRATION.usual_low <= 100 * self.hydration <= HYDRATION.usual_high:
            expected = say("water from 50 to 200 % of the flour")
            raise InputError("hydration", f"{float(self.hydration):.0%}", expected)
        if self.fresh_flour_g <= 0:
            expected = say("at least {step:g} g, the step of the scale", step=float(self.step_g))
            raise InputError("daily-flour", print_measure(self.daily_flour_g, "g"), expected)

    @property
    def fresh_flour_g(self) -> Fraction:
        """Fresh flour of a feed, as weighed."""
        return round_to_step(self.daily_flour_g, self.step_g)

    @property
    def fresh_water_g(self) -> Fraction:
        """Fresh water of a feed, as weighed."""
        return round_to_step(self.daily_flour_g * self.hydration, self.step_g)


@dataclass(frozen=True, slots=True)
class FeedDone:
    """A feed as it was done, and where the culture stood from then on. Grams.

    celsius: of the whole after it; None where nobody noted it, then that of the place.
    record: as in `Raising`, of its fresh flours.
    """

    at: datetime
    keep_g: float
    flours_g: Mapping[str, float]
    water_g: float
    place: Surroundings
    celsius: float | None = None
    record: FlourRecord | None = None


@dataclass(frozen=True, eq=False)
class RaisedDay:
    """One day: what is done at its start, and what should be seen by its end.

    feeds: False when it is only stirred and waited on, since it was seen to sleep. keep_g is 0 on
    the first day; pour_off_g is what goes of the day before. water_c: of the fresh water; mix_c:
    what the mix comes to. young: the course; weights: of its members, 1 in all. ready: odds that it
    may be trusted at its end; raises: that today alone it is as strong as one that
    may. seen: what was seen of it.
    """

    number: int
    at: datetime
    feeds: bool
    keep_g: Fraction
    pour_off_g: Fraction
    flour_g: Fraction
    water_g: Fraction
    water_c: float
    mix_c: float
    lid_open: bool
    phase: Phase
    young: YoungDay
    weights: Floats
    ready: float
    seen: tuple[Sign, ...] = ()
    raises: float = 0.0

    @property
    def calendar(self) -> int:
        """Its number as a baker counts days: one that was waited or missed counts too."""
        return calendar_day(self.young.ends_h - float(self.young.course.hours[-1]))

    @property
    def total_g(self) -> Fraction:
        """Grams in the tub after the feed."""
        return self.keep_g + self.flour_g + self.water_g

    def signs(self, phase: Phase | None = None) -> Mapping[str, str]:
        """title, see, smell, feel and unless, in words; of another phase where it is given."""
        phase = phase or self.phase
        lull = phase is Phase.SOURING and self.rise()[1] < RISES
        words: Mapping[str, str] = load("raising.toml")["phase"]["lull" if lull else phase.value]
        warm = warmth_span(*WARM_C)
        return {key: say(each, warm=warm) for key, each in words.items()}

    def odds(self) -> Mapping[Phase, float]:
        """What the day is likely to be, the likeliest first: waking for strong as well."""
        kinds = kinds_of(self.young)
        found = {kind: float(self.weights[kinds == n].sum()) for n, kind in enumerate(KINDS)}
        return dict(sorted(found.items(), key=lambda each: -each[1]))

    def rise(self) -> tuple[float, float, float]:
        """The day's highest rise, 10, 50 and 90 %."""
        return _quantiles(self.young.peak_rise, self.weights)

    def ph(self) -> tuple[float, float, float]:
        """pH at its end, 10, 50 and 90 %."""
        return _quantiles(self.young.ph, self.weights)

    def litres(self) -> float:
        """Litres that it needs at its highest, so that nine in ten stay in the tub."""
        held = self.young.course.held
        return held.volume * held.mass / 1000 * self.rise()[2]


def raise_days(
    wish: Raising,
    days: int,
    signs: Sequence[Sign] = (),
    members: int = MEMBERS,
    *,
    done: Sequence[FeedDone] = (),
    left_g: float | None = None,
    now: datetime | None = None,
    draws: int = DRAWN_AT_MOST,
) -> tuple[RaisedDay, ...]:
    """The days of a culture on its way, with what was seen so far weighed in.

    A day lasts from one feed to the next. done: the feeds that were done, the first first, whatever
    the plan was; the days after them are planned from the last one on, and none before `now`.
    left_g: what is left of it since, where some was taken. days: so many planned days, those done
    not counted. draws: how often members are drawn at most. Raises InputError for days outside 1 to
    30, or a sign that no culture gives.
    """
    RAISING_DAYS.check(days, "days")
    for sign in signs:
        check_sign(sign)
    left = None if left_g is None else _grams(left_g)
    drawn = first_members(members, SEED)
    for again in range(draws):
        way = _Way(wish, drawn.traits, drawn.chances, tuple(done), left, now)
        found = _days(way, len(done) + days, signs, drawn.weights)
        weights = found[-1].weights
        if not signs or counting(weights) >= ENOUGH:
            break
        drawn = drawn_anew(drawn, weights, SEED + 2 + again)
    return found


def _days(way: _Way, days: int, signs: Sequence[Sign], weights: Floats) -> tuple[RaisedDay, ...]:
    found: list[RaisedDay] = []
    for number in range(1, days + 1):
        day = way.next(found, number, weights)
        seen = tuple(each for each in signs if each.day == number)
        weights = weighed(day.young, weights, seen)
        found.append(_judged(day, weights, [*found, day], way, seen))
    return tuple(found)


def calendar_day(hours: float) -> int:
    """The number of the day that lies so many hours after the first mix, which is day 1."""
    return 1 + floor((hours + EVERY_H - SOONEST_H) / EVERY_H)


def flour_total_g(days: Sequence[RaisedDay]) -> Fraction:
    """Flour of all feeds."""
    return sum((day.flour_g for day in days), Fraction())


def discard_total_g(days: Sequence[RaisedDay]) -> Fraction:
    """All that is poured off."""
    return sum((day.pour_off_g for day in days), Fraction())


@dataclass(frozen=True, eq=False)
class _Draft:
    """A day as mixed and held, before it is judged."""

    number: int
    at: datetime
    feeds: bool
    keep_g: Fraction
    pour_off_g: Fraction
    water_c: float
    mix_c: float
    lid_open: bool
    flour_g: Fraction
    water_g: Fraction
    young: YoungDay


@dataclass(frozen=True, eq=False)
class _Way:
    wish: Raising
    traits: Traits
    chances: Chances
    done: tuple[FeedDone, ...] = ()
    left: Fraction | None = None
    now: datetime | None = None
    wanted: dict[object, float] = field(default_factory=dict)

    def next(self, before: Sequence[RaisedDay], number: int, weights: Floats) -> _Draft:
        if number <= len(self.done):
            return self._as_done(before, number, weights)
        wish = self.wish
        at = self._starts(number)
        there = before[-1].total_g if before else Fraction()
        if self.left is not None and number == len(self.done) + 1:
            there = min(there, self.left)
        feeds = not (before and before[-1].seen and before[-1].phase is Phase.QUIET)
        keep_g = there
        if before and feeds:
            keep_g = min(
                round_to_step(_keep_share(before) * self._whole(before), wish.step_g), there
            )
        none = Fraction()
        flour_g, water_g = (wish.fresh_flour_g, wish.fresh_water_g) if feeds else (none, none)
        parts = [before[-1].young.course.final.scaled(float(keep_g))] if before else []
        mixture, water_c = self._mixed(parts, feeds, at, _lively(before))
        young = self._held(mixture, wish.place, number)
        return _Draft(
            number, at, feeds, keep_g if before else none, there - keep_g, water_c,
            float(np.average(mixture.states[:, S.TEMPERATURE], weights=weights)),
            _lid_open(before), flour_g, water_g, young,
        )  # fmt: skip

    def _as_done(self, before: Sequence[RaisedDay], number: int, weights: Floats) -> _Draft:
        """A day that began with a feed as it was done."""
        fed = self.done[number - 1]
        there = before[-1].total_g if before else Fraction()
        keep_g = min(_grams(fed.keep_g), there)
        kept = [before[-1].young.course.final.scaled(float(keep_g))] if keep_g else []
        celsius = fed.celsius
        if celsius is None:
            celsius = float(fed.place.temperatures(fed.at, np.zeros(1))[0])
        flour = raw(fed.flours_g, water=fed.water_g, celsius=celsius, record=fed.record)
        mixture = mix([*kept, bringing(flour, self.traits, self.chances)])
        mixture = mixture if fed.celsius is None else mixture.at_temperature(fed.celsius)
        return _Draft(
            number, fed.at, True, keep_g, there - keep_g, celsius,
            float(np.average(mixture.states[:, S.TEMPERATURE], weights=weights)),
            _lid_open(before), _grams(sum(fed.flours_g.values())), _grams(fed.water_g),
            self._held(mixture, fed.place, number),
        )  # fmt: skip

    def _held(self, mixture: Mixture, place: Surroundings, number: int) -> YoungDay:
        """The day until its next feed, but no longer than LONGEST_WAIT."""
        at, ends = self._starts(number), self._starts(number + 1)
        hours = min(ends - at, LONGEST_WAIT) / HOUR
        every = 60 if hours > COARSE_H else STEP_MIN
        course = hold(mixture, place, at, hours, self.traits, every_min=every)
        first = self._starts(1)
        return YoungDay(number, (ends - first) / HOUR, course, *whose_gas(course))

    def _starts(self, number: int) -> datetime:
        """When a day begins: as its feed was done, else a day after the one before."""
        if not self.done:
            return self.wish.start + timedelta(hours=EVERY_H * (number - 1))
        if number <= len(self.done):
            return self.done[number - 1].at
        due = self.done[-1].at + timedelta(hours=EVERY_H)
        due = due if self.now is None else max(due, min(self.now, due + LONGEST_WAIT))
        return due + timedelta(hours=EVERY_H * (number - len(self.done) - 1))

    def _whole(self, before: Sequence[RaisedDay]) -> Fraction:
        """The mass of which a share is kept, so that the fresh part is the same each day."""
        fresh = self.wish.fresh_flour_g + self.wish.fresh_water_g
        return fresh / (1 - _keep_share(before))

    def _mixed(
        self, kept: list[Mixture], feeds: bool, at: datetime, lively: bool
    ) -> tuple[Mixture, float]:
        """The day's mixture and the temperature of its water."""
        wish = self.wish
        if not feeds:
            return kept[0], float("nan")
        grams = {kind: float(wish.fresh_flour_g) * part for kind, part in wish.flours.items()}
        flour = bringing(
            raw(grams, celsius=wish.room_c, record=wish.record), self.traits, self.chances
        )
        warmth = load("raising.toml")["warmth"]
        place_c = float(wish.place.temperatures(at, np.zeros(1))[0])
        base_c = place_c if place_c >= COLDEST_C else wish.room_c  # out of the fridge for its feed
        wanted = max(
            base_c, min(base_c + warmth["lively" if lively else "at_first"], warmth["most"])
        )
        found = temper([*kept, flour], float(wish.fresh_water_g), wanted)
        return found.mixture, found.water_c


def _grams(grams: float) -> Fraction:
    return Fraction(grams).limit_denominator(1000)


def _lively(before: Sequence[RaisedDay]) -> bool:
    return bool(before) and before[-1].phase in (Phase.WAKING, Phase.STRONG)


def _lid_open(before: Sequence[RaisedDay]) -> bool:
    """The lid lies loose until the mixture is sour enough to keep unwanted guests out."""
    return not any(day.phase in (Phase.SOURING, Phase.WAKING, Phase.STRONG) for day in before)


def _keep_share(before: Sequence[RaisedDay]) -> Fraction:
    """Share kept at the next feed: less and less as the culture strengthens."""
    keep: Mapping[str, Any] = load("raising.toml")["keep"]
    lively = sum(1 for day in before if day.phase in (Phase.WAKING, Phase.STRONG))
    if _lively(before):
        steps = keep["lively"]
        share = steps[min(lively, len(steps)) - 1]
    elif before[-1].phase is Phase.SOURING:
        share = keep["souring"]
    else:
        share = keep["asleep"]
    return Fraction(share).limit_denominator(10_000)


def _judged(
    draft: _Draft,
    weights: Floats,
    so_far: Sequence[RaisedDay | _Draft],
    way: _Way,
    seen: tuple[Sign, ...],
) -> RaisedDay:
    ready, strong = _readiness(so_far, weights, way)
    return RaisedDay(
        draft.number, draft.at, draft.feeds, draft.keep_g, draft.pour_off_g, draft.flour_g,
        draft.water_g, draft.water_c, draft.mix_c, draft.lid_open,
        _phase(draft.young, weights, strong), draft.young, weights, ready, seen, strong,
    )  # fmt: skip


def _phase(day: YoungDay, weights: Floats, strong: float) -> Phase:
    """What the day is to the middle of the ensemble: whose gas it was, and how sour it is."""
    rise, ph, yeast = (
        _quantiles(values, weights)[1] for values in (day.peak_rise, day.ph, day.yeast)
    )
    if ph <= TURNED_PH:
        if yeast <= 0.5 or rise < RISES:
            return Phase.SOURING
        return Phase.STRONG if strong >= 0.5 else Phase.WAKING
    return Phase.FALSE_START if rise >= RISES else Phase.QUIET


def _readiness(
    days: Sequence[RaisedDay | _Draft], weights: Floats, way: _Way
) -> tuple[float, float]:
    """Odds that it may be trusted (young.gate's rule), and odds that today alone is as asked."""
    fed = [day for day in days if day.feeds]
    last = days[-1]
    share = float(last.keep_g / (last.keep_g + last.flour_g + last.water_g)) if last.feeds else 0.0
    if share <= 0.0:
        return 0.0, 0.0
    if not is_strong(last.young, 1.0).any():  # however little is asked for
        return 0.0, 0.0
    wanted = wanted_rise(last.young, way.traits, share, way.wanted)
    good = np.array([is_strong(day.young, wanted) for day in fed[-FEEDS_IN_A_ROW:]])
    today = float(weights[good[-1]].sum())
    old_enough = last.young.ends_h >= 24 * FULL_DAYS and len(good) == FEEDS_IN_A_ROW
    return float(weights[good.all(axis=0)].sum()) if old_enough else 0.0, today


def questioned(days: Sequence[RaisedDay]) -> tuple[Sign, ...]:
    """The signs that do not fit with all the others: kept, and to be asked about."""
    weights = days[-1].weights
    return tuple(
        sign
        for day in days
        for sign in day.seen
        if not sign.sure
        and any(
            weights @ (STRAY / (STRAY + np.exp(fits))) > QUESTIONED
            for fits in fits(day.young, sign)
        )
    )


def _quantiles(values: Floats, weights: Floats) -> tuple[float, float, float]:
    """10, 50 and 90 % of weighted members."""
    found = weighted_band(values, weights)
    return found.p10, found.p50, found.p90
