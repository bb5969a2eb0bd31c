"""Changing a culture: the geometric series, and masses that are kept."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pointage.culture.change import (
    Made,
    change,
    feeds_until,
    remaining,
)
from pointage.errors import InputError

RYE = Made({"rye-whole": Fraction(1)}, Fraction(1))
STIFF_WHEAT = Made({"wheat-white": Fraction(1)}, Fraction(3, 5))


@given(st.fractions(Fraction(1, 100), Fraction(99, 100)), st.integers(1, 12))
def test_what_remains_is_the_geometric_series(keep: Fraction, feeds: int) -> None:
    """Keeping a fraction k leaves k^n of the first mass after n feeds."""
    assert remaining([keep] * feeds) == tuple(keep**n for n in range(1, feeds + 1))


@given(st.fractions(Fraction(1, 100), Fraction(9, 10)))
def test_the_feeds_until_a_hundredth_are_the_fewest(keep: Fraction) -> None:
    feeds = feeds_until(keep)
    assert keep**feeds <= Fraction(1, 100)
    assert feeds == 1 or keep ** (feeds - 1) > Fraction(1, 100)


def test_by_hand() -> None:
    """A fifth kept: 1/5, 1/25, 1/125; 0.8 % is left after three feeds."""
    feeds = change(RYE, STIFF_WHEAT, keep_share=Fraction(1, 5), total_g=Fraction(200))
    assert [feed.old for feed in feeds] == [Fraction(1, 5), Fraction(1, 25), Fraction(1, 125)]
    assert feeds[0].keep_g == 40  # 20 g of flour: 125 in all make 105 fresh, and 55 g of water
    assert feeds[0].flours_g == {"wheat-white": 105}
    assert feeds[0].water_g == 55
    assert float(feeds[-1].made.flours["rye-whole"]) == pytest.approx(0.008, rel=0.3)
    assert feeds[-1].reached


@given(st.integers(5, 60), st.integers(60, 2000), st.integers(50, 150), st.integers(50, 150))
def test_every_feed_makes_the_whole(keep: int, total: int, was: int, will: int) -> None:
    now = Made({"rye-whole": Fraction(1)}, Fraction(was, 100))
    wanted = Made({"wheat-white": Fraction(1)}, Fraction(will, 100))
    try:
        feeds = change(
            now, wanted, keep_share=Fraction(keep, 100), total_g=Fraction(total), feeds=4
        )
    except InputError as refused:
        assert refused.field == "keep"  # noqa: PT017, it may well be refused
        return
    for feed in feeds:
        assert feed.keep_g + sum(feed.flours_g.values()) + feed.water_g == total
        assert sum(feed.made.flours.values()) == 1
        assert min(feed.keep_g, feed.water_g, *feed.flours_g.values()) >= 0


@pytest.mark.parametrize("keep", [Fraction(0), Fraction(1), Fraction(-1), Fraction(3, 2)])
def test_a_share_that_is_none_is_refused(keep: Fraction) -> None:
    with pytest.raises(InputError, match="between 0 and 1"):
        feeds_until(keep)
