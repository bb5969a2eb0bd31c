"""Death by heat against the relations that define D and z."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pointage.science.thermal_death import surviving

minutes = st.floats(0.1, 10.0)
warmth = st.floats(45.0, 70.0)
z_values = st.floats(4.0, 8.0)


@given(minutes, warmth, z_values)
def test_one_d_leaves_a_tenth_and_six_a_millionth(d_min: float, at: float, z: float) -> None:
    """Bigelow 1921: the definition of D."""
    assert surviving(at, d_min / 60, d_min, at, z) == pytest.approx(0.1)
    assert surviving(at, 6 * d_min / 60, d_min, at, z) == pytest.approx(1e-6)


@given(minutes, warmth, z_values)
def test_one_z_hotter_is_ten_times_as_quick(d_min: float, at: float, z: float) -> None:
    """The definition of z."""
    assert surviving(at + z, d_min / 600, d_min, at, z) == pytest.approx(0.1)
    assert surviving(at - z, d_min / 6, d_min, at, z) == pytest.approx(0.1)


@given(warmth, st.floats(0.0, 1.0), st.floats(0.0, 1.0))
def test_two_spells_are_as_one(celsius: float, first: float, second: float) -> None:
    whole = surviving(celsius, first + second, 30.0, 60.0, 5.0)
    parts = [surviving(celsius, hours, 30.0, 60.0, 5.0) for hours in (first, second)]
    assert whole == pytest.approx(parts[0] * parts[1])
    assert 0.0 <= whole <= 1.0
