"""Boiling against altitude: the standard atmosphere and the steam tables, by another program."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from iapws import IAPWS97

from pointage.errors import RangeError
from pointage.science.boiling_point import (
    boiling_point,
    heat_of_vaporisation,
    pressure_at,
    saturation_temperature,
)


@given(celsius=st.floats(0.01, 340.0))
def test_the_steam_tables_agree(celsius: float) -> None:
    steam = IAPWS97(T=celsius + 273.15, x=1)
    assert saturation_temperature(steam.P * 1e6) == pytest.approx(celsius, abs=1e-6)


@given(celsius=st.floats(60.0, 120.0))
def test_the_heat_of_vaporisation_is_that_of_the_steam_tables(celsius: float) -> None:
    steam, water = (IAPWS97(T=celsius + 273.15, x=x) for x in (1, 0))
    assert heat_of_vaporisation(celsius) == pytest.approx(steam.h - water.h, rel=0.002)


# ISO 2533 with IAPWS-IF97, calculated by another program: m, Pa, °C.
@pytest.mark.parametrize(
    ("altitude", "pascal", "celsius"),
    [
        (0, 101325, 99.97), (250, 98358, 99.14), (500, 95461, 98.31), (1000, 89875, 96.65),
        (1500, 84556, 94.98), (1609, 83431, 94.62), (2000, 79495, 93.32), (2240, 77155, 92.51),
        (2500, 74683, 91.64), (3000, 70109, 89.97), (3640, 64588, 87.83),
    ],
)  # fmt: skip
def test_the_standard_atmosphere(altitude: float, pascal: float, celsius: float) -> None:
    assert pressure_at(altitude) == pytest.approx(pascal, abs=0.6)
    assert boiling_point(altitude) == pytest.approx(celsius, abs=0.006)


def test_outside_the_range_is_an_error() -> None:
    for altitude in (-2001.0, 11_001.0):
        with pytest.raises(RangeError, match="altitude"):
            boiling_point(altitude)
    for pascal in (600.0, 22.1e6):
        with pytest.raises(RangeError, match="pressure"):
            saturation_temperature(pascal)
    for celsius in (59.0, 121.0):
        with pytest.raises(RangeError, match="temperature"):
            heat_of_vaporisation(celsius)
