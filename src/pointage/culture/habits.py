"""Habits: the ways to keep a culture that is baked with now and then, and what each wastes.

Whatever is fed to a culture and does not go into bread is discarded in the end, so a way is judged
by that and by the times it asks for hands.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import UTC, datetime
from enum import StrEnum
from fractions import Fraction

from pointage.culture.upkeep import Upkeep
from pointage.culture.weeks import DAY, Chore, ChoreKind, HowKept, Use, kept_cold

WEEK_D = Fraction(7)
LEAST_COLD_D = 2.0
"""Days between bakes from which a rest in the cold is worth the while: ours."""
LONGEST_WARM_D = 7.0
"""Days between bakes up to which anybody feeds it in the warm all the while: ours."""
LEAST_DRIED_D = 28.0
"""Days between bakes from which it may as well be dried: ours."""
DRIED_FEEDS = 4
"""Feeds that bring dried flakes back, over two to four days: common practice, no source."""
LAST_BAKE = datetime(2026, 1, 5, 8, tzinfo=UTC)
"""The bake after which the chores of a habit are counted: any day."""


class KeptBetween(StrEnum):
    """How it is kept between two bakes."""

    WARM = "warm"  # fed in a rhythm
    COLD = "cold"  # in the cold, fed again before that surely holds no more
    LEFT = "left"  # in the cold and left there, and woken with more feeds
    DRIED = "dried"  # dried flakes, for which nothing is done at all


@dataclass(frozen=True, slots=True)
class Habit:
    """One way to keep it from bake to bake, `every_d` days apart.

    place: where it is fed; upkeep: of a rhythm there. chores: what is to be done from the bake to
    the next, that one left out. fresh_g: flour and water fed in that time; waste_g: what of it goes
    into no bread; feeds: times that hands are asked for. sure: whether it surely (nine times in
    ten) lasts so.
    """

    way: KeptBetween
    place: str
    every_d: float
    needed_g: Fraction
    fresh_g: Fraction
    flour_g: Fraction
    feeds: int
    sure: bool
    upkeep: Upkeep | None = None
    chores: tuple[Chore, ...] = ()

    @property
    def next_bake(self) -> datetime:
        """The bake that its chores lead to."""
        return LAST_BAKE + self.every_d * DAY

    @property
    def waste_g(self) -> Fraction:
        """What goes into no bread, from bake to bake."""
        return max(self.fresh_g - self.needed_g, Fraction())

    def a_week(self, grams: Fraction) -> Fraction:
        """So much from bake to bake, as a week's."""
        return grams * WEEK_D / Fraction(self.every_d).limit_denominator(100)


def fed_in_the_warm(place: str, every_d: float, needed_g: Fraction, found: Upkeep) -> Habit:
    """A rhythm, from bake to bake."""
    feeds = max(1, round(every_d * 24 / found.rhythm.every_h))
    fresh, flour = feeds * found.feed.fresh_g, feeds * found.feed.flour_g
    return Habit(KeptBetween.WARM, place, every_d, needed_g, fresh, flour, feeds, True, found)


def rested(
    place: str, every_d: float, needed_g: Fraction, keeping: HowKept, *, left: bool = False
) -> Habit:
    """A rest in the cold from bake to bake. left: it is not fed in between, however long it is."""
    how = replace(keeping, rest_d=10 * every_d) if left else keeping
    use = Use(LAST_BAKE + every_d * DAY, needed_g)
    found = kept_cold(LAST_BAKE, use, how)
    fresh = sum((each.flour_g + each.water_g for each in found), Fraction())
    flour = sum((each.flour_g for each in found), Fraction())
    hands = sum(each.kind is not ChoreKind.CHILL for each in found)
    sure = not left or every_d <= keeping.rest_d
    way = KeptBetween.LEFT if left else KeptBetween.COLD
    return Habit(way, place, every_d, needed_g, fresh, flour, hands, sure, None, tuple(found))


def dried(place: str, every_d: float, needed_g: Fraction, keeping: HowKept) -> Habit:
    """Nothing until a few days before the bake, then the feeds that bring it back."""
    how = replace(keeping, waking=lambda days: DRIED_FEEDS)
    found = rested(place, every_d, needed_g, how, left=True)
    woken = tuple(each for each in found.chores if each.kind is ChoreKind.WAKE)
    flour = sum((each.flour_g for each in woken), Fraction())
    fresh = flour + sum((each.water_g for each in woken), Fraction())
    return replace(
        found, way=KeptBetween.DRIED, fresh_g=fresh, flour_g=flour, feeds=len(woken), sure=True,
        chores=woken,
    )  # fmt: skip


def least_waste_first(habits: Sequence[Habit]) -> tuple[Habit, ...]:
    """What need not be dried first, for that is the most work; of these what surely lasts, then the
    least waste and work."""
    return tuple(
        sorted(
            habits, key=lambda it: (it.way is KeptBetween.DRIED, not it.sure, it.waste_g, it.feeds)
        )
    )
