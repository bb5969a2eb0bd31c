"""A culture raised from flour and water, against what was published and what must hold anyway."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from pointage.culture.young import (
    YoungDay,
    draw_chances,
    gate,
    is_false_start,
    median_chances,
    raise_course,
    strong,
)
from pointage.errors import InputError
from pointage.mixture.state import S
from pointage.mixture.temperature.surroundings import Constant
from pointage.mixture.traits import draw_traits, median_traits

ONE = median_traits()
MANY = draw_traits(60, seed=2)
LUCK = draw_chances(60, seed=3)
THIRD = 1 / 3


def raised(kind: str, celsius: float, days: int = 10) -> tuple[YoungDay, ...]:
    return raise_course(
        {kind: 1.0}, 1.0, Constant(celsius), keep_share=THIRD, feed_every_h=24.0, days=days,
        traits=ONE,
    )  # fmt: skip


def raised_by_many(kind: str, celsius: float, days: int = 12) -> tuple[YoungDay, ...]:
    return raise_course(
        {kind: 1.0}, 1.0, Constant(celsius), keep_share=THIRD, feed_every_h=24.0, days=days,
        traits=MANY, chances=LUCK,
    )  # fmt: skip


@pytest.mark.parametrize("kind", ["wheat-white", "wheat-whole", "rye-whole"])
def test_the_gas_of_the_first_days_is_not_yeast(kind: str) -> None:
    """Ercolini 2013, AEM 79:7827-7836 (seen): the gas of days 1 to 3 comes from early bacteria."""
    days = raised(kind, 25.0, days=3)
    assert any(is_false_start(day) for day in days)
    assert all(float(day.yeast[0]) < 0.1 for day in days)


@pytest.mark.parametrize("kind", ["wheat-white", "wheat-whole", "rye-whole"])
def test_a_quiet_day_follows_and_then_yeast(kind: str) -> None:
    """Mature at 5 to 7 days of daily feeding (Ercolini 2013, seen); other sources say 2 to 14."""
    days = raised(kind, 25.0)
    lead = next(day.number for day in days if day.yeast[0] > 0.5 and day.peak_rise[0] > 1.3)
    assert 5 <= lead <= 10
    first, last = float(days[1].peak_rise[0]), float(days[-1].peak_rise[0])
    assert min(float(day.peak_rise[0]) for day in days[2:lead]) < min(first, last) - 0.05
    assert not any(is_false_start(day) for day in days[lead:])


# By day, from memory and rough: 6.0 to 6.5 at first, 5 to 6 after a day, below 4.2 to 4.5 in days 3
# to 5, then 3.4 to 3.9.
@pytest.mark.parametrize("kind", ["wheat-white", "wheat-whole", "rye-whole"])
@pytest.mark.parametrize("celsius", [23.0, 25.0, 27.0])
def test_acidity_by_day(kind: str, celsius: float) -> None:
    days = raised(kind, celsius, days=7)
    assert days[0].course.ph[0, 0] == pytest.approx(6.25, abs=0.25)
    assert 5.0 <= days[0].ph[0] <= 6.1
    assert 3 <= next(day.number for day in days if day.ph[0] < 4.4) <= 5
    assert all(3.4 <= day.ph[0] <= 3.9 for day in days[4:])


def test_the_early_flora_dies_back() -> None:
    days = raised("wheat-white", 25.0)
    most = max(float(day.course.states[0, :, S.EARLY].max()) for day in days)
    assert most > 1e8
    assert days[-1].counts()["early"] < 1e-4 * most


def test_warmth_brings_the_false_start_sooner() -> None:
    """That 30 °C keeps unwanted bacteria longer than 21 °C (one paper, seen) is not what ours does:
    its lactic acid bacteria sour the warm mixture sooner. Stated in docs/validation, not hidden.
    """
    cool, warm = raised("wheat-whole", 21.0), raised("wheat-whole", 30.0)
    first = [
        next(day.number for day in days if is_false_start(day)) for days in (cool, warm)
    ]  # fmt: skip
    assert first == [2, 1]


def test_shares_of_the_gas_are_one_in_all_and_none_is_below_nothing() -> None:
    for day in raised_by_many("wheat-whole", 25.0):
        shares = np.array([day.early, day.bacteria, day.yeast])
        assert shares.sum(axis=0) == pytest.approx(1.0)
        assert (shares > -0.01).all()


def test_the_early_share_is_what_is_missing_without_the_early_flora() -> None:
    """An independent calculation: the same two days from a flour without early flora."""
    without = median_chances()
    without.early_brought[:] = 0.0
    bare, whole = (
        raise_course(
            {"wheat-white": 1.0}, 1.0, Constant(25.0), keep_share=THIRD, feed_every_h=24.0, days=2,
            traits=ONE, chances=chances,
        )[1]
        for chances in (without, median_chances())
    )  # fmt: skip

    def gas(day: YoungDay) -> float:
        change = day.course.states[0, -1] - day.course.states[0, 0]
        return float(change[S.GAS] + change[S.ESCAPED])

    assert float(whole.early[0]) == pytest.approx(1 - gas(bare) / gas(whole), abs=0.05)


def test_the_gate_opens_after_a_week_for_most_and_never_before() -> None:
    days = raised_by_many("wheat-white", 25.0)
    passed = gate(days, MANY, THIRD)
    assert passed.odds[:6] == (0.0,) * 6
    assert list(passed.odds) == sorted(passed.odds)
    assert passed.day in range(7, 12)
    assert passed.odds[-1] > 0.8
    assert 1.7 < passed.wanted_rise <= 2.0


def test_trust_asks_for_yeast_besides_rise_and_acid() -> None:
    """A strong day is none when bacteria made its gas, or when there are a thousand yeasts a gram.

    Whole rye that was raised at 32 °C once passed with two thousand.
    """
    day = raised("wheat-white", 25.0)[-1]
    wanted = 0.9 * float(day.peak_rise[0])
    assert strong(day, wanted).all()
    by_bacteria = replace(day, yeast=1.0 - day.yeast, bacteria=day.yeast)
    assert not strong(by_bacteria, wanted).any()
    states = day.course.states.copy()
    states[:, :, S.YEAST] = 2e3
    few = replace(day, course=replace(day.course, states=states))
    assert not strong(few, wanted).any()


def test_a_false_start_alone_does_not_open_the_gate() -> None:
    """A flour that brings yeast too sleepy to begin: it rises on day 2, and no more after."""
    luck = draw_chances(60, seed=3)
    luck.yeast_wakes_h[:] = 400.0
    days = raise_course(
        {"wheat-white": 1.0}, 1.0, Constant(25.0), keep_share=THIRD, feed_every_h=24.0, days=10,
        traits=MANY, chances=luck,
    )  # fmt: skip
    assert is_false_start(days[1])
    assert gate(days, MANY, THIRD).day is None


def test_the_same_luck_gives_the_same_days() -> None:
    once, again = (raised_by_many("rye-whole", 25.0, days=3) for _ in range(2))
    assert np.array_equal(once[-1].peak_rise, again[-1].peak_rise)


@pytest.mark.parametrize(
    ("keep", "every", "days", "named"),
    [(1.2, 24.0, 7, "keep"), (0.3, 2.0, 7, "feed every"), (0.3, 24.0, 0, "days")],
)
def test_what_cannot_be_is_refused(keep: float, every: float, days: int, named: str) -> None:
    with pytest.raises(InputError, match=named):
        raise_course(
            {"wheat-white": 1.0}, 1.0, Constant(25.0), keep_share=keep, feed_every_h=every,
            days=days, traits=ONE,
        )  # fmt: skip
