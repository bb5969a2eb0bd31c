"""Stock replayed from what happened: nothing appears, nothing is lost, whatever the order."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime, timedelta
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pointage.larder.cost import cost_of, cost_of_draws, worth
from pointage.larder.stock import (
    Counted,
    Draw,
    Event,
    Lot,
    Used,
    flours_in_use,
    replay,
)
from pointage.mixture.flours import FlourFigures

START = datetime(2026, 11, 1, 12, tzinfo=UTC)
RYE, WHITE = "rye-whole", "wheat-white"


def day(number: int) -> datetime:
    return START + timedelta(days=number)


def lot(key: str, on: int, grams: int, price: str | None = None, name: str = WHITE) -> Lot:
    return Lot(key, name, day(on), Fraction(grams), price and Fraction(price), "EUR")  # type: ignore[arg-type]


def used(key: str, on: int, grams: int, of: str | None = None, name: str = WHITE) -> Used:
    return Used(key, name, day(on), Fraction(grams), of)


def counted(key: str, on: int, grams: int, of: str | None = None, name: str = WHITE) -> Counted:
    return Counted(key, name, day(on), Fraction(grams), of)


def test_the_oldest_lot_goes_first() -> None:
    stock = replay([lot("new", 5, 1000), lot("old", 1, 1000), used("a", 6, 1200)])
    assert stock.shelf(WHITE).draws["a"] == (
        Draw("old", Fraction(1000)),
        Draw("new", Fraction(200)),
    )
    assert [each.key for each in stock.lots_of(WHITE)] == ["new"]
    assert stock.grams(WHITE) == 800


def test_a_lot_that_is_named_goes_instead() -> None:
    stock = replay([lot("old", 1, 1000), lot("new", 5, 1000), used("a", 6, 300, of="new")])
    assert stock.shelf(WHITE).left == {"old": 1000, "new": 700}


def test_a_use_before_its_purchase_is_short_and_the_purchase_stays_whole() -> None:
    stock = replay([used("a", 1, 200), lot("late", 2, 1000)])
    assert stock.grams(WHITE) == 1000
    assert stock.shelf(WHITE).short == 200
    assert stock.shelf(WHITE).draws["a"] == (Draw(None, Fraction(200)),)


def test_more_used_than_there_was_is_told_until_the_next_count() -> None:
    events: list[Event] = [lot("a", 1, 500), used("b", 2, 700)]
    assert replay(events).shelf(WHITE).short == 200
    assert replay(events).grams(WHITE) == 0
    assert replay([*events, counted("c", 3, 40)]).shelf(WHITE).short == 0
    assert replay([*events, counted("c", 3, 40)]).grams(WHITE) == 40


def test_a_count_sets_what_is_there() -> None:
    lots: list[Event] = [lot("old", 1, 1000), lot("new", 2, 1000)]
    less = replay([*lots, counted("c", 3, 700)])
    assert less.shelf(WHITE).left == {"old": 0, "new": 700}
    more = replay([*lots, counted("c", 3, 2300)])
    assert more.shelf(WHITE).left == {"old": 1000, "new": 1300}
    one = replay([*lots, counted("c", 3, 10, of="new")])
    assert one.shelf(WHITE).left == {"old": 1000, "new": 10}


def test_what_only_a_count_knows_of_is_a_lot_without_a_price() -> None:
    stock = replay([counted("c", 3, 700)])
    assert stock.grams(WHITE) == 700
    assert worth(WHITE, stock, "EUR").unpriced == {WHITE}


def test_at_one_instant_bought_comes_before_used_and_used_before_counted() -> None:
    stock = replay([counted("a", 1, 150), used("b", 1, 100), lot("c", 1, 300)])
    assert stock.grams(WHITE) == 150
    assert stock.shelf(WHITE).short == 0
    assert stock.shelf(WHITE).tally.missing == 50


NAMES = st.sampled_from([WHITE, RYE])
GRAMS = st.integers(1, 5000).map(lambda tenths: Fraction(tenths, 10))
DAYS = st.integers(0, 20).map(day)
PRICES = st.one_of(st.none(), st.integers(0, 9999).map(lambda cents: Fraction(cents, 100)))


@st.composite
def histories(draw: st.DrawFn) -> list[Event]:
    """Purchases, uses and counts; some name a lot, which may be another's or not there yet."""
    lots = [
        Lot(f"lot-{n}", draw(NAMES), draw(DAYS), draw(GRAMS), draw(PRICES), "EUR")
        for n in range(draw(st.integers(0, 5)))
    ]
    keys = st.one_of(st.none(), st.sampled_from([f"lot-{n}" for n in range(5)]))
    uses = [
        Used(f"use-{n}", draw(NAMES), draw(DAYS), draw(GRAMS), draw(keys))
        for n in range(draw(st.integers(0, 6)))
    ]
    counts = [
        Counted(f"count-{n}", draw(NAMES), draw(DAYS), draw(GRAMS), draw(keys))
        for n in range(draw(st.integers(0, 3)))
    ]
    return [*lots, *uses, *counts]


