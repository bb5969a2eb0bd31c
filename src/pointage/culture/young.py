"""A young culture: flour and water, fed by the day, until it may be trusted.

It is mix, hold and discard like all else, run by the engine. The early flora of raw flour gases on
the first days and dies back as the mixture sours: a false start, shown as one. What nobody can know
of a flour is drawn as an ensemble (data/parameters/young.toml), so every statement has its odds.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, fields, replace
from datetime import UTC, datetime, timedelta

import numpy as np
from numpy.typing import NDArray

from pointage.culture.mature import mature
from pointage.data import load
from pointage.errors import InputError
from pointage.language import say
from pointage.mixture.course import Course
from pointage.mixture.flours import FlourRecord
from pointage.mixture.hold import LN_2, hold
from pointage.mixture.mixture import Mixture, mix, raw
from pointage.mixture.state import S
from pointage.mixture.temperature.surroundings import Constant, Surroundings
from pointage.mixture.traits import Traits, draw_priors
from pointage.science.lag import readiness

Floats = NDArray[np.float64]

SOUR_ENOUGH_PH = 4.2  # below it the Food Code asks for no control of time and temperature
FEEDS_IN_A_ROW = 3  # "several" feeds: ours
FULL_DAYS = 7.0  # at the soonest
RISES = 1.3  # a rise that anybody would take for life: ours
DOUBLED = 2.0
YEASTS_ENOUGH = 1e6
"""Yeasts per gram: mature leavens hold 1e6 to 6e7 (Scientific Reports 2017 s41598-017-00549-2)."""
MOSTLY_YEAST = 0.5  # of a day's gas: ours
JUDGED_AT_C = 25.0
"""In a place that is warmer, it must still rise as an established culture does at this: in heat
yeast fades and an established culture would rise little more than its bacteria raise it."""
OF_ITS_PRIME = 0.9
"""Wholemeal and rye never double at this hydration, however mature: this share of what an
established culture rises there is asked instead (ours)."""
_FIRST_DAY = datetime(2026, 1, 1, 8, tzinfo=UTC)


@dataclass(frozen=True, slots=True)
class Chances:
    """What this flour happens to bring, one value a member; see data/parameters/young.toml."""

    yeast_wakes_h: Floats
    bacteria_wakes_h: Floats
    yeast_brought: Floats
    bacteria_brought: Floats
    early_brought: Floats


def median_chances() -> Chances:
    """A single member with the median of every prior."""
    priors = load("parameters/young.toml")
    return Chances(*(np.array([priors[f.name]["median"]]) for f in fields(Chances)))


def draw_chances(members: int, seed: int) -> Chances:
    """An ensemble from the priors."""
    priors = load("parameters/young.toml")
    return Chances(*draw_priors([priors[f.name] for f in fields(Chances)], members, seed))


@dataclass(frozen=True, eq=False)
class YoungDay:
    """From one feed to the next: its course, and whose gas it was.

    number: 1 from the first mix; ends_h: hours from there to the feed that ends it; early, bacteria
    and yeast: shares of the carbon dioxide made, one a member, 1 in all.
    """

    number: int
    ends_h: float
    course: Course
    early: Floats
    bacteria: Floats
    yeast: Floats

    @property
    def peak_rise(self) -> Floats:
        """The highest rise, one a member."""
        return np.asarray(self.course.rise.max(axis=1))

    def risen_by(self, hours: float) -> Floats:
        """The highest rise up to so many hours after the feed, one a member."""
        rows = max(1, int(np.searchsorted(self.course.hours, hours, side="right")))
        return np.asarray(self.course.rise[:, :rows].max(axis=1))

    def ph_at(self, hours: float) -> Floats:
        """pH so many hours after the feed, one a member."""
        row = int(np.abs(self.course.hours - hours).argmin())
        return np.asarray(self.course.ph[:, row])

    @property
    def ph(self) -> Floats:
        """pH before the feed, one a member."""
        return np.asarray(self.course.ph[:, -1])

    def counts(self) -> dict[str, float]:
        """Cells per gram before the feed, the middle member's: yeast, bacteria, early."""
        last = np.median(self.course.states[:, -1], axis=0)
        columns = {"yeast": S.YEAST, "bacteria": S.BACTERIA, "early": S.EARLY}
        return {name: float(last[column]) for name, column in columns.items()}


