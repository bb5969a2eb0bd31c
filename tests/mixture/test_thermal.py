"""How a mixture conducts and follows: limits, orders, and figures of kitchens."""

from __future__ import annotations

import pytest

from pointage.mixture.mixture import raw
from pointage.mixture.temperature.thermal import filling, usual_follow

LEVAIN = raw({"wheat-white": 250.0}, water=250.0)


def test_a_risen_dough_is_larger_and_conducts_less() -> None:
    """From 0.43 W/(m·K) of a dough to half of it, as its volume doubles."""
    dough = raw({"wheat-white": 1000.0}, water=650.0, salt=20.0)
    fresh, risen = filling(dough, 1.0), filling(dough, 2.0)
    assert risen.litres == pytest.approx(2 * fresh.litres)
    assert risen.heat_capacity == fresh.heat_capacity
    assert 0.36 < fresh.conductivity < 0.46  # Rask 1989 gathers 0.38 to 0.50, from memory
    assert 0.40 < risen.conductivity / fresh.conductivity < 0.55


def test_a_wetter_mixture_conducts_better() -> None:
    stiff, wet = (raw({"rye-whole": 100.0}, water=water) for water in (60.0, 120.0))
    assert filling(wet).conductivity > filling(stiff).conductivity


def test_a_tub_of_levain_takes_about_two_hours() -> None:
    """Common practice, no source: half a kilo 5 K too cold is hardly so after five hours."""
    assert 1.4 < usual_follow(LEVAIN).hours < 2.8


def test_more_follows_more_slowly() -> None:
    hours = [usual_follow(LEVAIN.scaled(grams)).hours for grams in (50, 150, 500, 2000, 10_000)]
    assert hours == sorted(hours)
    assert hours[0] < 1.2
    assert hours[-1] > 5.0
