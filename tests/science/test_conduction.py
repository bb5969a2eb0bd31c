"""Conduction in slab, cylinder and sphere: printed tables, another program, and limits."""

from __future__ import annotations

from math import exp, pi

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import quad
from scipy.optimize import brentq
from scipy.special import j0, j1

from pointage.errors import RangeError
from pointage.science.conduction import (
    CYLINDER,
    SLAB,
    SPHERE,
    biot_number,
    core_ratio,
    fourier_number,
    mean_delay,
    mean_ratio,
    terms,
    two_faced_terms,
)

SHAPES = (SLAB, CYLINDER, SPHERE)

# Çengel, Heat and Mass Transfer, table 4-2 (seen): Bi, then root and coefficient of slab, cylinder
# and sphere. Incropera & DeWitt print the same, but 1.0160 for the slab at 0.1.
TABLE = """
0.01  0.0998 1.0017  0.1412 1.0025  0.1730 1.0030
0.1   0.3111 1.0161  0.4417 1.0246  0.5423 1.0298
0.2   0.4328 1.0311  0.6170 1.0483  0.7593 1.0592
0.3   0.5218 1.0450  0.7465 1.0712  0.9208 1.0880
0.5   0.6533 1.0701  0.9408 1.1143  1.1656 1.1441
0.7   0.7506 1.0918  1.0873 1.1539  1.3525 1.1978
1.0   0.8603 1.1191  1.2558 1.2071  1.5708 1.2732
2.0   1.0769 1.1785  1.5995 1.3384  2.0288 1.4793
3.0   1.1925 1.2102  1.7887 1.4191  2.2889 1.6227
5.0   1.3138 1.2403  1.9898 1.5029  2.5704 1.7870
10.0  1.4289 1.2620  2.1795 1.5677  2.8363 1.9249
"""
ROWS = [[float(each) for each in line.split()] for line in TABLE.split("\n") if line]


@pytest.mark.parametrize("row", ROWS, ids=lambda row: f"Bi {row[0]:g}")
def test_every_printed_digit_of_the_table(row: list[float]) -> None:
    """Half of the last digit, and a hair for figures that lie on the border."""
    for i, power in enumerate(SHAPES):
        (first,) = terms(power, row[0])
        assert first.root == pytest.approx(row[1 + 2 * i], abs=5.1e-5)
        assert first.core == pytest.approx(row[2 + 2 * i], abs=5.1e-5)


@pytest.mark.parametrize(
    ("power", "biot", "fourier", "ratio", "tolerance"),
    [
        # Çengel, worked examples of chapter 4, from memory. The charts are read to a hundredth.
        pytest.param(SLAB, 1 / 45.8, 35.6, 0.46, 0.01, id="a brass plate of 4 cm, 7 min"),
        pytest.param(CYLINDER, 0.537, 1.07, 0.40, 0.01, id="a steel shaft of 20 cm, 45 min"),
        pytest.param(SPHERE, 47.8, 0.209, 25 / 90, 0.005, id="an egg at 70 °C in water of 95"),
    ],
)
def test_what_the_charts_say(
    power: float, biot: float, fourier: float, ratio: float, tolerance: float
) -> None:
    assert core_ratio(power, biot, fourier) == pytest.approx(ratio, abs=tolerance)


def test_the_numbers_of_the_egg() -> None:
    """h = 1200, R = 2.5 cm, λ = 0.627, α = 0.151e-6: Bi 47.8, and Fo 0.209 after 865 s."""
    assert biot_number(1200, 0.025, 0.627) == pytest.approx(47.8, abs=0.05)
    assert fourier_number(0.151e-6, 865, 0.025) == pytest.approx(0.209, abs=5e-4)


@settings(deadline=None)
@given(biot=st.floats(1e-3, 200.0))
def test_roots_are_those_of_another_program(biot: float) -> None:
    """SciPy's Bessel functions and root finder, the first eight roots of each shape."""
    conditions = {
        SLAB: lambda z: z * np.sin(z) - biot * np.cos(z),
        CYLINDER: lambda z: z * j1(z) - biot * j0(z),
        SPHERE: lambda z: (1 - biot) * np.sin(z) - z * np.cos(z),
    }
    for power, condition in conditions.items():
        ours = [each.root for each in terms(power, biot, 8)]
        assert ours == sorted(ours)
        for root in ours:
            near = brentq(condition, root * (1 - 1e-6), root * (1 + 1e-6), xtol=1e-14)
            assert root == pytest.approx(near, rel=1e-9)
        # None is left out: they are about π apart, the first two up to 4.5 in a sphere.
        assert np.diff(ours).max() < 4.5
        assert np.diff(ours)[1:] == pytest.approx(pi, rel=0.15)
        assert ours[0] < {SLAB: pi / 2, CYLINDER: 2.4049, SPHERE: pi}[power]


