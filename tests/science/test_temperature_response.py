"""The curve through published points is the monotone cubic of an independent program."""

from __future__ import annotations

import numpy as np
from hypothesis import given
from hypothesis import strategies as st
from scipy.interpolate import PchipInterpolator

from pointage.data import load
from pointage.science.temperature_response import through_points

shares = st.lists(st.floats(0, 1).map(lambda x: round(x, 3)), min_size=3, max_size=9)


@given(shares, st.floats(0, 1))
def test_it_is_the_same_for_any_points(ys: list[float], at: float) -> None:
    points = [(7.0 + 2.5 * n + (n % 3), y) for n, y in enumerate(ys)]
    low, high = points[0][0], points[-1][0]
    celsius = low + at * (high - low)
    other = float(PchipInterpolator(*zip(*points, strict=True))(celsius))
    inside = low < celsius < high
    np.testing.assert_allclose(through_points(celsius, points), other * inside, rtol=0, atol=1e-13)


def test_it_is_the_same_at_every_temperature_of_the_tables() -> None:
    for organism in ("yeast", "bacteria"):
        points = load("parameters/growth-rules-1998.toml")[organism]["points"]
        other = PchipInterpolator(*zip(*points, strict=True), extrapolate=False)
        for celsius in np.arange(-5.0, 70.0, 0.1):
            expected = float(np.nan_to_num(other(celsius)))
            assert through_points(float(celsius), points) == expected
