"""What the oven draws and what energy costs, in the kitchen file."""

from __future__ import annotations

from fractions import Fraction

import pytest
from tests.timetable.hall import NOW, kitchen

from pointage.errors import InputError

POWER, HEATING, PRICE = 'power = "9kW"', "heating_duty = 100", 'price = "0.34"'


def test_the_demonstration_oven_and_its_energy() -> None:
    hall = kitchen(NOW)
    heater = hall.oven.heater
    assert heater is not None
    assert heater.power_kw == 9
    assert heater.heating_duty == 1
    assert heater.baking_duty == Fraction(45, 100)
    assert hall.energy_price == Fraction("0.34")
    assert hall.currency == "EUR"


@pytest.mark.parametrize(("text", "kilowatts"), [("3500W", "3.5"), ("11 kW", "11"), ("7.5", "7.5")])
def test_power_in_either_unit(text: str, kilowatts: str) -> None:
    heater = kitchen(NOW, (POWER, f'power = "{text}"')).oven.heater
    assert heater is not None
    assert heater.power_kw == Fraction(kilowatts)


def test_what_is_not_told_is_not_known() -> None:
    hall = kitchen(NOW, (POWER, ""), (f"[energy]\n{PRICE}", ""))
    assert hall.oven.heater is None
    assert hall.energy_price is None


@pytest.mark.parametrize(
    ("old", "new", "field"),
    [
        (POWER, 'power = "9bar"', "kitchen.toml, oven, power"),
        (POWER, 'power = "9000kW"', "kitchen.toml, oven, power"),
        (POWER, 'power = "-9kW"', "kitchen.toml, oven, power"),
        (HEATING, "heating_duty = 120", "kitchen.toml, oven, heating_duty"),
        (PRICE, 'price = "dear"', "kitchen.toml, energy, price"),
        (PRICE, 'price = "-0.34"', "kitchen.toml, energy, price"),
        (PRICE, 'price = "0.34 GBP"', "kitchen.toml, energy, price"),
        ('currency = "EUR"', 'currency = "Euro"', "kitchen.toml, currency"),
    ],
)
def test_what_cannot_be_used_is_refused_with_its_place(old: str, new: str, field: str) -> None:
    with pytest.raises(InputError) as refused:
        kitchen(NOW, (old, new))
    assert refused.value.field == field
