"""What changed between two bakes: one thing moved at a time, told first when it acts the most."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

import pytest
from tests.timetable.hall import NOW

from pointage.desk.kitchen.kitchens import demonstration_formulas, demonstration_text
from pointage.desk.wording import difference_words
from pointage.formula.file.read import read_formula
from pointage.kitchen.file.read import read_kitchen
from pointage.timetable.changed import Difference, Worked, compare
from pointage.timetable.plan import Feed, Thread
from pointage.timetable.problem import Problem

READY = NOW + timedelta(days=4)


def worked(**changes: object) -> Worked:
    formula = read_formula(demonstration_formulas()["harbour-loaf"])
    kitchen = read_kitchen(demonstration_text(), NOW)
    problem = Problem(
        formula, kitchen, kitchen.culture("Plover"), NOW, READY, formula.pieces, formula.piece_g
    )
    thread = Thread(
        feeds=(Feed(READY - timedelta(hours=38), 0.05),),
        soaks=(),
        mix=READY - timedelta(hours=26.75),
        divide=READY - timedelta(hours=21.75),
        shaped=READY - timedelta(hours=20.9),
        retarded=True,
        preheat=READY - timedelta(hours=1.8),
        loads=(READY - timedelta(hours=0.8),),
    )
    return replace(Worked(problem, thread, dough_c=25.0), **changes)  # type: ignore[arg-type]


def only(found: tuple[Difference, ...], kind: str) -> Difference:
    assert [each.kind for each in found] == [kind]
    return found[0]


def test_nothing_changed_is_nothing_told() -> None:
    assert compare(worked(), worked()) == ()


def test_a_cooler_dough_is_slower_and_the_way_back_is_faster() -> None:
    """Cooler is slower: the trade's first rule; common practice, no source."""
    cooler = only(compare(worked(), worked(dough_c=22.9)), "dough")
    assert "2.1 °C cooler (22.9 against 25 °C)" in difference_words(cooler)
    assert difference_words(cooler).endswith("slower.")
    assert cooler.sooner is not None
    assert timedelta(minutes=10) < -cooler.sooner < timedelta(hours=2)
    warmer = only(compare(worked(dough_c=22.9), worked()), "dough")
    assert warmer.sooner == pytest.approx(-cooler.sooner, abs=timedelta(minutes=2))


def test_more_seed_and_an_older_levain_are_faster() -> None:
    thread = worked().thread
    seeded = replace(thread, feeds=(Feed(thread.feeds[0].at, 0.10),))
    more = only(compare(worked(), worked(thread=seeded)), "seed")
    assert "more seed (10 % against 5 %" in difference_words(more)
    assert more.sooner is not None
    assert more.sooner > timedelta()
    young = replace(thread, feeds=(Feed(thread.feeds[0].at + timedelta(hours=3), 0.05),))
    less = only(compare(worked(), worked(thread=young)), "age")
    assert "3 h younger" in difference_words(less)
    assert less.sooner is not None
    assert less.sooner < timedelta()


def test_a_colder_cupboard_is_slower() -> None:
    text = demonstration_text().replace('temperature = "26C"', 'temperature = "22C"')
    kitchen = read_kitchen(text, NOW)
    # Only the bulk is compared: its levain is taken as it was, by a place of the same name.
    before = worked()
    after = worked(problem=replace(before.problem, kitchen=kitchen))
    found = {each.kind.value: each for each in compare(before, after)}
    assert "Boiler cupboard was 4 °C cooler (22 against 26 °C)" in difference_words(found["place"])
    assert found["place"].sooner is not None
    assert found["place"].sooner < timedelta()


def test_a_formula_with_less_levain_is_slower_and_says_what_was_changed() -> None:
    text = demonstration_formulas()["harbour-loaf"]
    before = worked()
    less = read_formula(
        text.replace("flour = 18 ", "flour = 10 ").replace("water = 72", "water = 70")
    )
    after = worked(problem=replace(before.problem, formula=less))
    found = next(each for each in compare(before, after) if each.kind == "formula")
    assert "water 70 % against 72 %" in difference_words(found)
    assert "levain 10 % of the flour against 18 %" in difference_words(found)
    assert found.sooner is not None
    assert found.sooner < -timedelta(minutes=10)


def test_the_strongest_comes_first_and_what_is_not_calculated_last() -> None:
    thread = worked().thread
    shifted = replace(
        thread,
        feeds=(Feed(thread.feeds[0].at - timedelta(minutes=20), 0.05),),
        loads=(thread.loads[0] + timedelta(hours=2),),
    )
    after = worked(
        thread=shifted, dough_c=21.0, oven_c=230.0, minutes=45.0, author="Isla", divided_rise=1.6
    )
    found = compare(worked(oven_c=240.0, minutes=42.0, author="baker", divided_rise=1.5), after)
    assert [each.kind for each in found] == [
        "dough", "age", "rise", "proof", "oven", "minutes", "hands",
    ]  # fmt: skip
    assert all(each.sooner is None for each in found[2:])
    assert "230 against 240 °C" in difference_words(found[4])
