"""What a culture needs next: when, what is weighed, and what was left too long."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime, timedelta
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st
from tests.timetable.hall import kitchen as hall

from pointage.culture.life import Began, Fed, Life, Moved, lived
from pointage.kitchen.awake import fitted, sleep_spans
from pointage.kitchen.kitchen import CultureAtHand, Kitchen
from pointage.kitchen.needs import (
    LATEST_CHILL,
    LEFT_WARM,
    REMIND,
    CultureNeed,
    NeedKind,
    Outlook,
    need_of,
)

DAY, HOUR = timedelta(days=1), timedelta(hours=1)
BEGUN = datetime(2026, 11, 20, 9, tzinfo=UTC)
HALL = hall()
RYE = {"rye-whole": 60.0}


def life_of(*events: Fed | Moved) -> Life:
    return lived([Began(BEGUN, "Knot", grams=150.0, flours={"rye-whole": 1.0}), *events])


def at_hand(life: Life) -> CultureAtHand:
    last = life.stands[-1]
    return CultureAtHand(
        "Knot", dict(life.flours), life.hydration, life.mass_g, life.seed_share, last.fed.at,
        last.places[0][1], 2.0, last.places[-1][1], life,
    )  # fmt: skip


def needed(life: Life, outlook: Outlook, now: datetime, kitchen: Kitchen = HALL) -> CultureNeed:
    found = need_of(at_hand(life), outlook, kitchen, now)
    assert found is not None
    return found


def fed(at: datetime, seed: float = 20.0, place: str = "Hall") -> Fed:
    return Fed(at, seed, RYE, 60.0, place=place)


RESTING = life_of(fed(BEGUN), Moved(BEGUN + 2 * HOUR, "Fridge"))
SURE = Outlook(
    surely_until=BEGUN + 12 * DAY, likely_until=BEGUN + 20 * DAY, hardly_until=BEGUN + 30 * DAY
)


def test_a_rest_is_ended_two_days_before_it_is_no_longer_sure_and_it_goes_back() -> None:
    found = needed(RESTING, SURE, BEGUN + DAY)
    assert found.kind is NeedKind.REFRESH
    assert BEGUN + 9 * DAY <= found.at <= BEGUN + 12 * DAY - REMIND
    assert found.best_by == BEGUN + 12 * DAY
    assert (found.place, found.then, found.then_h) == ("Hall", "Fridge", 2.0)
    assert found.feed is not None
    assert found.feed.seed_g == 20
    assert found.feed.flours_g["rye-whole"] == 60
    assert found.discard_g == 120
    asleep = sleep_spans(HALL, found.at - DAY, found.at + DAY)
    chilled = found.at + found.then_h * HOUR
    assert not any(low < at < high for low, high in asleep for at in (found.at, chilled))


def test_the_same_is_due_whenever_it_is_asked() -> None:
    soon, late = (needed(RESTING, SURE, BEGUN + days * DAY) for days in (1, 15))
    assert soon == late
    assert late.best_by < BEGUN + 15 * DAY


def test_before_a_holiday_it_is_fed_before_and_not_after() -> None:
    away = (BEGUN + 8 * DAY, BEGUN + 16 * DAY)
    kitchen = replace(HALL, hours=replace(HALL.hours, away=(away,)))
    assert needed(RESTING, SURE, BEGUN + DAY, kitchen).at <= away[0]


def test_what_was_forgotten_is_brought_back_from_little() -> None:
    """Ten grams from below the top, fed three times: common practice, no source."""
    cold = needed(RESTING, SURE, BEGUN + 56 * DAY)
    warm = needed(life_of(fed(BEGUN)), Outlook(), BEGUN + LEFT_WARM + HOUR)
    for found in (cold, warm):
        assert found.kind is NeedKind.REVIVE
        assert found.feed is not None
        assert found.feed.seed_g == 10
        assert found.feed.flour_g == 20
        assert found.feeds == 3


def test_kept_in_the_cold_it_goes_there_after_its_next_feed_also_after_one_that_woke_it() -> None:
    after = fed(BEGUN + 10 * DAY)
    fed_again = life_of(fed(BEGUN), Moved(BEGUN + 2 * HOUR, "Fridge"), after)
    found = needed(fed_again, Outlook(), after.at)
    assert (found.kind, found.place) == (NeedKind.CHILL, "Fridge")
    assert found.at == after.at + 2 * HOUR
    weak = needed(fed_again, Outlook(awake=0.2), after.at)
    assert weak.kind is NeedKind.WAKE, "it is woken first"
    woken = lived_on(fed_again, fed(after.at + DAY))
    assert needed(woken, Outlook(), after.at + DAY).kind is NeedKind.CHILL


def lived_on(life: Life, *events: Fed) -> Life:
    from pointage.culture.life import after

    for event in events:
        life = after(life, event)
    return life


def test_in_the_warm_it_follows_its_rhythm_and_its_height() -> None:
    daily = life_of(fed(BEGUN), fed(BEGUN + DAY))
    ripe = Outlook(BEGUN + DAY + 8 * HOUR, BEGUN + DAY + 12 * HOUR)
    assert needed(daily, ripe, BEGUN + DAY).at == BEGUN + 2 * DAY
    once = life_of(fed(BEGUN))
    slow = Outlook(BEGUN + 30 * HOUR, BEGUN + 47 * HOUR)
    found = needed(once, slow, BEGUN)
    assert (found.kind, found.at) == (NeedKind.FEED, BEGUN + 47 * HOUR)


@given(mass=st.floats(5.0, 2000.0), share=st.floats(0.02, 3.0), hydration=st.floats(0.5, 1.5))
def test_no_amount_is_more_than_the_jar_takes_or_finer_than_is_weighed(
    mass: float, share: float, hydration: float
) -> None:
    flour = mass / (share + 1 + hydration)
    event = Fed(BEGUN, flour * share, {"rye-whole": flour}, flour * hydration, place="Hall")
    life = lived([Began(BEGUN, "Knot", grams=flour * share + 1), event])
    found = needed(life, Outlook(), BEGUN + DAY)
    assert found.feed is not None
    jar = HALL.jar_of("Knot").most_g
    assert float(found.feed.total_g) <= max(jar, float(found.feed.seed_g))
    assert all(g.denominator == 1 for g in (found.feed.flour_g, found.feed.water_g))
    assert found.discard_g >= 0


@given(hours=st.floats(0, 200), back=st.floats(0, 30), stood=st.floats(0, 12))
def test_an_hour_that_suits_her_is_no_sleeping_one(hours: float, back: float, stood: float) -> None:
    at = BEGUN + hours * HOUR
    found = fitted(HALL, at, at - back * HOUR, stood * HOUR)
    asleep = sleep_spans(HALL, at - 3 * DAY, at + 3 * DAY)
    assert not any(low < found < high for low, high in asleep)
    assert found >= at - back * HOUR
    assert found - at <= 9 * HOUR


def test_late_chill_is_no_habit() -> None:
    late = life_of(fed(BEGUN), Moved(BEGUN + 20 * HOUR, "Fridge"), fed(BEGUN + 9 * DAY))
    assert needed(late, Outlook(), BEGUN + 9 * DAY).at <= BEGUN + 9 * DAY + LATEST_CHILL


@pytest.mark.parametrize("grams", [Fraction(1, 10), Fraction(2)])
def test_the_least_seed_is_ten_steps_of_the_scale(grams: Fraction) -> None:
    scales = tuple(replace(each, step_g=grams) for each in HALL.scales)
    found = needed(RESTING, SURE, BEGUN + 56 * DAY, replace(HALL, scales=scales))
    assert found.feed is not None
    assert found.feed.seed_g >= 10 * grams
