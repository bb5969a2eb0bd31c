"""The body that stands for a loaf: its volume, its surface, its slowest mode."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pointage.heat.loaf import (
    BreadType,
    LoafBody,
    LoafShape,
    brick,
    disc,
    ellipsoid,
    first_root,
    loaf_body,
)


@pytest.mark.parametrize(
    ("power", "root"),
    [(0.0, math.pi / 2), (1.0, 2.404826), (2.0, math.pi), (3.0, 3.831706), (4.0, 4.493409)],
)
def test_first_roots(power: float, root: float) -> None:
    """Zeros of the Bessel functions of order (power − 1)/2, as tables print them."""
    assert first_root(power) == pytest.approx(root, abs=1e-6)


def test_a_sphere_is_a_sphere() -> None:
    surface, slowness = ellipsoid(0.1, 0.1, 0.1)
    volume = 4 / 3 * math.pi * 0.1**3
    body = LoafBody.of(1.0, volume, surface, slowness)
    assert body.power == pytest.approx(2.0, abs=1e-6)
    assert body.radius_m == pytest.approx(0.1, rel=1e-6)


def test_a_wide_disc_is_nearly_a_slab() -> None:
    surface, slowness = disc(10.0, 10.0, 0.01)
    body = LoafBody.of(1.0, math.pi * 100 * 0.02, surface, slowness)
    assert body.power == pytest.approx(0.0, abs=0.01)
    assert body.radius_m == pytest.approx(0.01, rel=0.01)


def test_surface_of_an_ellipsoid() -> None:
    """Half axes 2, 2, 1: 2π·4·(1 + (1 − e²)/e·artanh e), e² = 3/4; exact for an oblate one."""
    e = math.sqrt(0.75)
    exact = 2 * math.pi * 4 * (1 + (1 - e * e) / e * math.atanh(e))
    assert ellipsoid(2.0, 2.0, 1.0)[0] == pytest.approx(exact, rel=0.011)


@given(a=st.floats(0.05, 0.3), b=st.floats(0.05, 0.3), c=st.floats(0.02, 0.05))
def test_the_body_has_what_the_brick_has(a: float, b: float, c: float) -> None:
    surface, slowness = brick(a, b, c)
    body = LoafBody.of(1.0, 8 * a * b * c, surface, slowness)
    assert body.surface_m2 * body.radius_m / (body.power + 1) == pytest.approx(8 * a * b * c)
    assert (first_root(body.power) / body.radius_m) ** 2 == pytest.approx(slowness, rel=1e-6)


@given(grams=st.integers(50, 3000), shape=st.sampled_from(LoafShape))
def test_a_loaf_has_the_volume_of_its_dough(grams: int, shape: LoafShape) -> None:
    lean = loaf_body(grams / 1000, shape, BreadType.LEAN)
    rye = loaf_body(grams / 1000, shape, BreadType.RYE)
    assert lean.mass_kg / lean.volume_m3 == pytest.approx(400.0)
    assert rye.volume_m3 < lean.volume_m3
    sphere = (36 * math.pi * lean.volume_m3**2) ** (1 / 3)
    assert lean.surface_m2 > sphere  # of all bodies, a sphere has the least
