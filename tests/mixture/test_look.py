"""Where to look: a reading at the advised moment beats one at a fixed moment."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, datetime

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray
from tests.examples import some

from pointage.culture.mature import mature
from pointage.mixture.course import Course
from pointage.mixture.hold import hold
from pointage.mixture.learning.look import EARLY, WORTH, Look, looks
from pointage.mixture.learning.observation import RISE_ERROR
from pointage.mixture.learning.surface import FREEDOM, STRAY_ERRORS, STRAYS
from pointage.mixture.mixture import mix, raw
from pointage.mixture.temperature.surroundings import Constant
from pointage.mixture.traits import Traits, draw_traits

Floats = NDArray[np.float64]
START = datetime(2026, 11, 26, 8, tzinfo=UTC)
KITCHENS = 1000
FORECAST, TRUTHS = 20261125, 7
"""Seeds of the members that advise and of the cultures that are looked at."""


def _noise() -> Floats:
    """In errors; one reading in so many is a slip, as learning supposes."""
    rng = np.random.default_rng(TRUTHS)
    slips = STRAY_ERRORS * rng.standard_normal(KITCHENS)
    right = rng.standard_t(FREEDOM, KITCHENS)
    return np.asarray(np.where(rng.random(KITCHENS) < STRAYS, slips, right))


NOISE = _noise()


def held(traits: Traits, seed_g: float = 30.0, celsius: float = 23.0, every: int = 15) -> Course:
    seed = mature({"wheat-white": 1.0}, 1.0, traits).scaled(seed_g).at_temperature(celsius)
    flour = raw({"wheat-white": 100.0}, 100.0, celsius=celsius)
    return hold(mix([seed, flour]), Constant(celsius), START, 40.0, traits, every_min=every)


@dataclass(frozen=True)
class Kitchens:
    """What is forecast, and what the cultures of so many kitchens then do."""

    course: Course
    wanted: Floats
    true: Course
    true_wanted: Floats

    def error(self, at_h: float, noise: Floats) -> Floats:
        """How far off each kitchen is in hours that looks once, then goes by what it learned.

        Nobody who looks after the fact can still act in time: the wait counts.
        """
        learned = self.learned(at_h, noise, 0.5)
        return np.asarray(np.abs(np.maximum(learned, at_h) - self.came))

    def inside(self, at_h: float, noise: Floats) -> tuple[Floats, Floats]:
        """Whether each kitchen's own time lies in the band that its reading leaves; half of it."""
        low, high = (self.learned(at_h, noise, share) for share in (0.1, 0.9))
        return ((low <= self.came) & (self.came <= high)).astype(float), (high - low) / 2

    @property
    def came(self) -> Floats:
        return self.true_wanted[~np.isnan(self.true_wanted)]

    def learned(self, at_h: float, noise: Floats, share: float) -> Floats:
        """By what each kitchen read, when it comes to it at such odds."""
        comes, true_comes = ~np.isnan(self.wanted), ~np.isnan(self.true_wanted)
        expected = _at(self.course, at_h)[comes]
        read = (_at(self.true, at_h) + RISE_ERROR * noise)[true_comes]
        gaps = (expected[None, :] - read[:, None]) / RISE_ERROR
        from scipy.stats import t as student  # it loads for a second

        weights = (1 - STRAYS) * student.pdf(gaps, FREEDOM) / student.pdf(0, FREEDOM)
        weights += STRAYS / STRAY_ERRORS * np.exp(-(gaps**2) / 2 / STRAY_ERRORS**2)
        order = np.argsort(self.wanted[comes])
        reached = np.cumsum(weights[:, order], axis=1)
        found = (reached < share * reached[:, -1:]).sum(axis=1)
        return np.asarray(self.wanted[comes][order][found])


def _at(course: Course, hours: float) -> Floats:
    after = int(np.searchsorted(course.hours, hours))
    part = (hours - course.hours[after - 1]) / (course.hours[after] - course.hours[after - 1])
    return np.asarray(course.rise[:, after - 1] * (1 - part) + course.rise[:, after] * part)


