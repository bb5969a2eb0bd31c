"""A culture at hand: its courses since its last feed, and what they say of it at an instant."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from math import ceil

import numpy as np

from pointage.culture.raising import RaisedDay
from pointage.culture.vigour import to_peak_h
from pointage.culture.young import Floats
from pointage.desk.answers import CultureNow
from pointage.kitchen.culture_state import LONGEST, fed_last, place_of, surroundings_of
from pointage.kitchen.kitchen import CultureAtHand, Kitchen, PlaceKind
from pointage.kitchen.needs import CultureNeed, Outlook
from pointage.kitchen.outlook import in_the_cold, in_the_warm, prime_of
from pointage.mixture.course import Course
from pointage.mixture.hold import hold
from pointage.mixture.learning.scores import Scores
from pointage.mixture.learning.update import Posterior
from pointage.mixture.traits import Traits, draw_traits
from pointage.timetable.plan import StepCourse
from pointage.timetable.ways.bands import step_course

MEMBERS = 60
SEED = 20261125
AHEAD = timedelta(hours=12)
SPAN = timedelta(days=35)
MOST_SPANS = LONGEST // SPAN


@dataclass(frozen=True, eq=False, slots=True)
class CultureCourses:
    """What a culture does from its last feed on, place by place, as far as it is looked ahead."""

    spells: tuple[StepCourse, ...]
    outlook: Outlook
    to_peak_h: float

    @property
    def ends(self) -> datetime:
        """How far it is looked at."""
        return max(spell.rows[-1].at for spell in self.spells)

    def at(self, now: datetime) -> StepCourse:
        """The course in the place where it is at `now`, up to some hours later."""
        begun = [each for each in self.spells if each.rows[0].at <= now] or [self.spells[0]]
        rows = begun[-1].rows
        until = now + AHEAD
        shown = tuple(row for row in rows if row.at <= until) or rows[:1]
        return StepCourse(shown, None, None, None, shown[-1].rise, shown[-1].ph)


def spans_of(culture: CultureAtHand, now: datetime) -> int:
    """How many spans the courses must reach to cover `now`."""
    return min(max(ceil((now + AHEAD - culture.fed) / SPAN), 1), MOST_SPANS)


def ensemble(believed: Posterior | None) -> Traits:
    """The members that a culture is followed by, on the pages as on the command line.

    MEMBERS of what is believed of it, evenly taken; so many drawn from the priors with SEED where
    nothing was ever seen of it.
    """
    return draw_traits(MEMBERS, SEED) if believed is None else believed.traits.some(MEMBERS)


def courses(
    culture: CultureAtHand, kitchen: Kitchen, spans: int, believed: Posterior | None = None
) -> CultureCourses:
    """The courses of a culture by what is believed of it, from its own feeds on."""
    traits = ensemble(believed)
    far = culture.fed + spans * SPAN
    mixed, stand = fed_last(culture, kitchen, far, traits)
    mixed = mixed.scaled(culture.mass_g)
    spells, outlook = [], Outlook()
    for number, (since, name) in enumerate(stand.places):
        last = number + 1 == len(stand.places)
        ends = far if last else min(stand.places[number + 1][0], far)
        place = place_of(kitchen, name)
        hours = max((ends - since) / timedelta(hours=1), 0.25)
        here = surroundings_of(kitchen, name, since, ends)
        course = hold(mixed, here, since, hours, traits, every_min=60)
        spells.append(step_course(course, course.at(float(course.hours[-1])), ripe=False))
        mixed = course.final
        if last and place.kind is PlaceKind.FRIDGE:
            outlook = in_the_cold(course, traits)
        elif last:
            prime = None if number else prime_of(culture, stand.fed, kitchen, traits)
            outlook = in_the_warm(course, prime, here, traits)
    return CultureCourses(tuple(spells), outlook, float(np.median(to_peak_h(traits))))


def culture_now(
    culture: CultureAtHand,
    found: CultureCourses,
    now: datetime,
    forecasts: Scores | None = None,
    *,
    under_way: bool = False,
    need: CultureNeed | None = None,
) -> CultureNow:
    """A culture at `now` with its course where it stands."""
    return CultureNow(
        culture=culture,
        standing=found.at(now),
        holds_until=found.outlook.likely_until,
        surely_until=found.outlook.surely_until,
        need=need,
        to_peak_h=found.to_peak_h,
        accuracy=forecasts,
        under_way=under_way,
        left_since=found.ends if found.ends < now else None,
    )


def young_now(
    culture: CultureAtHand,
    days: Sequence[RaisedDay],
    now: datetime,
    need: CultureNeed | None = None,
) -> CultureNow:
    """A culture that is still being raised, in the day that began with its last feed."""
    day = [each for each in days if each.at <= culture.fed][-1]
    course = _agreeing(day.young.course, day.weights)
    rows = step_course(course, now + AHEAD, ripe=False).rows
    standing = StepCourse(rows, None, None, None, rows[-1].rise, rows[-1].ph)
    return CultureNow(culture=culture, standing=standing, young=day, need=need)


def _agreeing(course: Course, weights: Floats) -> Course:
    """A course whose members each count for as much as what was seen agrees with them."""
    members = len(weights)
    chosen = np.searchsorted(np.cumsum(weights), (np.arange(members) + 0.5) / members)
    chosen = np.minimum(chosen, members - 1)
    held = replace(course.held, states=course.held.states[chosen])
    return replace(course, states=course.states[chosen], volume=course.volume[chosen], held=held)
