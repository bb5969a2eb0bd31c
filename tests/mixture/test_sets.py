"""The growth sets side by side: one at 25 °C by construction, apart on either side."""

from __future__ import annotations

import pytest

from pointage.culture.mature import feed, mature
from pointage.mixture.mixture import Mixture
from pointage.mixture.response import GROWTH_SETS
from pointage.mixture.sets import peaks_by_set
from pointage.mixture.traits import median_traits


def levain(celsius: float) -> Mixture:
    culture = mature({"wheat-white": 1.0}, 1.0, median_traits())
    return feed(culture, 20.0, {"wheat-white": 100.0}, 100.0, celsius)


def test_the_sets_agree_where_they_are_tied_and_part_elsewhere() -> None:
    """At 20 °C the yeast's rate over that at 25 °C is 0.55 to 0.67, so the peaks part by less; in
    the cold, where the sources disagree on whether yeast grows at all, they part by more.
    """
    cold, cool, tied, warm = peaks_by_set(levain, (12.0, 20.0, 25.0, 30.0), median_traits())
    assert set(tied.hours) == set(GROWTH_SETS)
    assert tied.spread == pytest.approx(0.0, abs=0.01)
    for apart in (cool, warm):
        assert 0.005 < apart.spread < 0.2
    assert cold.spread > 0.1
    for growth_set in GROWTH_SETS:
        assert cold.hours[growth_set] > cool.hours[growth_set] > tied.hours[growth_set]
