"""Foods by composition and foams by their gas: limits that hold whatever the figures."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pointage.errors import RangeError
from pointage.science.composition import (
    AIR_CONDUCTIVITY,
    Composition,
    component_conductivity,
    foam_conductivity,
    food_conductivity,
    food_density,
    food_heat_capacity,
)

SHARE = st.floats(0.05, 1.0)


@given(water=SHARE, protein=SHARE, starch=SHARE, fat=SHARE, celsius=st.floats(0, 90))
def test_a_food_lies_between_its_components(
    water: float, protein: float, starch: float, fat: float, celsius: float
) -> None:
    whole = Composition(water=water, protein=protein, carbohydrate=starch, fat=fat)
    alone = [Composition(**{name: 1.0}) for name in ("water", "protein", "carbohydrate", "fat")]
    for of in (food_heat_capacity, food_density, food_conductivity):
        ends = [of(each, celsius) for each in alone]
        assert min(ends) <= of(whole, celsius) <= max(ends)


@given(walls=st.floats(0.1, 1.0), less=st.floats(0.0, 0.95), more=st.floats(0.01, 0.05))
def test_gas_makes_a_foam_conduct_less(walls: float, less: float, more: float) -> None:
    lean, rich = foam_conductivity(walls, less), foam_conductivity(walls, less + more)
    assert AIR_CONDUCTIVITY <= rich < lean <= walls + 1e-12
    # No foam conducts more than walls and gas side by side, nor less than one behind the other.
    assert lean <= (1 - less) * walls + less * AIR_CONDUCTIVITY + 1e-12
    assert lean >= 1 / ((1 - less) / walls + less / AIR_CONDUCTIVITY) - 1e-12


def test_the_ends_of_a_foam() -> None:
    assert foam_conductivity(0.45, 0.0) == pytest.approx(0.45, rel=1e-12)
    assert foam_conductivity(0.45, 1.0) == pytest.approx(AIR_CONDUCTIVITY, rel=1e-12)
    # Pores that do not conduct at all: λw·(1 − φ)/(1 + φ/2), Maxwell's own limit.
    assert foam_conductivity(0.45, 0.5, gas=0.0) == pytest.approx(0.45 * 0.5 / 1.25, rel=1e-12)


def test_what_cannot_be_is_an_error() -> None:
    with pytest.raises(RangeError, match="gas share"):
        foam_conductivity(0.45, 1.2)
    with pytest.raises(RangeError, match="composition"):
        food_density(Composition(water=1.0, fat=-0.1), 20.0)
    with pytest.raises(RangeError, match="temperature"):
        component_conductivity("water", -1.0)
