"""The shopping list, upkeep and energy, by hand."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st
from tests.timetable.hall import NOW, kitchen

from pointage.errors import RangeError
from pointage.kitchen.file.heater import Heater
from pointage.larder.energy import Load, firing_kwh, shares
from pointage.larder.shopping import Need, past_best, shopping
from pointage.larder.stock import Lot, replay
from pointage.larder.upkeep import discard_of, idle_feeds, upkeep

MONDAY = datetime(2026, 11, 23, 9, tzinfo=UTC)
WHITE, SALT = "wheat-white", "salt"


def need(name: str, grams: int, what: str = "Harbour loaf", days: int = 1) -> Need:
    return Need(name, Fraction(grams), MONDAY + timedelta(days=days), what)


def sack(grams: int, price: str, pack: int | None, best: date | None = None) -> Lot:
    packed = None if pack is None else Fraction(pack)
    return Lot("s", WHITE, MONDAY, Fraction(grams), Fraction(price), "EUR", packed, best)


def test_what_is_lacking_is_bought_in_whole_packs_at_the_last_price() -> None:
    """6 kg needed, 4 kg there: 2 kg lack, which is two packs of 1.5 kg, 3 kg, at 4.40 / 4 kg."""
    (line,) = shopping(
        [need(WHITE, 4000), need(WHITE, 2000, "Rolls")], replay([sack(4000, "4.40", 1500)]), "EUR"
    )
    assert line.needed_g == 6000
    assert line.stock_g == 4000
    assert line.lacking_g == 2000
    assert line.packs == 2
    assert line.buy_g == 3000
    assert line.cost.amount == Fraction("3.30")
    assert line.what == ("Harbour loaf", "Rolls")


def test_what_is_there_is_not_bought() -> None:
    (line,) = shopping([need(WHITE, 4000)], replay([sack(4000, "4.40", 1500)]), "EUR")
    assert line.packs == 0
    assert line.buy_g == 0
    assert line.cost.amount == 0


def test_what_never_was_bought_has_no_price_and_water_runs_from_the_tap() -> None:
    (line,) = shopping([need(SALT, 120), need("water", 5000)], replay([]), "EUR")
    assert line.ingredient == SALT
    assert line.buy_g == 120
    assert line.packs is None
    assert line.cost.unpriced == {SALT}


@given(st.integers(0, 10**6), st.integers(0, 10**6), st.integers(1, 30_000))
def test_a_pack_less_would_not_do(needed: int, there: int, pack: int) -> None:
    lots = [sack(there, "1", pack)] if there else [sack(1, "1", pack)]
    found = shopping([need(WHITE, needed)], replay(lots), "EUR")
    for line in found:
        assert line.stock_g + line.buy_g >= line.needed_g
        if line.packs:
            assert line.stock_g + line.buy_g - pack < line.needed_g


def test_what_will_be_past_its_best() -> None:
    stock = replay([sack(1000, "1", None, date(2026, 11, 28))])
    assert past_best(stock, date(2026, 11, 28)) == []
    assert [each.key for each in past_best(stock, date(2026, 11, 29))] == ["s"]


def test_upkeep_by_hand() -> None:
    """Gannet: 150 g at 100 % with 20 % seed. F = 150 / (0.2 + 1 + 1) = 68.18 g, seed 13.64 g."""
    gannet = kitchen(NOW).culture("Gannet")
    feed = upkeep(gannet)
    assert feed.flours == {"rye-whole": Fraction(150) / Fraction("2.2")}
    assert feed.water_g == feed.flours["rye-whole"]
    assert feed.seed_g == Fraction(30) / Fraction("2.2")
    assert feed.discard_g == 150 - feed.seed_g
    assert feed.seed_g + feed.water_g + sum(feed.flours.values()) == 150


def test_upkeep_with_too_little_left_carries_all_of_it_over() -> None:
    """Plover: 120 g at 60 %; 8 g left and no more, so 112 g fresh, of which 70 g are flour."""
    feed = upkeep(kitchen(NOW).culture("Plover"), Fraction(8))
    assert feed.seed_g == 8
    assert feed.discard_g == 0
    assert feed.flours == {"wheat-white": 70}
    assert feed.water_g == 42


def test_discard_is_its_flour_and_its_water() -> None:
    """160 g of Plover at 60 % are 100 g of white flour and 60 g of water."""
    discard = discard_of(kitchen(NOW).culture("Plover"), Fraction(160))
    assert discard.flour_g == {"wheat-white": 100}


def test_a_resting_culture_is_fed_once_a_week_and_at_once_when_overdue() -> None:
    week = timedelta(days=7)
    assert idle_feeds(MONDAY - timedelta(days=2), MONDAY, MONDAY + week) == [
        MONDAY + timedelta(days=5)
    ]
    assert idle_feeds(MONDAY - timedelta(days=30), MONDAY, MONDAY + week) == [MONDAY]
    assert idle_feeds(MONDAY, MONDAY, MONDAY + week) == []


def test_energy_by_hand() -> None:
    """9 kW: an hour at full power and 100 min at 45 % are 9 + 9 × 0.45 × 100/60 = 15.75 kWh."""
    heater = Heater(Fraction(9), Fraction(1), Fraction(45, 100))
    assert firing_kwh(heater, Fraction(60), Fraction(100)) == Fraction("15.75")
    with pytest.raises(RangeError):
        firing_kwh(heater, Fraction(-1), Fraction(100))


@given(st.lists(st.integers(1, 300), min_size=1, max_size=6))
def test_the_shares_of_a_firing_sum_to_it(minutes: list[int]) -> None:
    found = shares([Load(str(n), Fraction(each), 8) for n, each in enumerate(minutes)])
    assert sum(found) == 1
    assert [share * sum(minutes) for share in found] == minutes
