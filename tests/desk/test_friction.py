"""Friction is learned from the doughs whose temperature was told at the end of their mix."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime, timedelta
from fractions import Fraction
from uuid import uuid4

import pytest
from tests.timetable.hall import NOW, SATURDAY, planned

from pointage.daybook.entry import Entry, EntryKind
from pointage.daybook.readings import Reading, ReadingKind
from pointage.daybook.store.store import Store
from pointage.desk.answers import (
    Bake,
    Report,
    StepNews,
    Wished,
)
from pointage.desk.desk import StoredDesk
from pointage.desk.kitchen.kitchens import demonstration_formulas, demonstration_text
from pointage.desk.now.learned.friction import learned_friction, seen_warming, seen_warmings
from pointage.desk.opening import take_in
from pointage.desk.plans import write_plan
from pointage.kitchen.file.read import read_kitchen
from pointage.timetable.plan import Plan

MINUTE = timedelta(minutes=1)
MIXERS = """
mixed_in = "Spiral"

[[mixer]]
name = "Spiral"
way = "spiral-slow"
friction = "5C"

[hours]"""


def bake(above_k: float, after: timedelta = 5 * MINUTE, kitchen: str | None = None) -> Bake:
    """A harbour loaf whose dough was told to be so far above its plan, so long after its mix."""
    plan = planned("harbour-loaf", SATURDAY)
    mix = next(step for step in plan.steps if step.key == "mix")
    assert mix.mixture_temperature_c is not None
    reading = Reading(ReadingKind.TEMPERATURE, mix.mixture_temperature_c + above_k, mix.end + after)
    wished = Wished("", kitchen or demonstration_text(), NOW, Fraction(900))
    news = {"mix": StepNews(done=mix.end), "bulk": StepNews(readings=(reading,))}
    return Bake(str(uuid4()), plan, news, wished)


def test_what_is_above_the_balance_is_friction() -> None:
    """The plan was made with 2 °C by hand: a dough 1.1 above it was warmed by 3.1."""
    assert seen_warming(bake(1.1)) == pytest.approx(3.1)
    told = bake(1.1)
    assert told.wished is not None
    taught = replace(told, wished=replace(told.wished, friction_k=3.0))
    assert seen_warming(taught) == pytest.approx(4.1)


def test_only_what_is_told_at_the_mix_counts() -> None:
    assert seen_warming(bake(1.1, after=25 * MINUTE)) is None
    assert seen_warming(bake(1.1, after=-30 * MINUTE)) is None
    told = bake(1.1)
    assert seen_warming(replace(told, news={"bulk": told.news["bulk"]})) is None
    assert seen_warming(replace(told, news={"mix": told.news["mix"]})) is None


def test_six_doughs_teach_and_one_wild_reading_does_not() -> None:
    kitchen = read_kitchen(demonstration_text(), NOW)
    doughs = [bake(above) for above in (0.9, 1.3, 1.0, 1.2, 1.4, 0.8)]
    learned = learned_friction(seen_warmings(doughs, kitchen), kitchen, 15.0, 7.0)
    assert learned.doughs == 6
    assert learned.kelvin == pytest.approx(3.1, abs=0.2)
    assert learned.spread_k < 0.6
    wild = learned_friction(seen_warmings([*doughs, bake(15.0)], kitchen), kitchen, 15.0, 7.0)
    assert wild.kelvin == pytest.approx(learned.kelvin, abs=0.2)


def test_each_way_of_mixing_learns_for_itself() -> None:
    by_hand = read_kitchen(demonstration_text(), NOW)
    text = demonstration_text().replace("\n[hours]", MIXERS)
    spiral = read_kitchen(text, NOW)
    assert spiral.gained_k(10.0, 7.0) == 5.0
    doughs = [bake(1.1) for _ in range(4)]
    assert learned_friction(seen_warmings(doughs, by_hand), by_hand, 15.0, 7.0).doughs == 4
    assert learned_friction(seen_warmings(doughs, spiral), spiral, 15.0, 7.0).kelvin == 5.0


@pytest.mark.long
def test_the_next_plan_goes_by_what_was_learned(store: Store) -> None:
    record = take_in(store, demonstration_text(), demonstration_formulas(), NOW)
    desk = StoredDesk(store, record.id, NOW, clock=lambda: SATURDAY)
    first = planned("harbour-loaf", SATURDAY)
    text = demonstration_formulas()["harbour-loaf"]
    for number in range(4):
        # One a week: a culture of 120 g cannot be woken for four of them in one night.
        key, earlier = str(uuid4()), number * timedelta(days=7)
        plan, at = planned("harbour-loaf", SATURDAY - earlier, now=NOW - earlier), NOW - earlier
        body = write_plan(plan, Wished(text, demonstration_text(), at, Fraction(900)))
        store.append(Entry(key, record.id, EntryKind.PLAN, at, at, "baker", body))
        _tell(desk, key, plan, above_k=2.0 + 0.1 * number)
    mix = desk.water.mix("harbour-loaf")
    learned = desk.water.friction_of(mix)
    assert learned.doughs == 4
    assert learned.kelvin > 3.5
    assert desk.water.warmths(mix).friction == round(learned.kelvin, 1)
    plan = desk.wish(str(uuid4()), "harbour-loaf", 8, SATURDAY + timedelta(days=3), SATURDAY)
    colder = _water(first.steps) - _water(plan.steps)
    assert colder > 1.5  # 2 °C less to be brought by water that is half of the dough's heat


def _tell(desk: StoredDesk, key: str, plan: Plan, above_k: float) -> None:
    mix = next(step for step in plan.steps if step.key == "mix")
    assert mix.mixture_temperature_c is not None

    def report(step: str, at: datetime) -> Report:
        return Report(str(uuid4()), key, step, at)

    desk.mark_done(report("mix", mix.end))
    celsius = mix.mixture_temperature_c + above_k
    desk.record_reading(report("bulk", mix.end + 5 * MINUTE), ReadingKind.TEMPERATURE, celsius)


def _water(steps: tuple[object, ...]) -> float:
    (found,) = (
        step.water_temperature_c  # type: ignore[attr-defined]
        for step in steps
        if step.key == "mix"  # type: ignore[attr-defined]
    )
    return float(found)
