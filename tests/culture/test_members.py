"""Members drawn anew leave the odds what they are, and a lull that was seen moves the day later."""

from __future__ import annotations

from datetime import UTC, datetime
from fractions import Fraction

import numpy as np
import pytest

from pointage.culture.members import counting, drawn_anew, first_members
from pointage.culture.raising import RaisedDay, Raising, Sign, raise_days
from pointage.desk.cultures.raising import Tub, raise_culture
from pointage.mixture.temperature.surroundings import Constant

LULL = (Sign(2, 1.9), Sign(3, 1.2, 4.4), Sign(4, 1.05, 4.0), Sign(5, 1.05, 3.8))


def raised(kind: str, celsius: float, signs: tuple[Sign, ...] = ()) -> tuple[RaisedDay, ...]:
    start = datetime(2026, 1, 1, 8, tzinfo=UTC)
    wish = Raising({kind: 1.0}, Fraction(1), Fraction(50), Constant(celsius), start, celsius)
    return raise_days(wish, 14, signs)


def ready(days: tuple[RaisedDay, ...]) -> int:
    return next((day.number for day in days if day.ready >= 0.5), 99)


def test_drawn_anew_they_still_stand_for_the_prior() -> None:
    """Weighed, what was drawn about a few has the prior's means: importance sampling."""
    first = first_members(4000, 1)
    favoured = first.weights * np.exp(-2.0 * np.log(first.chances.yeast_wakes_h / 90.0) ** 2 / 0.09)
    new = drawn_anew(first, favoured / favoured.sum(), 2)
    before = np.log(first.chances.yeast_wakes_h)
    after = np.log(new.chances.yeast_wakes_h)
    unweighed, weighed = after.mean(), new.weights @ after
    error = before.std() / np.sqrt(counting(new.weights))
    assert unweighed - before.mean() > 5 * error, "they are drawn about the favoured"
    assert abs(weighed - before.mean()) < 4 * error
    assert new.weights.sum() == pytest.approx(1.0)


@pytest.mark.parametrize("kind", ["wheat-white", "wheat-whole", "rye-whole"])
@pytest.mark.soon(1)
def test_a_lull_that_was_seen_moves_the_day_later(kind: str) -> None:
    """Never sooner, and the more so the longer it lasts."""
    longer = (*LULL, Sign(6, 1.05, 3.7), Sign(7, 1.05, 3.7))
    unseen, lull, long = (raised(kind, 24.0, signs) for signs in ((), LULL, longer))
    assert ready(unseen) < ready(lull) <= ready(long)
    assert lull[4].rise()[1] < 1.25, "what was seen is believed"
    assert counting(lull[-1].weights) > 5


def test_a_quick_start_moves_it_sooner_but_not_before_a_week() -> None:
    signs = (Sign(1, 1.6), Sign(2, 2.0), Sign(3, 2.2), Sign(4, 2.3, 3.7))
    assert ready(raised("wheat-white", 24.0, signs)) == 7


@pytest.mark.parametrize(("kind", "celsius"), [("rye-whole", 32.0), ("wheat-whole", 35.0)])
def test_without_yeast_it_is_not_ready(kind: str, celsius: float) -> None:
    days = raised(kind, celsius)
    assert ready(days) > 10
    for day in days[6:]:
        yeasts = float(np.median(day.young.course.yeast[:, -1]))
        assert yeasts > 1e6 or day.ready < 0.3


def test_it_is_said_where_heat_makes_it_impossible() -> None:
    tub = Tub(2.0)
    hot, usual = (
        raise_culture(kind="rye-whole", tub=tub, celsius=celsius).warnings
        for celsius in (34.0, 26.0)
    )
    assert len(hot) == 1
    assert "unlikely to be ready" in hot[0]
    assert usual == ()
