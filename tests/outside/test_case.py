"""The rule by which a case holds can say no."""

from __future__ import annotations

import math

from tests.outside.case import Case


def nothing() -> float:
    return 0.0


def test_a_number_is_held_within_its_tolerance() -> None:
    assert Case("", 2.0, nothing, 0.1).holds(2.1)
    assert not Case("", 2.0, nothing, 0.1).holds(2.11)
    assert Case("", 20.0, nothing, 0.1, relative=True).holds(21.9)
    assert not Case("", 20.0, nothing, 0.1, relative=True).holds(22.1)


def test_a_range_is_held_as_it_stands() -> None:
    between = Case("", (4.0, 6.0), nothing)
    assert between.holds(4.0)
    assert between.holds(6.0)
    assert not between.holds(6.01)
    assert not between.holds(3.99)


def test_no_value_never_holds() -> None:
    assert not Case("", (4.0, 6.0), nothing, 100.0).holds(math.nan)
    assert not Case("", 4.0, nothing, 100.0).holds(math.nan)