@settings(deadline=None)
@given(power=st.sampled_from(SHAPES), biot=st.floats(0.01, 100.0))
def test_the_gap_is_whole_at_the_start_and_falls(power: float, biot: float) -> None:
    left_out = 2 * (power + 1) / (pi**2 * 20)  # by 20 terms, with no film at all
    assert 1 - left_out < sum(each.mean for each in terms(power, biot, 20)) < 1
    fouriers = (0.01, 0.03, 0.1, 0.5, 1.0, 3.0)
    means = [mean_ratio(power, biot, each) for each in fouriers]
    cores = [core_ratio(power, biot, each) for each in fouriers]
    assert means == sorted(means, reverse=True)
    assert all(core > mean for core, mean in zip(cores, means, strict=True))
    assert cores[0] == pytest.approx(1.0, abs=1e-6)


@settings(deadline=None)
@given(power=st.sampled_from(SHAPES), biot=st.floats(1e-4, 0.02))
def test_a_body_of_small_biot_number_is_lumped(power: float, biot: float) -> None:
    """exp(−(p+1)·Bi·Fo): the textbooks' lumped capacity; both differ by less than Bi/3."""
    fourier = 1.0 / ((power + 1) * biot)
    assert mean_ratio(power, biot, fourier) == pytest.approx(exp(-1), abs=biot / 3)
    assert core_ratio(power, biot, fourier) == pytest.approx(exp(-1), abs=biot / 3)


@pytest.mark.parametrize("power", SHAPES)
@pytest.mark.parametrize("biot", [0.1, 1.0, 3.0, 20.0])
def test_the_delay_is_the_area_under_the_mean(power: float, biot: float) -> None:
    series = sum(each.mean / each.root**2 for each in terms(power, biot, 20))
    assert mean_delay(power, biot) == pytest.approx(series, rel=1e-5)


@pytest.mark.parametrize("power", SHAPES)
@pytest.mark.parametrize(("biot", "delayed", "slowest"), [(1.0, 0.010, 0.012), (3.0, 0.035, 0.05)])
def test_how_far_one_exponential_is_from_the_mean(
    power: float, biot: float, delayed: float, slowest: float
) -> None:
    """In shares of the gap, over the whole cooling. The slowest mode alone is the worse one."""
    root, delay = terms(power, biot)[0].root, mean_delay(power, biot)
    fouriers = np.linspace(0.01, 6 * delay, 400)
    means = [mean_ratio(power, biot, fourier) for fourier in fouriers]
    by_delay = np.abs(np.exp(-fouriers / delay) - means).max()
    by_mode = np.abs(np.exp(-fouriers * root**2) - means).max()
    assert by_delay < delayed
    assert by_delay < by_mode < slowest


@given(biot=st.floats(0.05, 20.0))
def test_a_slab_with_two_like_faces_is_half_as_thick_a_slab(biot: float) -> None:
    both = two_faced_terms(2 * biot, 2 * biot, 5)
    half = terms(SLAB, biot, 3)
    for one, other in zip(both[::2], half, strict=True):
        assert one.root == pytest.approx(2 * other.root, rel=1e-9)
        assert abs(one.core) == pytest.approx(abs(other.core), rel=1e-9)
        assert one.mean == pytest.approx(other.mean, rel=1e-9)
    assert both[1].mean == pytest.approx(0.0, abs=1e-12)  # it leans one way


def test_a_slab_with_a_closed_face_is_a_slab_about_it() -> None:
    closed, whole = two_faced_terms(0.0, 1.5, 3), terms(SLAB, 1.5, 3)
    for one, other in zip(closed, whole, strict=True):
        assert one.root == pytest.approx(other.root, rel=1e-9)
        assert one.mean == pytest.approx(other.mean, rel=1e-9)


@given(near=st.floats(0.05, 10.0), far=st.floats(0.05, 10.0))
def test_modes_of_a_slab_with_unlike_faces(near: float, far: float) -> None:
    """tan β = β(near + far)/(β² − near·far), and a mean by quadrature (SciPy)."""
    (first,) = two_faced_terms(near, far)
    beta = first.root
    balance = np.sin(beta) * (beta**2 - near * far) - np.cos(beta) * beta * (near + far)
    assert balance == pytest.approx(0.0, abs=1e-8 * (1 + near * far))

    def mode(x: float) -> float:
        return float(np.cos(beta * x) + near / beta * np.sin(beta * x))

    whole = quad(mode, 0, 1)[0]
    assert first.mean == pytest.approx(whole**2 / quad(lambda x: mode(x) ** 2, 0, 1)[0], rel=1e-8)


@given(biot=st.floats(0.05, 20.0))
def test_bodies_between_the_shapes_lie_between_them(biot: float) -> None:
    roots = [terms(power, biot)[0].root for power in (0.0, 0.4, 1.0, 1.6, 2.0, 3.0)]
    assert roots == sorted(roots)
    near = terms(1.0 + 1e-7, biot)[0]
    assert near.root == pytest.approx(terms(CYLINDER, biot)[0].root, rel=1e-5)
    assert near.core == pytest.approx(terms(CYLINDER, biot)[0].core, rel=1e-5)


def test_outside_the_range_there_is_an_error() -> None:
    with pytest.raises(RangeError, match="Biot"):
        terms(SLAB, 0.0)
    with pytest.raises(RangeError, match="Biot"):
        two_faced_terms(0.0, 0.0)
    with pytest.raises(RangeError, match="terms"):
        terms(1.5, 1.0, 3)
    with pytest.raises(RangeError, match="Fourier"):
        core_ratio(SLAB, 1.0, 1e-4)