@dataclass(frozen=True, slots=True)
class Gate:
    """Whether a young culture may be trusted: odds at the end of each day, and what was asked."""

    wanted_rise: float
    odds: tuple[float, ...]

    @property
    def day(self) -> int | None:
        """The first day with even odds or better; None within the days looked at."""
        return next((day for day, odds in enumerate(self.odds, 1) if odds >= 0.5), None)


def raise_course(
    flours: Mapping[str, float],
    hydration: float,
    surroundings: Surroundings,
    *,
    keep_share: float,
    feed_every_h: float,
    days: int,
    traits: Traits,
    chances: Chances | None = None,
    mass_g: float = 100.0,
    start: datetime = _FIRST_DAY,
) -> tuple[YoungDay, ...]:
    """The days of a culture raised from flour (shares by kind) and water.

    At every feed the share `keep_share` of it is kept, the rest discarded and made up to `mass_g`
    with flour and water at the temperature of the place. `days` counts feeds. chances: as many
    members as traits, or one; the median when not given.
    Raises InputError for a share outside 0.02 to 0.9 or feeds outside 6 to 72 h apart.
    """
    _check(keep_share, feed_every_h, days)
    chances = chances or median_chances()

    def fresh(grams: float, at: datetime) -> Mixture:
        celsius = float(surroundings.temperatures(at, np.zeros(1))[0])
        return bringing(_flour_and_water(flours, hydration, grams, celsius), traits, chances)

    found: list[YoungDay] = []
    whole = fresh(mass_g, start)
    for number in range(1, days + 1):
        at = start + timedelta(hours=feed_every_h * (number - 1))
        if found:
            kept = found[-1].course.final.scaled(keep_share * mass_g)
            whole = mix([kept, fresh((1 - keep_share) * mass_g, at)])
        course = hold(whole, surroundings, at, feed_every_h, traits)
        found.append(YoungDay(number, feed_every_h * number, course, *whose_gas(course)))
    return tuple(found)


def is_false_start(day: YoungDay) -> bool:
    """Whether it rises for all to see (1.3 and more) on gas that is mostly the early flora's.

    Given for the middle member. It dies back as the mixture sours, and a quiet day or two follow.
    """
    return bool(np.median(day.peak_rise) >= RISES and np.median(day.early) > 0.5)


def gate(days: tuple[YoungDay, ...], traits: Traits, keep_share: float) -> Gate:
    """When a young culture may be trusted, with odds: the share of members that pass.

    Asked is that each of the last three days was as `strong` says, and seven days at least. A gate
    of ours, from no single source.
    """
    wanted = wanted_rise(days[0], traits, keep_share)
    good = np.array([strong(day, wanted) for day in days])
    odds = []
    for number, day in enumerate(days, 1):
        row = good[max(number - FEEDS_IN_A_ROW, 0) : number]
        old_enough = number >= FEEDS_IN_A_ROW and day.ends_h >= 24 * FULL_DAYS
        odds.append(float(row.all(axis=0).mean()) if old_enough else 0.0)
    return Gate(wanted, tuple(odds))


def strong(day: YoungDay, wanted: float) -> NDArray[np.bool_]:
    """Whether each member was as a culture that may be trusted on that day.

    Below pH 4.2 before the feed, risen to `wanted` (see `wanted_rise`), on gas most of which is
    yeast's, with at least YEASTS_ENOUGH of yeast.
    """
    sour = day.ph < SOUR_ENOUGH_PH
    yeasts = day.course.yeast[:, -1] >= YEASTS_ENOUGH
    return np.asarray(sour & (day.peak_rise >= wanted) & yeasts & (day.yeast >= MOSTLY_YEAST))


