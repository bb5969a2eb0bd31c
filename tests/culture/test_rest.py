"""The cold rest and its waking, the rhythm of upkeep, and irregular weeks."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from fractions import Fraction

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from pointage.culture.mature import feed, mature
from pointage.culture.rest import LONGEST_D, ROW_MIN, holds_h, longest, rests, waking
from pointage.culture.upkeep import (
    LATE_H,
    PARTS,
    Rhythm,
    Unkept,
    Upkeep,
    easily_weighed,
    kept,
    upkeep,
)
from pointage.culture.weeks import (
    Chore,
    ChoreKind,
    HowKept,
    Use,
    chores,
)
from pointage.errors import InputError
from pointage.mixture.course import band
from pointage.mixture.hold import hold
from pointage.mixture.inverse import Fresh
from pointage.mixture.temperature.surroundings import Constant, Straying
from pointage.mixture.traits import draw_traits, median_traits

TRAITS = draw_traits(48, seed=4)
START = datetime(2026, 12, 1, 8, tzinfo=UTC)
WARM, COLD = Constant(25.0), Constant(4.5)
WHEAT = {"wheat-white": 1.0}
FED = feed(mature(WHEAT, 1.0, TRAITS), 20.0, {"wheat-white": 100.0}, 100.0, 25.0).scaled(200.0)


def test_a_chilled_culture_keeps_two_to_three_weeks() -> None:
    """Common practice, no source."""
    days = longest(rests(FED, warm=WARM, cold=COLD, start=START, traits=TRAITS)).days
    assert 14 <= days.p50 <= 24
    assert days.p10 < days.p50 < days.p90


def test_chilled_young_it_holds_longer_than_chilled_past_its_height() -> None:
    found = rests(FED, warm=WARM, cold=COLD, start=START, traits=TRAITS, warm_hours=(1.0, 12.0))
    assert found[0].days.p50 > found[1].days.p50


@pytest.mark.parametrize("celsius", [-30.0, 4.5, 20.0])
def test_who_is_spent_is_held_no_longer_and_the_days_are_the_same(celsius: float) -> None:
    strays = Straying(Constant(celsius), 1.0, "Fridge")
    (found,) = rests(
        FED, warm=WARM, cold=strays, start=START, traits=TRAITS, warm_hours=(0.0,), days=(7.0,)
    )
    whole = hold(FED, strays, START, 24.0 * LONGEST_D, TRAITS, every_min=ROW_MIN)
    assert repr(found.days) == repr(band(holds_h(whole, TRAITS) / 24.0))  # NaN and all
    np.testing.assert_array_equal(found.rested[7.0].states, whole.after(24 * 7.0).states)


def test_two_or_three_feeds_bring_it_back() -> None:
    """After two to three weeks. Common practice, no source."""
    feeds = []
    for days in (2.0, 14.0, 21.0, 40.0):
        rested = hold(FED, COLD, START, 24 * days, TRAITS, every_min=180).final
        found = waking(rested, flours=WHEAT, hydration=1.0, place=WARM, start=START, traits=TRAITS)
        assert all(0.0 <= odds <= 1.0 for odds in found.odds)
        feeds.append(found.feeds)
    assert feeds == sorted(feeds)
    assert feeds[1] in (2, 3)
    assert feeds[2] in (3, 4), "four in five of cultures of which nothing is known"


def test_in_a_cool_room_waking_feeds_are_a_day_apart_and_wake_it() -> None:
    """Fed again before it has risen it gets thinner. Common practice, no source."""
    rested = hold(FED, COLD, START, 24 * 7, TRAITS, every_min=180).final
    cool = waking(
        rested, flours=WHEAT, hydration=1.0, place=Constant(18.3), start=START, traits=TRAITS
    )
    assert cool.every_h == 24.0
    assert cool.feeds in (1, 2, 3)


def worked_out(every_h: float, celsius: float, needed: int = 100) -> Upkeep | Unkept:
    rhythm = Rhythm(every_h, Constant(celsius), START, celsius)
    return upkeep(WHEAT, 1.0, rhythm, TRAITS, needed_g=Fraction(needed))


def test_the_rhythm_run_long_is_steady_and_ripe_in_time() -> None:
    """The engine run long from two beginnings comes to one state, which is ripe when it is due."""
    found = worked_out(12.0, 24.0)
    assert isinstance(found, Upkeep)
    fresh = Fresh({"wheat-white": 100.0}, 100.0, 24.0)
    one = median_traits()
    ends = [
        kept(begun, fresh, found.rhythm, one, share=1 / found.parts, feeds=8)
        for begun in (mature(WHEAT, 1.0, one), mature({"rye-whole": 1.0}, 1.0, one))
    ]
    np.testing.assert_allclose(
        np.log(ends[0].states[:, 1]), np.log(ends[1].states[:, 1]), rtol=0.01
    )
    assert found.ripe_h[0] <= 12.0 + LATE_H


def test_the_smallest_culture_still_covers_the_build() -> None:
    for needed in (0, 100, 1000):
        found = worked_out(12.0, 24.0, needed)
        assert isinstance(found, Upkeep)
        assert found.spare_g >= needed
        assert found.feed.total_g >= (found.spare_g + found.feed.seed_g)


@pytest.mark.parametrize("celsius", [17.0, 18.3, 21.0, 24.0, 26.0, 28.0])
@pytest.mark.soon(2)
def test_a_rhythm_is_fed_in_proportions_that_bakers_use(celsius: float) -> None:
    """One part of seed to one to ten of flour: common practice, no source."""
    for every_h in (12.0, 24.0):
        found = worked_out(every_h, celsius)
        assert isinstance(found, Upkeep)
        assert found.parts in PARTS
        assert found.feed.flour_g == found.parts * found.feed.seed_g
        assert found.fit >= 0.5


def test_cooler_wants_more_seed() -> None:
    found = [worked_out(12.0, c) for c in (18.0, 21.0, 24.0)]
    parts = [each.parts for each in found if isinstance(each, Upkeep)]
    assert parts == sorted(set(parts))
    assert len(parts) == 3


def test_what_has_not_risen_by_the_next_feed_is_no_rhythm() -> None:
    """At 10 °C twice a day it would be fed to nothing. Common practice, no source."""
    assert worked_out(12.0, 10.0) is Unkept.SLOW


def test_a_jar_that_is_too_small_is_said() -> None:
    rhythm = Rhythm(24.0, Constant(20.0), START, 20.0)
    small = upkeep(WHEAT, 1.0, rhythm, TRAITS, needed_g=Fraction(500), most_g=Fraction(250))
    assert small is Unkept.JAR


@given(st.fractions(0, 5000), st.sampled_from([Fraction(1, 10), Fraction(1), Fraction(2)]))
def test_what_is_easily_weighed_is_enough_and_on_the_scale(grams: Fraction, step: Fraction) -> None:
    found = easily_weighed(grams, step)
    assert grams <= found < grams + 10 + 2 * step
    assert found % step == 0


KEEPING = HowKept(
    hydration=Fraction(1),
    waking=lambda days: 1 if days < 4 else 2,
    rest_d=12.0,
    warm_h=2.0,
    daily_share=Fraction(1, 5),
    keep_g=Fraction(40),
)
KINDS = {kind: kind for kind in ChoreKind}


def told(*days: float) -> tuple[Chore, ...]:
    uses = [Use(START + timedelta(days=each), Fraction(100)) for each in days]
    return chores(START - timedelta(hours=12), uses, KEEPING)


def test_a_day_apart_it_stays_warm() -> None:
    kinds = [chore.kind for chore in told(1, 2, 3)]
    assert ChoreKind.CHILL not in kinds


def test_an_idle_week_is_rested() -> None:
    found = told(1, 8)
    assert [chore.kind for chore in found][-4:] == [
        ChoreKind.CHILL, ChoreKind.WAKE, ChoreKind.WAKE, ChoreKind.BUILD,
    ]  # fmt: skip


def test_a_rest_longer_than_it_holds_is_broken_in_time() -> None:
    found = told(1, 31)
    refreshed = [chore.at for chore in found if chore.kind is ChoreKind.REFRESH]
    chilled = [chore.at for chore in found if chore.kind is ChoreKind.CHILL]
    for before, after in zip([*chilled, *refreshed], refreshed, strict=False):
        assert after - before < timedelta(days=KEEPING.rest_d)
    assert len(refreshed) >= 2


@given(st.lists(st.floats(0.6, 20.0), min_size=1, max_size=6))
def test_every_build_is_covered_and_nothing_is_out_of_order(gaps: list[float]) -> None:
    days = np.cumsum(gaps)
    found = told(*[float(day) for day in days])
    assert [chore.at for chore in found] == sorted(chore.at for chore in found)
    assert sum(chore.kind is ChoreKind.BUILD for chore in found) == len(gaps)
    fed: Chore | None = None
    for chore in found:
        if chore.kind is ChoreKind.BUILD and fed is not None:
            assert fed.total_g >= 100 + KEEPING.keep_g
            assert chore.at - fed.at <= timedelta(days=1.6)
        if chore.total_g:
            fed = chore


def test_builds_out_of_order_are_refused() -> None:
    with pytest.raises(InputError, match="after the one before"):
        told(3, 2)
    with pytest.raises(InputError, match="at least one"):
        told()
