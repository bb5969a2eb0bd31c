"""The chosen plan run again with the whole ensemble: every course with its band and its odds."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta
from math import isnan

import numpy as np
from numpy.typing import NDArray

from pointage.kitchen.standing import standing
from pointage.mixture.course import Course, band
from pointage.mixture.hold import hold, vessel_follow_h
from pointage.mixture.mixture import Mixture, raw
from pointage.mixture.temper import Tempered, temper
from pointage.mixture.traits import draw_traits
from pointage.timetable.levains import LONGEST_HOLD_H, Feeding
from pointage.timetable.plan import CourseRow, Quantiles, Standing
from pointage.timetable.problem import Problem
from pointage.timetable.solve import Choice

MEMBERS = 160
ROW_MIN = 15


@dataclass(frozen=True, eq=False)
class Fed:
    """A feed of the plan with its course: mixed for one kilogram's worth, taken from at `taken`."""

    feeding: Feeding
    mixed: Tempered
    course: Course
    taken: datetime

    @property
    def odds(self) -> float:
        """The share of members that are ripe when the next mix takes from it."""
        ripe_from, ripe_until = self.course.ripe()
        hours = (self.taken - self.course.start).total_seconds() / 3600
        inside = (ripe_from <= hours) & ~(ripe_until < hours)
        return float(np.mean(inside & ~np.isnan(ripe_from)))


@dataclass(frozen=True, eq=False)
class Run:
    """All courses of the chosen plan."""

    feeds: tuple[Fed, ...]
    dough: Tempered
    bulk: Course
    proof: Course


def run_plan(problem: Problem, choice: Choice, seed: int, feed_g: list[float]) -> Run:
    """Run the chosen plan with an ensemble drawn from the priors.

    feed_g: the mass of each feed, so that each stands in its own tub.
    """
    traits = draw_traits(MEMBERS, seed)
    way = choice.way
    feedings = way.levain.feedings()
    mixture = standing(problem.culture, problem.kitchen, feedings[0].at, traits)
    feeds = []
    for i, feeding in enumerate(feedings):
        taken = feedings[i + 1].at if i + 1 < len(feedings) else way.mix
        mixed = _mixed(problem, mixture, feeding, feed_g[i])
        course = hold(
            mixed.mixture,
            feeding.recipe.place.surroundings,
            feeding.at,
            LONGEST_HOLD_H + 6,
            traits,
            every_min=ROW_MIN,
        )
        feeds.append(Fed(feeding, mixed, course, taken))
        mixture = course.after(_hours(feeding.at, taken))
    dough = problem.dough(mixture, problem.room_c(way.mix))
    bulk = hold(
        dough.mixture,
        problem.bulk_place.surroundings,
        way.mix,
        _hours(way.mix, way.shaped),
        traits,
        follow_h=vessel_follow_h(float(problem.pieces * problem.piece_g)),
        every_min=ROW_MIN,
    )
    place = problem.retard_place if way.retarded else problem.proof_place
    assert place is not None
    shaped = bulk.final.handled(problem.process.shape_keeps)
    proof = hold(
        shaped,
        place.surroundings,
        way.shaped,
        max(_hours(way.shaped, choice.loads[-1]), ROW_MIN / 60),
        traits,
        follow_h=vessel_follow_h(float(problem.piece_g)),
        every_min=ROW_MIN,
    )
    return Run(tuple(feeds), dough, bulk, proof)


def _mixed(problem: Problem, culture: Mixture, feeding: Feeding, mass_g: float) -> Tempered:
    recipe = feeding.recipe
    flour_g = mass_g / (1.0 + recipe.hydration)
    seed = culture.scaled(feeding.seed_share * flour_g)
    fresh = recipe.fresh(seed, flour_g)
    assert fresh is not None, "the search has weighed this feed"
    flours, water = fresh
    dry = raw(flours, celsius=problem.room_c(feeding.at))
    return temper([seed, dry], water, recipe.wanted_c)


def standing_of(course: Course, until: datetime, *, ripe: bool) -> Standing:
    """A course as rows for people, up to `until` and a little beyond; `ripe`: with its window."""
    end = _hours(course.start, until)
    shown = min(float(course.hours[-1]), end + (3.0 if ripe else 0.0))
    last = int(np.searchsorted(course.hours, shown + 1e-9))
    low, middle, high = np.percentile(course.rise, (10, 50, 90), axis=0)
    temperature = np.median(course.temperature, axis=0)
    ph = np.median(course.ph, axis=0)
    rows = tuple(
        CourseRow(
            at=course.at(float(course.hours[i])),
            temperature_c=float(temperature[i]),
            rise=float(middle[i]),
            rise_p10=float(low[i]),
            rise_p90=float(high[i]),
            ph=float(ph[i]),
        )
        for i in range(min(last + 1, len(course.hours)))
    )
    at_end = int(np.abs(course.hours - end).argmin())
    ripe_from, ripe_until = course.ripe() if ripe else (None, None)
    return Standing(
        rows=rows,
        ripe_from=_quantiles(course, ripe_from),
        ripe_until=_quantiles(course, ripe_until),
        peak=_quantiles(course, course.peak_h()) if ripe else None,
        rise_at_end=float(middle[at_end]),
        ph_at_end=float(ph[at_end]),
    )


def _quantiles(course: Course, hours: NDArray[np.float64] | None) -> Quantiles | None:
    """Instants of 10, 50 and 90 %; later than the course counts as its end."""
    if hours is None:
        return None
    found = band(hours)
    end = float(course.hours[-1])
    instants = [
        course.start + timedelta(minutes=round(60 * (end if isnan(h) else h)))
        for h in (found.p10, found.p50, found.p90)
    ]
    return Quantiles(*instants)


def _hours(start: datetime, end: datetime) -> float:
    return (end - start).total_seconds() / 3600
