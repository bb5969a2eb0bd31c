"""Growth against temperature, pH and time, held against what was published."""

from __future__ import annotations

import numpy as np
import pytest

from pointage.data import load
from pointage.mixture.response import relative_rate
from pointage.science.carbon_dioxide import saturation
from pointage.science.lag import baranyi_roberts, readiness
from pointage.science.ph_response import cardinal_ph
from pointage.science.temperature_response import cardinal

RULES = "growth-rules-1998"


# Rules of thumb given in 1998 (seen): optimum, then where the rate is a half and a quarter of it.
# They name whole degrees, and a curve of two constants is drawn through six points, hence ± 0.06.
@pytest.mark.parametrize(
    ("organism", "celsius", "share"),
    [
        ("bacteria", 32.5, 1.0), ("bacteria", 20, 0.5), ("bacteria", 37, 0.5),
        ("bacteria", 15, 0.25), ("bacteria", 39, 0.25),
        ("yeast", 28, 1.0), ("yeast", 20, 0.5), ("yeast", 32, 0.5),
        ("yeast", 14, 0.25), ("yeast", 34, 0.25),
    ],
)  # fmt: skip
def test_rules_of_thumb_of_1998(organism: str, celsius: float, share: float) -> None:
    assert relative_rate(organism, celsius, RULES) == pytest.approx(share, abs=0.08)


# Limits in the abstract of Appl Environ Microbiol 64:2616 (1998, seen): none above 41 and 36 °C.
@pytest.mark.parametrize(("organism", "limit"), [("bacteria", 41.0), ("yeast", 36.0)])
@pytest.mark.parametrize("growth_set", [RULES, "growth-curves-1998", "growth-cardinal"])
def test_no_growth_above_the_limit(organism: str, limit: float, growth_set: str) -> None:
    assert relative_rate(organism, limit, growth_set) == 0.0
    assert relative_rate(organism, 25.0, growth_set) > 0.5


# Optimum of the yeast 27 °C in the 1998 abstract, 28 °C in the rules and in rye (Brandt 2004); of
# the bacteria 32 to 33 °C. The tops of the curves are flat, so the rate there is what can be told.
@pytest.mark.parametrize(("organism", "optimum"), [("yeast", 27.5), ("bacteria", 32.5)])
@pytest.mark.parametrize("growth_set", [RULES, "growth-curves-1998", "growth-cardinal"])
def test_optimum(organism: str, optimum: float, growth_set: str) -> None:
    best = max(relative_rate(organism, t, growth_set) for t in np.arange(5, 42, 0.1))
    assert best == pytest.approx(1.0, rel=1e-3)
    assert relative_rate(organism, optimum, growth_set) > 0.96


# Rates per hour after the 1998 table, from memory; two recollections agree up to 14 °C, the values
# from 16 °C on are marked approximate. Ratios to the value at 20 °C; 15 % covers the rounding of
# two-digit rates.
@pytest.mark.parametrize(
    ("organism", "table"),
    [
        ("bacteria", {10: 0.063, 14: 0.114, 18: 0.187, 20: 0.239, 24: 0.37, 28: 0.53}),
        ("yeast", {12: 0.052, 14: 0.078, 18: 0.163, 20: 0.225, 24: 0.365, 28: 0.417}),
    ],
)
def test_curves_of_1998_follow_the_remembered_table(organism: str, table: dict[int, float]) -> None:
    at_20 = relative_rate(organism, 20, "growth-curves-1998")
    for celsius, rate in table.items():
        ratio = relative_rate(organism, celsius, "growth-curves-1998") / at_20
        assert ratio == pytest.approx(rate / table[20], rel=0.15)


def test_cardinal_models_at_their_cardinal_points() -> None:
    """The definition of the models (Rosso 1993, 1995), with E. coli's points of the 1995 paper."""
    assert cardinal(41.1, 3.06, 41.1, 45.06) == pytest.approx(1.0)
    assert cardinal(3.06, 3.06, 41.1, 45.06) == 0.0
    assert cardinal_ph(7.2, 3.88, 7.2, 12.17) == pytest.approx(1.0)
    assert cardinal_ph(3.88, 3.88, 7.2, 12.17) == 0.0


def test_bacteria_stop_growing_at_the_published_ph() -> None:
    """Growth stops at 3.8 (rules of 1998); 3.9 to 6.7 in the abstract; Brandt 2004 has 4.0."""
    limits = load("parameters/kinetics.toml")["bacteria"]
    assert 3.8 <= limits["ph_stop"] <= 4.0
    assert 5.0 <= limits["ph_best"] <= 5.5


def test_integration_meets_the_closed_form_of_baranyi_and_roberts() -> None:
    """dQ/dt = μQ, dN/dt = Q/(1+Q)·μ·(1−N/Nmax)·N against the closed form of the 1994 paper.

    The kernel's own equations with sleep and ceiling of readiness left out; 24 h in steps of the
    kernel's length agree to a part in ten thousand.
    """
    rate, lag_work, start, most, step, hours = 0.42, 1.1, 1e5, 3e7, 0.25, 24.0

    def slope(q: float, n: float) -> tuple[float, float]:
        return rate * q, q / (1 + q) * rate * (1 - n / most) * n

    q, n = readiness(lag_work), start
    for _ in range(int(hours / step)):
        a = slope(q, n)
        b = slope(q + step / 2 * a[0], n + step / 2 * a[1])
        c = slope(q + step / 2 * b[0], n + step / 2 * b[1])
        d = slope(q + step * c[0], n + step * c[1])
        q += step / 6 * (a[0] + 2 * b[0] + 2 * c[0] + d[0])
        n += step / 6 * (a[1] + 2 * b[1] + 2 * c[1] + d[1])
    assert n == pytest.approx(baranyi_roberts(hours, start, rate, lag_work, most), rel=1e-4)


# Derived from Sander 2023 (seen), pure CO2 at one atmosphere, mmol/L; H is given as 3.3 to 3.4e-4
# and its slope as 2300 to 2400 K, hence 2 %.
@pytest.mark.parametrize(
    ("celsius", "mmol"), [(4, 61.5), (10, 51.2), (20, 38.4), (25, 33.4), (28, 30.9), (30, 29.3)]
)
def test_carbon_dioxide_in_water(celsius: float, mmol: float) -> None:
    assert 1000 * saturation(celsius) == pytest.approx(mmol, rel=0.02)
