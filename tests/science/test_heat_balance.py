"""The heat balance keeps heat, and its inverse undoes it."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pointage.errors import RangeError
from pointage.science.composition import Composition, component_heat_capacity, food_heat_capacity
from pointage.science.heat_balance import (
    LATENT_HEAT_OF_ICE,
    HeatPart,
    frozen_part,
    ice_heat_capacity,
    ice_needed,
    mix_temperature,
    water_temperature,
)
from pointage.science.mixing_work import mixing_heat
from pointage.science.wetting import heat_of_wetting

WATER = 4.18

parts = st.builds(
    HeatPart,
    mass_kg=st.floats(0.01, 20.0),
    heat_capacity=st.floats(0.4, 4.2),
    celsius=st.floats(-20.0, 95.0),
)
some_parts = st.lists(parts, min_size=1, max_size=6)
gains = st.floats(0.0, 15.0)


def heat(things: list[HeatPart], celsius: float) -> float:
    """kJ that `things` give up on the way to `celsius`."""
    return sum(p.mass_kg * p.heat_capacity * (p.celsius - celsius) for p in things)


@given(some_parts)
def test_what_the_warm_parts_lose_the_cold_ones_gain(things: list[HeatPart]) -> None:
    end = mix_temperature(things)
    moved = sum(abs(heat([each], end)) for each in things)
    assert abs(heat(things, end)) <= 1e-9 * max(moved, 1.0)


@given(some_parts)
def test_a_mix_lies_between_its_coldest_and_warmest_part(things: list[HeatPart]) -> None:
    temperatures = [each.celsius for each in things]
    assert min(temperatures) - 1e-9 <= mix_temperature(things) <= max(temperatures) + 1e-9


@given(some_parts, st.floats(0.05, 20.0), st.floats(5.0, 40.0), gains)
def test_the_water_found_makes_the_wanted_mix(
    things: list[HeatPart], water_kg: float, wanted_c: float, gained_k: float
) -> None:
    water_c = water_temperature(things, water_kg, WATER, wanted_c, gained_k)
    made = mix_temperature([*things, HeatPart(water_kg, WATER, water_c)], gained_k)
    assert made == pytest.approx(wanted_c, rel=1e-9)


@given(some_parts, st.floats(0.05, 20.0), st.floats(5.0, 40.0), gains, st.floats(0.1, 10.0))
def test_a_warmer_wish_wants_warmer_water_and_more_friction_colder(
    things: list[HeatPart], water_kg: float, wanted_c: float, gained_k: float, more: float
) -> None:
    water_c = water_temperature(things, water_kg, WATER, wanted_c, gained_k)
    # A kelvin more in the mix is at least a kelvin more in the water, which must warm the rest.
    least = more * (1 - 1e-9)
    assert water_temperature(things, water_kg, WATER, wanted_c + more, gained_k) >= water_c + least
    assert water_temperature(things, water_kg, WATER, wanted_c, gained_k + more) <= water_c - least


@given(st.floats(0.1, 20.0), st.floats(1.0, 35.0), st.floats(-70.0, 35.0))
def test_ice_and_tap_water_hold_the_heat_of_the_wanted_water(
    water_kg: float, tap_c: float, wanted_c: float
) -> None:
    ice_kg = ice_needed(water_kg, tap_c, wanted_c, WATER)
    if wanted_c >= tap_c:
        assert ice_kg == 0.0
        return
    # Heat above water at 0 °C, kJ.
    together = (water_kg - ice_kg) * WATER * tap_c - ice_kg * LATENT_HEAT_OF_ICE
    assert together == pytest.approx(water_kg * WATER * wanted_c, rel=1e-9, abs=1e-6 * water_kg)


def test_all_of_the_water_is_ice_at_the_cold_end() -> None:
    assert ice_needed(2.0, 15.0, -LATENT_HEAT_OF_ICE / WATER, WATER) == pytest.approx(2.0)


@given(
    st.sampled_from(["water", "protein", "fat", "carbohydrate", "fibre", "ash"]),
    st.floats(0.0, 150.0),
)
def test_a_food_of_one_component_is_that_component(name: str, celsius: float) -> None:
    whole = food_heat_capacity(Composition(**{name: 3.0}), celsius)
    assert whole == pytest.approx(component_heat_capacity(name, celsius))


@pytest.mark.parametrize("celsius", [-0.1, 150.1])
def test_outside_its_temperatures_the_model_refuses(celsius: float) -> None:
    with pytest.raises(RangeError, match="outside 0 to 150 °C"):
        component_heat_capacity("water", celsius)


@pytest.mark.parametrize("composition", [Composition(), Composition(water=2.0, fat=-1.0)])
def test_a_composition_of_nothing_or_less_is_refused(composition: Composition) -> None:
    with pytest.raises(RangeError, match="composition"):
        food_heat_capacity(composition, 20.0)


@given(st.floats(0.01, 5.0), st.floats(-39.0, 0.0), st.floats(1.0, 60.0))
def test_ice_takes_up_its_warming_its_melting_and_the_warming_of_its_water(
    mass_kg: float, celsius: float, to_c: float
) -> None:
    ice = frozen_part(mass_kg, WATER, celsius, 1.0, 0.0)
    # The heat capacity of ice is linear, so its mean over the way is that of the middle.
    warming = ice_heat_capacity(celsius / 2) * -celsius
    by_hand = mass_kg * (warming + LATENT_HEAT_OF_ICE + WATER * to_c)
    assert ice.lacks(to_c) == pytest.approx(by_hand, rel=1e-9)


@given(some_parts, st.floats(0.01, 1.0), st.floats(-30.0, -1.0))
def test_a_frozen_part_cools_a_mix_more_than_a_merely_cold_one(
    things: list[HeatPart], mass_kg: float, celsius: float
) -> None:
    cold = HeatPart(mass_kg, 3.0, celsius)
    frozen = frozen_part(mass_kg, 3.0, celsius, 0.4, 2.2)
    assert mix_temperature([*things, frozen]) < mix_temperature([*things, cold])


@pytest.mark.parametrize("celsius", [0.1, -40.1])
def test_ice_is_ice(celsius: float) -> None:
    with pytest.raises(RangeError, match="outside -40 to 0 °C"):
        ice_heat_capacity(celsius)


@given(st.floats(0.0, 0.199), st.floats(0.0005, 0.01))
def test_damper_flour_gives_off_less_heat(moisture: float, more: float) -> None:
    if moisture + more <= 0.2:
        assert heat_of_wetting(moisture + more) < heat_of_wetting(moisture)


def test_wetting_and_mixing_refuse_what_cannot_be() -> None:
    with pytest.raises(RangeError, match="flour moisture"):
        heat_of_wetting(0.3)
    with pytest.raises(RangeError, match="mixing"):
        mixing_heat("hand", -1.0)
    assert mixing_heat("spiral-fast", 4.0) == pytest.approx(4 * mixing_heat("spiral-fast", 1.0))
