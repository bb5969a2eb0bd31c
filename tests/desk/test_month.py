"""A month of Skerry Hall, replayed: two cultures, an idle fortnight, and a recovery.

Gannet bakes on two days, rests through a fortnight in which nobody comes, and is woken as advised.
Plover is fed now and then, and one of its feeds is told late. All numbers follow from the entries.
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from fractions import Fraction
from itertools import count
from pathlib import Path

import numpy as np
import pytest

from pointage.culture.rest import waking
from pointage.culture.weeks import ChoreKind, Use
from pointage.daybook.entry import EntryKind
from pointage.daybook.store.store import Store, open_store
from pointage.desk.desk import StoredDesk
from pointage.desk.kitchen.kitchens import demonstration_formulas, demonstration_text
from pointage.desk.opening import take_in
from pointage.kitchen.culture_state import culture_at
from pointage.mixture.traits import draw_traits

FIRST = datetime(2026, 11, 2, 8, tzinfo=UTC)  # a Monday
TRAITS = draw_traits(40, seed=9)


class Hall:
    """The kitchen through time: its clock, and short ways to tell the daybook."""

    def __init__(self, store: Store, kitchen: str) -> None:
        self.now = FIRST
        self._numbers = count(1)
        self.desk = StoredDesk(store, kitchen, since=FIRST, clock=lambda: self.now)

    def tell(self, day: float, kind: EntryKind, **body: object) -> str:
        """An entry of so many days after the first; the clock has come as far by then."""
        at = FIRST + timedelta(days=day)
        self.now = max(self.now, at)
        entry = f"00000000-0000-4000-8000-{next(self._numbers):012d}"
        self.desk.records.record(entry, kind, at, body)
        return entry

    def fed(self, day: float, culture: str, seed: float, flour: float, place: str) -> str:
        kind = "rye-whole" if culture == "Gannet" else "wheat-white"
        wet = flour if culture == "Gannet" else 0.6 * flour
        parts = [{"ingredient": kind, "grams": flour}, {"ingredient": "water", "grams": wet}]
        return self.tell(day, EntryKind.FED, culture=culture, seed_g=seed, parts=parts, place=place)

    def chilled(self, day: float, culture: str) -> str:
        return self.tell(day, EntryKind.HELD, culture=culture, place="Fridge")

    def taken(self, day: float, culture: str, grams: float, what_for: str) -> str:
        parts = [{"culture": culture, "grams": grams}, {"ingredient": "rye-whole", "grams": 400}]
        return self.tell(day, EntryKind.MIXED, parts=parts, remark=what_for)


@pytest.fixture
def hall(tmp_path: Path) -> Iterator[Hall]:
    with open_store(f"sqlite:///{tmp_path / 'month.db'}") as store:
        record = take_in(store, demonstration_text(), demonstration_formulas(), FIRST)
        yield Hall(store, record.id)


def first_week(hall: Hall) -> None:
    """Woken on Tuesday, baked from on Wednesday, put back; Plover fed and chilled."""
    hall.fed(1.0, "Gannet", 50, 100, "Boiler cupboard")
    hall.fed(1.5, "Gannet", 50, 100, "Boiler cupboard")
    hall.taken(2.0, "Gannet", 200, "Tinned rye")
    hall.fed(2.01, "Gannet", 20, 60, "Boiler cupboard")
    hall.chilled(2.1, "Gannet")
    hall.fed(3.0, "Plover", 30, 75, "Boiler cupboard")
    hall.chilled(3.15, "Plover")


def test_grams_by_hand(hall: Hall) -> None:
    first_week(hall)
    gannet = hall.desk.kitchen().culture("Gannet")
    assert gannet.mass_g == 20 + 60 + 60
    assert gannet.place == "Fridge"
    assert gannet.life is not None
    assert gannet.life.oddities == ()
    assert [each.what_for for each in gannet.life.made] == ["Tinned rye"]
    plover = hall.desk.kitchen().culture("Plover")
    assert plover.mass_g == 30 + 75 + 45
    assert plover.hydration == pytest.approx(0.6)


def test_an_idle_fortnight_and_a_recovery(hall: Hall) -> None:
    first_week(hall)
    hall.now = FIRST + timedelta(days=3)
    advice = hall.desk.care("Gannet").rest()
    assert 2.1 + advice.remind_after_d < 3 + 14 + 10  # told before it is over, not after

    hall.now = FIRST + timedelta(days=17)  # nobody came
    kitchen = hall.desk.kitchen()
    rested = culture_at(kitchen.culture("Gannet"), kitchen, hall.now, TRAITS)
    cold = kitchen.place("Boiler cupboard").surroundings
    at_first = waking(
        rested, flours={"rye-whole": 1.0}, hydration=1.0, place=cold, start=hall.now, traits=TRAITS
    )
    assert at_first.odds[0] < 0.5  # one feed is not enough after a fortnight
    assert at_first.feeds in (2, 3)

    bread = FIRST + timedelta(days=20)
    chores = hall.desk.care("Gannet").weeks([Use(bread, Fraction(100))])
    wakes = [chore for chore in chores if chore.kind is ChoreKind.WAKE]
    assert len(wakes) >= 2
    assert wakes[-1].total_g >= 100
    left = float(kitchen.culture("Gannet").mass_g)
    for chore in wakes:  # as advised
        assert float(chore.seed_g) <= left
        day = (chore.at - FIRST) / timedelta(days=1)
        hall.fed(day, "Gannet", float(chore.seed_g), float(chore.flour_g), "Boiler cupboard")
        left = float(chore.total_g)
    hall.now = bread
    kitchen = hall.desk.kitchen()
    awake = culture_at(kitchen.culture("Gannet"), kitchen, bread, TRAITS)
    again = waking(
        awake, flours={"rye-whole": 1.0}, hydration=1.0, place=cold, start=bread, traits=TRAITS
    )
    assert again.odds[0] >= 0.9
    assert hall.desk.lives()[0].oddities == ()


def test_a_feed_told_late_takes_its_place(hall: Hall) -> None:
    first_week(hall)
    hall.fed(10.0, "Plover", 40, 100, "Hall")
    before = hall.desk.kitchen().culture("Plover")
    assert before.life is not None
    hall.fed(8.0, "Plover", 140, 300, "Hall")  # it happened before the last one
    after = hall.desk.kitchen().culture("Plover")
    assert after.fed == before.fed
    assert after.mass_g == before.mass_g
    assert after.life is not None
    assert len(after.life.stands) == len(before.life.stands) + 1
    now = hall.now = FIRST + timedelta(days=11)
    kitchen = hall.desk.kitchen()
    counts = [
        np.median(culture_at(each, kitchen, now, TRAITS).states[:, 1]) for each in (before, after)
    ]
    assert counts[0] != counts[1]  # the forecast follows


def test_a_slip_is_said_and_a_correction_mends_it(hall: Hall) -> None:
    first_week(hall)
    slip = hall.fed(5.0, "Gannet", 500, 100, "Hall")  # fifty was meant
    life = hall.desk.lives()[0]
    (odd,) = life.oddities
    assert (odd.field, odd.value, odd.counts) == ("seed_g", "500 g", True)
    assert "the 140 g that there were" in odd.expected
    body = {
        "culture": "Gannet",
        "seed_g": 50,
        "parts": [{"ingredient": "rye-whole", "grams": 100}, {"ingredient": "water", "grams": 100}],
        "place": "Hall",
    }
    hall.desk.records.correct("00000000-0000-4000-8000-00000000ffff", slip, body, why="a slip")
    gannet = hall.desk.kitchen().culture("Gannet")
    assert gannet.mass_g == 250
    assert hall.desk.lives()[0].oddities == ()
