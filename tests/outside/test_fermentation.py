"""Whole courses against published doughs and the practice of the trade."""

from __future__ import annotations

from datetime import UTC, datetime

import numpy as np
import pytest

from pointage.culture.mature import feed, mature
from pointage.mixture.course import Course
from pointage.mixture.hold import hold
from pointage.mixture.mixture import Mixture, raw
from pointage.mixture.state import S
from pointage.mixture.surroundings import Constant
from pointage.mixture.traits import median_traits

START = datetime(2026, 1, 1, tzinfo=UTC)
WHITE = {"wheat-white": 1.0}


def course(ratio: float, celsius: float, hours: float = 40.0) -> Course:
    culture = mature(WHITE, 1.0, median_traits())
    mixed = feed(culture, 100.0, {"wheat-white": 100.0 * ratio}, 100.0 * ratio, celsius)
    return hold(mixed, Constant(celsius), START, hours, median_traits())


# Common practice, no source: white or mixed wheat at 100 % hydration, a vigorous culture at 24 to
# 26 °C, hours to the peak by seed : flour : water.
@pytest.mark.parametrize(("ratio", "low", "high"), [(1, 4, 6), (2, 5, 8), (5, 8, 12), (10, 10, 16)])
def test_peaks_of_common_practice(ratio: float, low: float, high: float) -> None:
    assert low <= float(course(ratio, 25.0).peak_h()[0]) <= high


def test_twenty_degrees_take_about_seven_tenths_longer_than_twenty_five() -> None:
    """Derived from the rates of 1998: 1.7 times; the bacteria's smaller ratio pulls it down."""
    ratio = float(course(5, 20.0).peak_h()[0] / course(5, 25.0).peak_h()[0])
    assert ratio == pytest.approx(1.7, rel=0.1)


def test_each_doubling_of_the_dilution_costs_about_one_doubling_of_the_yeast() -> None:
    """Derived: from 1:5:5 on to 1:20:20 the seed is 11, 21 and 41 times thinner."""
    doubling = float(median_traits().yeast_doubling_h[0])
    peaks = [float(course(ratio, 25.0).peak_h()[0]) for ratio in (5, 10, 20)]
    thinner = [np.log2(21 / 11), np.log2(41 / 21)]
    for gained, doublings in zip(np.diff(peaks), thinner, strict=True):
        assert gained == pytest.approx(doublings * doubling, rel=0.3)


def wheat_case(share: float) -> Course:
    """Nutrients 2019, 11:2954, table 2: a mature leaven refreshed at dough yield 160, 30 °C."""
    leaven = raw({"wheat-white": 62.5}, water=37.5, celsius=30.0)
    leaven.states[:, S.YEAST] = 10**7.33
    leaven.states[:, S.BACTERIA] = 10**9.53
    leaven.states[:, [S.YEAST_READY, S.BACTERIA_READY]] = 1.5  # ours: not in the paper
    leaven.states[:, S.LACTIC] = 43.3e-3
    leaven.states[:, S.ACETIC] = 10.2e-3
    leaven.states[:, S.EARLY] = 0.0
    mixed = feed(leaven, 160.0 * share / (1 - share), {"wheat-white": 100.0}, 60.0, 30.0)
    return hold(mixed, Constant(30.0), START, 24.0, median_traits())


def test_the_wheat_case_at_thirty_degrees() -> None:
    """pH, counts (log10 per g) and acids (mmol/kg) at 4 h and 24 h, table 2 (seen).

    The share of leaven is not given and is the one thing left free: 15 % serves best. Tolerances:
    0.15 in pH and 0.3 in log counts (plating is good to about 0.2 to 0.3), 20 % in the acids.
    """
    after = wheat_case(share=0.15)
    four, day = 16, -1
    assert after.ph[0, four] == pytest.approx(4.26, abs=0.15)
    assert after.ph[0, day] == pytest.approx(3.55, abs=0.15)
    assert np.log10(after.bacteria[0, four]) == pytest.approx(9.18, abs=0.3)
    assert np.log10(after.bacteria[0, day]) == pytest.approx(9.75, abs=0.3)
    assert np.log10(after.yeast[0, four]) == pytest.approx(7.07, abs=0.3)
    assert np.log10(after.yeast[0, day]) == pytest.approx(7.50, abs=0.3)
    assert 1e3 * after.states[0, day, S.LACTIC] == pytest.approx(93.3, rel=0.2)
    assert 1e3 * after.states[0, day, S.ACETIC] == pytest.approx(20.3, rel=0.2)


def test_ph_of_the_published_acids() -> None:
    """The three rows of the same table: the acids measured give the pH measured, within 0.15."""
    for lactic, acetic, ph in ((43.3, 10.2, 3.89), (28.2, 6.2, 4.26), (93.3, 20.3, 3.55)):
        dough = raw({"wheat-white": 62.5}, water=37.5)
        dough.states[:, S.LACTIC] = lactic / 1e3
        dough.states[:, S.ACETIC] = acetic / 1e3
        held = hold(dough, Constant(4.0), START, 0.25, median_traits())
        assert held.ph[0, 0] == pytest.approx(ph, abs=0.15)


def test_san_francisco_dough_sours_within_its_proof() -> None:
    """A dough with 9.2 % ripe leaven goes from pH 5.3 to 3.9 in a 7 h proof (Food Biochemistry &
    Food Processing, ch. 27, seen; temperature not given, 30 °C taken). Ours starts higher and
    ends higher, by up to half a unit: stated, not hidden.
    """
    leaven = _ripe_stiff()
    flour = 100.0
    mixed = feed(leaven, 0.092 / 0.908 * 160.0, {"wheat-white": flour}, 0.6 * flour, 30.0)
    after = hold(mixed, Constant(30.0), START, 7.0, median_traits())
    assert after.ph[0, 0] == pytest.approx(5.3, abs=0.4)
    assert after.ph[0, -1] == pytest.approx(3.9, abs=0.5)


def _ripe_stiff() -> Mixture:
    return mature(WHITE, 0.5, median_traits())


# Facts of several papers (seen): mature leavens hold about a hundred bacteria to a yeast, 1e6 to
# 6e7 yeasts and up to several 1e9 bacteria per gram, at pH 3.5 to 4.1.
def test_a_mature_culture_is_what_was_counted() -> None:
    culture = mature(WHITE, 1.0, median_traits()).states[0]
    assert 1e6 <= culture[S.YEAST] <= 6e7
    assert 1e8 <= culture[S.BACTERIA] <= 6e9
    assert 30 <= culture[S.BACTERIA] / culture[S.YEAST] <= 300
    assert 3.5 <= culture[S.PH] <= 4.1
