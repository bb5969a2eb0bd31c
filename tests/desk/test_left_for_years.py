"""Dates that lie decades apart: no work, list or memory grows with them."""

from __future__ import annotations

import time
import tracemalloc
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from fractions import Fraction

import pytest
from tests.timetable.hall import NOW, kitchen

from pointage.culture.life import Fed, FeedStand, Life
from pointage.culture.raising import FeedDone, Raising, raise_days
from pointage.culture.weeks import (
    LONGEST,
    HowKept,
    Use,
    chores,
)
from pointage.desk.now.cultures.culture import courses, culture_now, spans_of
from pointage.kitchen.culture_state import culture_at
from pointage.kitchen.kitchen import CultureAtHand
from pointage.larder.upkeep import idle_feeds
from pointage.mixture.temperature.surroundings import Constant
from pointage.mixture.traits import draw_traits

LONG_AGO = datetime(1970, 1, 2, tzinfo=UTC)
HALL = kitchen()
PLOVER = next(each for each in HALL.cultures if each.name == "Plover")
SHARES = {"rye-whole": 1.0}


@contextmanager
def bounded(seconds: float = 2.0, megabytes: float = 200.0) -> Iterator[None]:
    """Fails when what is done within takes longer, or more memory at once."""
    tracemalloc.start()
    began = time.process_time()
    try:
        yield
        took, (_, most) = time.process_time() - began, tracemalloc.get_traced_memory()
    finally:
        tracemalloc.stop()
    assert took < seconds
    assert most / 1e6 < megabytes


def with_feeds(*instants: datetime, moved: tuple[datetime, ...] = ()) -> CultureAtHand:
    """Plover as fed and chilled at these instants, and moved at others after the last feed."""
    stands = [
        FeedStand(Fed(at, 10.0, {"rye-whole": 50.0}, 50.0), ((at, PLOVER.warm_place),))
        for at in instants
    ]
    places = (*stands[-1].places, *((at, PLOVER.place) for at in moved))
    stands[-1] = replace(stands[-1], places=places)
    life = Life("Plover", names=("Plover",), began=instants[0], stands=tuple(stands))
    return replace(PLOVER, fed=instants[-1], life=life)


YEARS = tuple(LONG_AGO + timedelta(days=365 * n) for n in range(56))
CASES: dict[str, Callable[[], CultureAtHand]] = {
    "never fed since": lambda: replace(PLOVER, fed=LONG_AGO),
    "fed once a year": lambda: with_feeds(*YEARS),
    "fed again after decades": lambda: with_feeds(LONG_AGO, NOW - timedelta(days=1)),
    "moved after decades": lambda: with_feeds(LONG_AGO, moved=(NOW - timedelta(days=1),)),
}


@pytest.mark.parametrize("case", CASES)
@pytest.mark.soon(1)
def test_a_culture_is_looked_at_in_two_seconds(case: str) -> None:
    culture = CASES[case]()
    courses(PLOVER, HALL, 1)  # what is read and compiled once
    with bounded():
        found = culture_now(culture, courses(culture, HALL, spans_of(culture, NOW)), NOW)
    assert found.standing is not None
    left = NOW - culture.fed > timedelta(days=200)
    assert (found.left_since is not None) == left
    with bounded():
        now = culture_at(culture, HALL, NOW, draw_traits(40, 1))
    assert now.mass == pytest.approx(culture.mass_g)


def test_a_young_culture_left_for_decades_is_looked_at_in_two_seconds() -> None:
    place = Constant(24.0)
    wish = Raising(SHARES, Fraction(1), Fraction(50), place, LONG_AGO, 20.0)
    done = [FeedDone(at, 50.0, {"rye-whole": 50.0}, 50.0, place) for at in (LONG_AGO, NOW)]
    with bounded():
        days = raise_days(wish, 2, done=done, now=NOW)
    assert [day.at for day in days[:2]] == [LONG_AGO, NOW]


def test_bake_days_of_a_culture_fed_decades_ago() -> None:
    keeping = HowKept(Fraction(1), lambda days: 2, 10.0, 2.0, Fraction(1, 5), Fraction(20))
    use = Use(NOW + timedelta(days=5), Fraction(100))
    with bounded():
        found = chores(LONG_AGO, [use], keeping)
    assert found[0].at >= use.at - LONGEST
    assert found[-1].at == use.at


def test_a_week_of_idle_feeds_is_one_week_whenever_it_was_fed() -> None:
    assert idle_feeds(LONG_AGO, NOW, NOW + timedelta(days=8)) == [NOW, NOW + timedelta(days=7)]