@given(histories())
def test_stock_is_conserved(events: list[Event]) -> None:
    stock = replay(events)
    for name in (WHITE, RYE):
        mine = [each for each in events if each.ingredient == name]
        tally = stock.shelf(name).tally
        assert tally.bought == sum(each.grams for each in mine if isinstance(each, Lot))
        assert tally.used == sum(each.grams for each in mine if isinstance(each, Used))
        assert tally.left == stock.grams(name)
    assert all(left >= 0 for shelf in stock.shelves.values() for left in shelf.left.values())
    for use in (each for each in events if isinstance(each, Used)):
        assert sum(draw.grams for draw in stock.shelf(use.ingredient).draws[use.key]) == use.grams


@given(histories())
def test_without_counts_bought_less_used_is_left_or_the_shortage_is_told(
    events: list[Event],
) -> None:
    plain = [each for each in events if not isinstance(each, Counted)]
    stock = replay(plain)
    for name in (WHITE, RYE):
        bought = sum(
            each.grams for each in plain if isinstance(each, Lot) and each.ingredient == name
        )
        out = sum(
            each.grams for each in plain if isinstance(each, Used) and each.ingredient == name
        )
        assert stock.grams(name) == bought - out + stock.shelf(name).short


@given(histories(), st.randoms(use_true_random=False))
def test_the_order_in_which_news_comes_changes_nothing(events: list[Event], order: object) -> None:
    shuffled = list(events)
    order.shuffle(shuffled)  # type: ignore[attr-defined]
    assert replay(shuffled) == replay(events)


@given(histories())
def test_what_was_paid_is_what_was_used_and_what_is_left(events: list[Event]) -> None:
    """With every lot priced and nothing short or counted, money is conserved to the last part."""
    lots = [each for each in events if isinstance(each, Lot) and each.price is not None]
    enough = {
        name: sum((each.grams for each in lots if each.ingredient == name), Fraction())
        for name in (WHITE, RYE)
    }
    last = max((each.at for each in lots), default=START)
    uses = []
    for use in (each for each in events if isinstance(each, Used)):
        if enough[use.ingredient] >= use.grams:
            enough[use.ingredient] -= use.grams
            uses.append(Used(use.key, use.ingredient, last, use.grams))
    stock = replay([*lots, *uses])
    spent = sum(
        cost_of_draws(
            use.ingredient, stock.shelf(use.ingredient).draws[use.key], stock, "EUR"
        ).amount
        for use in uses
    )
    left = sum(worth(name, stock, "EUR").amount for name in (WHITE, RYE))
    assert spent + left == sum(each.price for each in lots if each.price is not None)


def test_cost_by_hand() -> None:
    """25 kg for 23.75 is 0.95 a kilogram; 5 kg for 6.00 is 1.20.

    10 kg used leave 15 kg; then 16 kg cost 15 × 0.95 + 1 × 1.20 = 14.25 + 1.20 = 15.45.
    """
    stock = replay([lot("a", 1, 25000, "23.75"), lot("b", 2, 5000, "6.00"), used("c", 3, 10000)])
    assert cost_of({WHITE: Fraction(16000)}, stock, "EUR").amount == Fraction("15.45")
    # Beyond the 20 kg that are there: 14.25 + 5 × 1.20, and 2 kg more by the last price, 1.20.
    assert cost_of({WHITE: Fraction(22000)}, stock, "EUR").amount == Fraction("22.65")


def test_water_is_free_and_what_has_no_price_is_told() -> None:
    stock = replay([lot("a", 1, 1000)])
    cost = cost_of({WHITE: Fraction(10), "water": Fraction(500)}, stock, "EUR")
    assert cost.amount == 0
    assert cost.unpriced == {WHITE}


@pytest.mark.parametrize("currency", ["GBP", "CHF"])
def test_a_price_in_another_currency_is_no_price(currency: str) -> None:
    stock = replay([lot("a", 1, 1000, "2.00")])
    assert cost_of({WHITE: Fraction(10)}, stock, currency).unpriced == {WHITE}


def test_the_flour_in_use_is_of_the_lot_that_the_next_use_draws_on() -> None:
    old, new = FlourFigures(ash=0.62), FlourFigures(ash=0.55)
    lots = [
        replace(lot("old", 1, 1000), flour=old),
        replace(lot("new", 5, 1000), flour=new),
        replace(lot("bare", 2, 500, name=RYE)),
        replace(lot("rye", 3, 500, name=RYE), flour=old),
    ]
    assert flours_in_use(replay(lots)) == {WHITE: old}
    assert flours_in_use(replay([*lots, used("a", 6, 1000)])) == {WHITE: new}
    assert flours_in_use(replay([*lots, used("a", 6, 999)])) == {WHITE: old}
    # Once the sack without a sheet is used up, the next one says what the rye is.
    assert flours_in_use(replay([*lots, used("b", 6, 500, name=RYE)])) == {WHITE: old, RYE: old}
    assert flours_in_use(replay([])) == {}
