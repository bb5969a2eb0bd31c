"""Heat against published figures: water, ice, flour, bread, and the trade's worked examples."""

from __future__ import annotations

import pytest
from iapws import IAPWS97
from iapws._iapws import _Ice

from pointage.science.composition import Composition, component_heat_capacity, food_heat_capacity
from pointage.science.factor_method import factor_water_temperature, rule_of_ice
from pointage.science.heat_balance import (
    HEAT_CAPACITY,
    LATENT_HEAT_OF_ICE,
    Part,
    ice_needed,
    mix_temperature,
)

ATMOSPHERE_MPA = 0.101325


def iapws_heat_capacity(celsius: float) -> float:
    return float(IAPWS97(T=celsius + 273.15, P=ATMOSPHERE_MPA).cp)


# The curve's own standard error for water is 0.4 % (Choi & Okos, from memory); 0.8 % is twice it.
@pytest.mark.parametrize("celsius", [5, 10, 20, 30, 40, 50, 60])
def test_water_follows_iapws(celsius: float) -> None:
    expected = iapws_heat_capacity(celsius)
    assert component_heat_capacity("water", celsius) == pytest.approx(expected, rel=0.008)


def test_the_reprinted_figure_for_water_does_not() -> None:
    reprinted = 4.1289 - 9.0864e-5 * 20 + 5.4731e-6 * 400
    assert abs(reprinted / iapws_heat_capacity(20) - 1) > 0.01


@pytest.mark.parametrize("celsius", [5, 20, 40, 60])
def test_the_constant_for_water_is_near_iapws_everywhere_bakers_use_it(celsius: float) -> None:
    assert HEAT_CAPACITY["water"] == pytest.approx(iapws_heat_capacity(celsius), rel=0.007)


def test_the_latent_heat_of_ice_is_iapws() -> None:
    """IAPWS-06 for ice and IF97 for water; 0.1 % covers the 333.4 to 333.6 that tables print."""
    water = IAPWS97(T=273.16, P=ATMOSPHERE_MPA).h
    ice = _Ice(273.15, ATMOSPHERE_MPA)["h"]
    assert pytest.approx(water - ice, rel=0.001) == LATENT_HEAT_OF_ICE


# Geankoplis, Transport Processes and Unit Operations, appendix A.4-1, kJ/(kg·K).
MEASURED_FLOUR = (1.80, 1.88)  # 12 to 13.5 % water
MEASURED_WHITE_BREAD = (2.72, 2.85)  # 44 to 45 % water

# Dry matter of white flour and of a lean white loaf, from memory of food tables.
WHITE_FLOUR = Composition(water=12.8, protein=10.3, fat=1.0, carbohydrate=72.7, fibre=2.7, ash=0.5)
WHITE_BREAD = Composition(water=44.5, protein=7.7, fat=1.3, carbohydrate=42.4, fibre=2.4, ash=1.7)


def test_white_bread_by_composition_is_as_measured() -> None:
    low, high = MEASURED_WHITE_BREAD
    assert low <= food_heat_capacity(WHITE_BREAD, 20.0) <= high


def test_flour_by_composition_comes_out_high_so_the_engine_takes_the_measured_value() -> None:
    low, high = MEASURED_FLOUR
    assert low <= HEAT_CAPACITY["flour"] <= high
    assert high < food_heat_capacity(WHITE_FLOUR, 20.0) < high * 1.08


def test_flour_and_water_pass_on_the_share_of_a_change_of_water() -> None:
    """By hand: 0.62·4.18 / (0.62·4.18 + 1.85) = 0.583 at 62 % hydration."""

    def dough(water_c: float) -> float:
        return mix_temperature([Part(1.0, 1.85, 20.0), Part(0.62, 4.18, water_c)])

    assert dough(25.0) - dough(20.0) == pytest.approx(5 * 0.583, rel=0.002)


# Each worked by its source to the whole degree, so the answer is exact.
@pytest.mark.parametrize(
    ("wanted", "flour", "room", "friction", "preferment", "expected"),
    [
        pytest.param(80, 65, 75, 35, None, 65, id="a trade magazine, June 2018, °F"),
        pytest.param(75, 65, 65, 8, None, 87, id="a baking school's course sheet, 2009, °F"),
        pytest.param(24, 20, 21, 12, None, 19, id="by hand, 72 − 53, °C"),
        pytest.param(24, 20, 21, 12, 23, 20, id="by hand with a levain, 96 − 76, °C"),
        pytest.param(78, 72, 75, 24, None, 63, id="by hand, 234 − 171, °F"),
    ],
)
def test_the_factor_method_as_worked_by_the_trade(
    *,
    wanted: float,
    flour: float,
    room: float,
    friction: float,
    preferment: float | None,
    expected: float,
) -> None:
    assert factor_water_temperature(wanted, flour, room, friction, preferment) == expected


def test_the_trades_rule_of_ice() -> None:
    """By hand: 10 kg wanted at 10 °C from a tap at 18 °C, 10 × 8 / 98 = 0.816 kg."""
    assert rule_of_ice(10.0, 18.0, 10.0) == pytest.approx(0.816, abs=0.0005)
    # The same in °F: 64.4 and 50.
    assert rule_of_ice(10.0, 64.4, 50.0, fahrenheit=True) == pytest.approx(0.816, abs=0.0005)
    assert rule_of_ice(10.0, 8.0, 10.0) == 0.0


def test_the_balance_and_the_rule_of_ice_agree() -> None:
    """80 in the rule stands for 333.6/4.18 = 79.8, so they differ by no more than 0.3 %."""
    assert ice_needed(10.0, 18.0, 10.0, 4.18) == pytest.approx(
        rule_of_ice(10.0, 18.0, 10.0), rel=0.003
    )
