"""Several ovens, and a fridge, baskets and tins that do not hold everything."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
from tests.timetable.hall import NOW, SATURDAY, formula, kitchen, of_kind, planned, step

from pointage.desk.bakes.plan import plan_bake, plan_json, shortage_words
from pointage.desk.wording import conflict_words
from pointage.errors import InputError
from pointage.formula.file.read import read_formula
from pointage.formula.file.write import write_formula
from pointage.formula.formula import Process
from pointage.kitchen.capacity import HANDS, CapacityKind
from pointage.kitchen.kitchen import Oven
from pointage.timetable.occupied import Occupied, occupied_by
from pointage.timetable.oven import load_of, ovens_for
from pointage.timetable.plan import Plan, Status
from pointage.timetable.problem import Problem
from pointage.timetable.remark import ConflictName
from pointage.timetable.shortage import shortages
from pointage.timetable.week.uses import _loads

ALONE = '[oven]\nname = "Deck oven"\n'
TWO = (
    ALONE,
    '[[oven]]\nname = "Pot oven"\nloaves = 8\nrolls = 48\npreheat = "45min"\nhottest = "300C"\n\n'
    '[[oven]]\nname = "Deck oven"\n',
)
ROOM = 'room = "90l"'


def named(oven: str) -> Process:
    process = formula("harbour-loaf").process
    assert process is not None
    return replace(process, oven_name=oven)


def oven_of(plan: Plan) -> set[tuple[str, str]]:
    return {(each.place, each.capacity) for each in of_kind(plan, "preheat", "bake")}


def test_the_first_oven_is_taken_and_named_at_its_steps() -> None:
    plan = planned("harbour-loaf", changes=(TWO,))
    assert oven_of(plan) == {("Pot oven", "Pot oven")}
    assert plan.thread is not None
    assert plan.thread.oven == "Pot oven"
    assert {each.capacity for each in plan.steps} == {"", "Pot oven"}


def test_a_bake_at_the_hour_of_another_takes_the_other_oven() -> None:
    """All of the first oven is taken that day, none of the hands: the second is as good."""
    first = planned("harbour-loaf", changes=(TWO,))
    day = (SATURDAY - timedelta(hours=12), SATURDAY + timedelta(hours=12))
    second = planned("harbour-loaf", changes=(TWO,), occupied=(Occupied("Pot oven", *day),))
    assert oven_of(second) == {("Deck oven", "Deck oven")}
    assert step(second, "bake-1").end == step(first, "bake-1").end
    lit = step(second, "bake-1").start - step(second, "preheat").start
    assert lit == timedelta(minutes=60)  # the deck oven's own


def test_another_oven_at_work_is_not_in_the_way() -> None:
    free = planned("harbour-loaf", changes=(TWO,))
    day = (SATURDAY - timedelta(hours=12), SATURDAY + timedelta(hours=12))
    busy = planned("harbour-loaf", changes=(TWO,), occupied=(Occupied("Deck oven", *day),))
    assert busy.steps == free.steps


@pytest.mark.long
def test_both_ovens_at_work_are() -> None:
    day = (NOW, SATURDAY + timedelta(hours=12))
    taken = (Occupied("Deck oven", *day), Occupied("Pot oven", *day))
    plan = planned("harbour-loaf", changes=(TWO,), occupied=taken)
    assert plan.status is Status.IMPOSSIBLE
    assert ConflictName.OTHER_BAKES in {each.name for each in plan.conflicts}


def test_the_formula_names_its_oven() -> None:
    hall, loaf = kitchen(NOW, TWO), formula("harbour-loaf")
    wanted = replace(loaf, process=named("deck oven"))
    assert oven_of(plan_bake(wanted, hall, SATURDAY, NOW)) == {("Deck oven", "Deck oven")}
    written = read_formula(write_formula(wanted), loaf.slug)
    assert written.process == wanted.process
    with pytest.raises(InputError, match=r"oven_name.*an oven of Skerry Hall: Pot oven, Deck oven"):
        plan_bake(replace(loaf, process=named("Kiln")), hall, SATURDAY, NOW)
    only = plan_bake(replace(loaf, process=named("Kiln")), kitchen(), SATURDAY, NOW)
    assert oven_of(only) == {("Deck oven", "Deck oven")}  # the one there is


def test_the_first_oven_that_gets_hot_enough() -> None:
    """The harbour loaf bakes at 240 °C."""
    cool = Oven("Cool", 4, 24, 20.0, hottest_c=230.0)
    hot, unsaid = Oven("Hot", 6, 36, 20.0, hottest_c=240.0), Oven("Unsaid", 6, 36, 20.0)
    process = named("")
    assert ovens_for((cool, hot, unsaid), process) == (hot, unsaid)
    assert ovens_for((cool, unsaid), process) == (unsaid,)
    assert ovens_for((cool,), process) == (cool,)
    assert load_of(cool, process) == 4
    assert load_of(cool, replace(process, shape="roll")) == 24
    low = kitchen(NOW, ('preheat = "60min"', 'preheat = "60min"\nhottest = "230C"'))
    with pytest.raises(InputError, match=r"oven: 240C .* at most 230C"):
        plan_bake(formula("harbour-loaf"), low, SATURDAY, NOW)


def test_what_a_plan_occupies() -> None:
    """Eight loaves in baskets of 1.9 l, whether they proof in the cupboard or in the fridge."""
    plan = planned("harbour-loaf")
    found = occupied_by(plan, kitchen())
    hands = [each for each in found if each.capacity == HANDS]
    assert len(hands) == sum(each.hands for each in plan.steps)
    oven = next(each for each in found if each.capacity == "Deck oven")
    assert (oven.start, oven.end) == (step(plan, "preheat").start, step(plan, "bake-1").end)
    wait = of_kind(plan, "proof", "retard")[0]
    baskets = next(each for each in found if each.capacity == "Basket")
    assert (baskets.start, baskets.end, baskets.amount) == (wait.start, wait.end, 8)
    litres = [each.amount for each in found if each.capacity == "Fridge"]
    assert litres == ([pytest.approx(8 * 1.9)] if wait.kind == "retard" else [])


def test_an_oven_that_was_renamed_is_still_at_work() -> None:
    plan = planned("harbour-loaf")
    renamed = kitchen(NOW, ('"Deck oven"', '"Hearth"'))
    assert "Hearth" in {each.capacity for each in occupied_by(plan, renamed)}
    two = kitchen(NOW, (TWO[0], TWO[1].replace("Deck oven", "Hearth")))
    assert {"Hearth", "Pot oven"} <= {each.capacity for each in occupied_by(plan, two)}


@pytest.mark.long
def test_two_bakes_an_hour_apart_are_possible_with_two_ovens() -> None:
    """Loaves at nine, rolls at ten: the one oven is hot with loaves when it should be lit."""
    for changes, kept in (((), False), ((TWO,), True)):
        loaves = planned("harbour-loaf", changes=changes)
        occupied = occupied_by(loaves, kitchen(NOW, *changes))
        ten = SATURDAY + timedelta(hours=1)
        rolls = planned("seeded-rolls", ten, changes=changes, occupied=occupied)
        assert (rolls.status is Status.BEST) is kept
        if kept:
            assert oven_of(loaves) == {("Pot oven", "Pot oven")}
            assert oven_of(rolls) == {("Deck oven", "Deck oven")}


@pytest.mark.long
def test_a_full_fridge_stands_in_the_way_and_what_frees_it_does() -> None:
    """Eight loaves at nine are retarded, in 15.2 l; with 10 there is room for five of them."""
    small, enough = (ROOM, 'room = "10l"'), (ROOM, 'room = "15.2l"')
    plan = planned("harbour-loaf", changes=(small,))
    assert plan.status is Status.IMPOSSIBLE
    clash = next(each for each in plan.conflicts if each.name == "fridge")
    sentence, relaxed = conflict_words(clash, ZoneInfo("Europe/Dublin"))
    assert "15.2 l of the fridge" in sentence
    assert "10 l are free" in sentence
    assert "5.2 l more" in relaxed
    assert "5 of 8 pieces" in relaxed
    assert planned("harbour-loaf", changes=(small,), pieces=5).status is Status.BEST
    unsaid = planned("harbour-loaf", changes=((ROOM, ""),))
    assert planned("harbour-loaf", changes=(enough,)).steps == unsaid.steps


@pytest.mark.long
def test_a_fridge_that_another_bake_fills() -> None:
    all_week = Occupied("Fridge", NOW, SATURDAY + timedelta(hours=2), 80.0)
    plan = planned("harbour-loaf", occupied=(all_week,))
    clash = next(each for each in plan.conflicts if each.name == "fridge")
    assert "or from Sat 28 Nov 11:00 on" in conflict_words(clash, ZoneInfo("Europe/Dublin"))[1]
    assert "other-bakes" in {each.name for each in plan.conflicts}


def problem(*occupied: Occupied, pieces: int = 8) -> Problem:
    whole, hall = formula("harbour-loaf"), kitchen()
    culture = hall.culture("Plover")
    return Problem(whole, hall, culture, NOW, SATURDAY, pieces, whole.piece_g, occupied)


def at(hour: int) -> datetime:
    return NOW.replace(hour=hour)


def test_a_fridge_with_too_little_room() -> None:
    """90 l, of which another bake has 80 from nine to twelve and 20 from eleven to three.

    Eight baskets of 1.9 l are 15.2 l: 10 l are free at ten, none once both are there. From twelve
    on 70 l are.
    """
    others = (Occupied("Fridge", at(9), at(12), 80.0), Occupied("Fridge", at(11), at(15), 20.0))
    (early,) = shortages(problem(*others), at(9), at(10), retarded=True)
    assert (early.name, early.unit) == ("fridge", "l")
    assert early.needed == pytest.approx(15.2)
    assert early.free == pytest.approx(10)
    assert early.most_pieces == 5
    assert early.free_from == at(12)
    (later,) = shortages(problem(*others), at(9), at(14), retarded=True)
    assert (later.free, later.most_pieces) == (0, 0)
    assert later.missing == pytest.approx(15.2)
    assert shortages(problem(*others), at(12), at(20), retarded=True) == ()
    assert shortages(problem(*others), at(9), at(10), retarded=False) == ()


def test_baskets_that_other_loaves_are_in() -> None:
    """Of 12 baskets 6 are taken until noon: two loaves of eight have none, and 13 never have."""
    taken = Occupied("Basket", at(9), at(12), 6)
    (found,) = shortages(problem(taken), at(10), at(11), retarded=False)
    assert (found.name, found.kind) == ("baskets", CapacityKind.BASKET)
    assert (found.needed, found.free, found.missing) == (8, 6, 2)
    assert found.free_from == at(12)
    assert shortages(problem(taken), at(12), at(13), retarded=False) == ()
    (never,) = shortages(problem(pieces=13), at(10), at(11), retarded=False)
    assert (never.free, never.free_from, never.most_pieces) == (12, None, 12)


@pytest.mark.long
def test_a_plan_short_of_baskets_stands_and_says_so() -> None:
    plan = planned("harbour-loaf", pieces=24, changes=(("loaves = 8", "loaves = 24"),))
    assert plan.status is Status.BEST
    (found,) = plan.shortages
    assert (found.capacity, found.needed, found.free) == ("Basket", 24, 12)
    assert shortage_words(found) == "Basket: 24 are needed at once and 12 are free."
    told = plan_json(plan)["shortages"]
    assert [(each["name"], each["most_pieces"]) for each in told] == [("baskets", 12)]
    assert planned("harbour-loaf").shortages == ()


def test_pieces_of_a_later_load_wait_with_those_of_the_first() -> None:
    """Until the first load is in the oven all of them need a basket, then those of the second."""
    taken = dict(_loads(problem(pieces=12), retarded=True))
    assert taken["Basket"] == [12, 4]
    every, second = taken["Fridge"]
    assert every == pytest.approx(3 * second, abs=3)  # tenths of a litre, each rounded up
