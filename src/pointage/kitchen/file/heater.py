"""What the oven draws, and what energy costs, as the kitchen file gives them."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from pointage.errors import InputError, UnitError
from pointage.kitchen.file import shape
from pointage.money import parse_money
from pointage.quantities import split_number
from pointage.toml import place_of

KILOWATTS_PER = {"kw": Fraction(1), "w": Fraction(1, 1000)}
POWER_KW = (Fraction(1, 2), Fraction(500))  # beyond these a unit was mistaken


@dataclass(frozen=True, slots=True)
class Heater:
    """What an oven draws: its power in kW, and the shares of it while heating up and baking."""

    power_kw: Fraction
    heating_duty: Fraction
    baking_duty: Fraction


def read_heater(table: shape.OvenTable, here: str) -> Heater | None:
    """The heater of an oven; None where its power is not given. Raises InputError with `here`."""
    if table.power is None:
        return None
    field, expected = place_of(here, "power"), "a power such as 9kW, from 0.5 to 500 kW"
    number, unit = split_number(table.power, field, expected)
    power = number * KILOWATTS_PER.get(unit.lower() or "kw", Fraction())
    if not POWER_KW[0] <= power <= POWER_KW[1]:
        raise UnitError(field, repr(table.power), expected)
    return Heater(
        power,
        _duty(table.heating_duty, place_of(here, "heating_duty")),
        _duty(table.baking_duty, place_of(here, "baking_duty")),
    )


def read_energy_price(
    table: shape.EnergyTable | None, currency: str, source: str
) -> Fraction | None:
    """The price of a kWh in the kitchen's currency; None where none is given. Raises InputError."""
    if table is None:
        return None
    field = place_of(source, "energy", "price")
    price, named = parse_money(table.price, field, currency)
    if named != currency:
        raise InputError(field, repr(table.price), f"a price in {currency}, the kitchen's currency")
    return price


def _duty(text: str, field: str) -> Fraction:
    expected = "a percentage from 0 to 100"
    number, unit = split_number(text, field, expected)
    if unit not in ("", "%") or not 0 <= number <= 100:
        raise UnitError(field, repr(text), expected)
    return number / 100
