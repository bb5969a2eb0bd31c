"""Which bakes share a firing, and what each bears of it, by hand."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from fractions import Fraction

import pytest
from tests.timetable.hall import NOW, formula, kitchen

from pointage.desk.answers import Bake
from pointage.desk.calculators.firing import energy_kwh, formula_kwh
from pointage.timetable.plan import (
    Plan,
    Status,
    Step,
    StepKind,
)

SIX = datetime(2026, 11, 28, 6, tzinfo=UTC)
MINUTE = timedelta(minutes=1)


def bake(key: str, lit: int, loads: list[tuple[int, int]], oven: str = "") -> Bake:
    """A bake whose oven is lit `lit` minutes after six, with loads from and to such minutes."""
    times = SIX + lit * MINUTE, SIX + (lit + 5) * MINUTE
    steps = [Step("preheat", StepKind.PREHEAT, *times, True, oven)]
    for number, (start, end) in enumerate(loads, start=1):
        times = SIX + start * MINUTE, SIX + end * MINUTE
        steps.append(Step(f"bake-{number}", StepKind.BAKE, *times, True, oven, pieces=8))
    plan = Plan("Loaf", "Plover", SIX, "UTC", 8, 900.0, tuple(steps), Status.BEST, None, None)
    return Bake(key, plan)


def test_a_bake_alone_bears_all_of_its_firing() -> None:
    """An hour at 9 kW, then 100 min at 45 % of it: 9 + 6.75 = 15.75 kWh."""
    found = energy_kwh([bake("a", 0, [(60, 110), (110, 160)])], kitchen(NOW))
    assert found == {"a": Fraction("15.75")}


def test_bakes_that_follow_on_heat_up_once() -> None:
    """The second is lit 20 min after the first is out: kept hot from 60 to 190 min, 130 min.

    9 + 9 × 0.45 × 130/60 = 17.775 kWh, shared 50 to 50 minutes in the oven and 30: 5/8 and 3/8.
    """
    first, second = bake("a", 0, [(60, 110)]), bake("b", 130, [(160, 190)])
    found = energy_kwh([second, first], kitchen(NOW))
    assert found == {"a": Fraction("17.775") * 5 / 8, "b": Fraction("17.775") * 3 / 8}


def test_an_oven_that_has_cooled_is_heated_again() -> None:
    first, second = bake("a", 0, [(60, 110)]), bake("b", 141, [(201, 251)])
    alone = energy_kwh([first], kitchen(NOW))
    assert energy_kwh([first, second], kitchen(NOW)) == alone | {"b": alone["a"]}


def test_two_ovens_heat_up_each_for_itself() -> None:
    """The first as before, 9 kW; the second, of 3 kW and half of it while it bakes, bears its own.

    At the same hour: 3 + 3 × 0.5 × 50/60 = 4.25 kWh. An oven of no known power draws nothing told.
    """
    more = '[[oven]]\nname = "{}"\nloaves = 4\nrolls = 24\npreheat = "60min"\n{}\n'
    alone = '[oven]\nname = "Deck oven"\n'
    three = more.format("Pot oven", 'power = "3kW"') + more.format("Hearth", "")
    hall = kitchen(NOW, (alone, three + '[[oven]]\nname = "Deck oven"\n'))
    ovens = {"a": "Deck oven", "b": "Pot oven", "c": "Hearth", "d": "Gone"}
    found = energy_kwh([bake(key, 0, [(60, 110)], oven) for key, oven in ovens.items()], hall)
    assert found == {"a": Fraction("9") + Fraction("9") * 45 / 100 * 50 / 60, "b": Fraction("4.25")}


def test_a_formula_alone_needs_as_many_loads_as_it_has_pieces_for() -> None:
    """Up to eight loaves are one load; nine are two, which is one load's minutes more."""
    loaf, hall = formula("harbour-loaf"), kitchen(NOW)
    one, two = formula_kwh(loaf, hall, 8), formula_kwh(loaf, hall, 9)
    assert one is not None
    assert two is not None
    assert float(two - 9) == pytest.approx(2 * float(one - 9), rel=0.1)  # 9 kWh to heat up


def test_without_a_power_nothing_is_told() -> None:
    cold = kitchen(NOW, ('power = "9kW"', ""))
    assert energy_kwh([bake("a", 0, [(60, 110)])], cold) == {}
    assert formula_kwh(formula("harbour-loaf"), cold, 8) is None