def _flour_and_water(
    flours: Mapping[str, float],
    hydration: float,
    grams: float,
    celsius: float,
    record: FlourRecord | None = None,
) -> Mixture:
    flour = grams / (1 + hydration)
    whole = sum(flours.values())
    parts = {kind: flour * share / whole for kind, share in flours.items()}
    return raw(parts, grams - flour, celsius=celsius, record=record)


def bringing(plain: Mixture, traits: Traits, chances: Chances) -> Mixture:
    """Fresh flour and water with what the flour happens to bring, one state a member."""
    states = np.repeat(plain.states, len(traits), axis=0)
    states[:, S.YEAST] *= chances.yeast_brought
    states[:, S.BACTERIA] *= chances.bacteria_brought
    states[:, S.EARLY] *= chances.early_brought
    for column, wakes_h, doubling_h in (
        (S.YEAST_READY, chances.yeast_wakes_h, traits.yeast_doubling_h),
        (S.BACTERIA_READY, chances.bacteria_wakes_h, traits.bacteria_doubling_h),
    ):
        work = LN_2 / doubling_h * wakes_h
        states[:, column] = [readiness(float(each)) for each in work]
    return replace(plain, states=states)


def whose_gas(course: Course) -> tuple[Floats, Floats, Floats]:
    """Shares of early flora, bacteria and yeast in the carbon dioxide made, one a member.

    The yeast's is counted by the engine; the early flora's follows from its new cells (in this
    model it gases only in growing and dies only when it no longer grows); the rest is bacteria's.
    """
    early = load("parameters/kinetics.toml")["early"]
    states = course.states
    cells = np.maximum(np.diff(states[:, :, S.EARLY], axis=1), 0.0).sum(axis=1) * 1000.0
    change = states[:, -1] - states[:, 0]
    made = np.maximum(change[:, S.GAS] + change[:, S.ESCAPED], 1e-12)
    from_early = cells * (early["gas_growing"] + early["acid_growing"]) / made
    from_yeast = change[:, S.LEAVENED] / made
    return from_early, 1.0 - from_early - from_yeast, from_yeast


def wanted_rise(
    day: YoungDay, traits: Traits, keep_share: float, known: dict[object, float] | None = None
) -> float:
    """A doubling, or 0.9 of what an established culture rises when it is fed like this one.

    In its own place, to a tenth of a degree, but in none warmer than JUDGED_AT_C. known: what was
    found before with the same traits, for days that are fed and stand alike.
    """
    held = day.course.held
    flours = {kind: grams / held.flour for kind, grams in held.flours.items()}
    celsius = min(round(float(np.median(day.course.temperature)), 1), JUDGED_AT_C)
    hours = float(day.course.hours[-1])
    shares = tuple((kind, round(share, 3)) for kind, share in flours.items())
    key = shares, round(held.hydration, 3), celsius, hours, round(keep_share, 3)
    if known is not None and key in known:
        return known[key]
    grams = (1 - keep_share) * held.mass
    fresh = _flour_and_water(flours, held.hydration, grams, celsius, held.record)
    culture = mature(flours, held.hydration, traits, held.record)
    for _ in range(FEEDS_IN_A_ROW):
        fed = mix([culture.scaled(keep_share * held.mass), fresh])
        course = hold(fed, Constant(celsius), day.course.start, hours, traits)
        culture = course.final
    found = min(DOUBLED, OF_ITS_PRIME * float(np.median(course.rise.max(axis=1))))
    if known is not None:
        known[key] = found
    return found


def _check(keep_share: float, feed_every_h: float, days: int) -> None:
    if not 0.02 <= keep_share <= 0.9:
        raise InputError(
            "keep", f"{keep_share:g}", say("a share of 0.02 to 0.9 to keep at each feed")
        )
    if not 6.0 <= feed_every_h <= 72.0:
        raise InputError("feed every", f"{feed_every_h:g} h", say("6 to 72 hours"))
    if not 1 <= days <= 30:
        raise InputError("days", days, say("1 to 30"))