@pytest.fixture(scope="module", params=["ripe", "risen"])
def kitchens(request: pytest.FixtureRequest) -> list[Kitchens]:
    """A usual one, a quick one and a slow one."""
    found = []
    for seed_g, celsius in ((30.0, 23.0), (50.0, 25.0), (15.0, 20.0)):
        course = held(draw_traits(400, FORECAST), seed_g, celsius)
        true = held(draw_traits(KITCHENS, TRUTHS), seed_g, celsius)
        if request.param == "ripe":
            found.append(Kitchens(course, course.ripe()[0], true, true.ripe()[0]))
        else:
            found.append(Kitchens(course, course.reaches(1.5), true, true.reaches(1.5)))
    return found


def advised(kitchens: Kitchens) -> Look:
    found = looks(kitchens.course, kitchens.wanted)
    assert found is not None
    assert found.best is not None
    return found.best


@pytest.mark.parametrize("moment", ["half-way", "two hours", "an hour before the middle"])
@pytest.mark.soon(2)
def test_looking_there_beats_looking_at_a_fixed_moment(
    kitchens: list[Kitchens], moment: str
) -> None:
    differences = []
    for each in kitchens:
        middle = float(np.nanmedian(each.wanted))
        fixed = {"half-way": middle / 2, "two hours": 2.0, "an hour before the middle": middle - 1}
        there = each.error(advised(each).at_h, NOISE)
        differences.append(each.error(fixed[moment], NOISE) - there)
    better = np.concatenate(differences)
    assert better.mean() > 2 * better.std() / np.sqrt(len(better))


def test_what_a_look_leaves_is_what_it_leaves(kitchens: list[Kitchens]) -> None:
    """The half band that is promised is, on average, that of who looks then."""
    for each in kitchens:
        look = advised(each)
        inside, left = each.inside(look.at_h, NOISE)
        assert abs(left.mean() - look.half_h) < 3 * left.std() / np.sqrt(len(left))
        assert abs(inside.mean() - 0.8) < 3 * np.sqrt(0.8 * 0.2 / len(left))


@given(
    earliest=st.floats(0.0, 12.0),
    begins=st.floats(0.0, 12.0),
    lasts=st.floats(0.0, 8.0),
    error=st.floats(0.02, 0.5),
)
@settings(deadline=None, max_examples=some(25))
def test_a_look_is_awake_ahead_and_before_the_fact(
    few: Course, earliest: float, begins: float, lasts: float, error: float
) -> None:
    wanted = few.ripe()[0]
    asleep = (begins, begins + lasts)
    found = looks(few, wanted, earliest=earliest, asleep=[asleep], error=error)
    assert found is not None
    for look in found.each:
        assert look.at_h >= earliest
        assert not asleep[0] <= look.at_h < asleep[1]
        assert look.at_h <= np.nanpercentile(wanted, EARLY)
    if found.best is not None:
        assert found.best.half_h < WORTH * found.half_h
        assert found.best.half_h == min(look.half_h for look in found.each)


@pytest.fixture(scope="module")
def few() -> Course:
    return held(draw_traits(100, FORECAST), every=30)


def test_a_rougher_reading_leaves_more(few: Course) -> None:
    wanted = few.ripe()[0]
    fine, rough = (looks(few, wanted, error=error) for error in (0.04, 0.4))
    assert fine is not None
    assert rough is not None
    assert fine.best is not None
    assert min(each.half_h for each in rough.each) > 1.2 * fine.best.half_h


def test_no_look_where_nothing_narrows_it_or_it_does_not_come_to_it(few: Course) -> None:
    wanted = few.ripe()[0]
    alike = looks(few, np.full(len(wanted), 9.0))
    assert alike is not None
    assert alike.best is None
    shuffled = np.random.default_rng(TRUTHS).permutation(wanted)
    unknown = looks(few, shuffled)
    assert unknown is not None
    assert unknown.best is None
    late = np.where(np.arange(len(wanted)) % 2 == 0, np.nan, wanted)
    assert looks(few, late) is None
    assert looks(few, np.full(len(wanted), np.nan)) is None


def test_the_same_forecast_gets_the_same_advice(few: Course) -> None:
    assert looks(few, few.ripe()[0]) == looks(few, few.ripe()[0])
