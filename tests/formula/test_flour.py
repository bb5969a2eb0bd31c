"""Flour arithmetic: moisture bases, types by ash, and blends against a linear solve."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from pointage.errors import InputError, RangeError
from pointage.formula.flour.sheet import MillSheet, blend, share_for
from pointage.formula.flour.types import flour_type, flour_types, types_of_ash
from pointage.science.flour_analysis import (
    falling_number,
    liquefaction,
    on_basis,
    protein_of,
)


def test_moisture_bases() -> None:
    # By hand: 0.55 % of dry matter is 0.55 × 86 / 100 = 0.473 % at 14 % moisture, and back.
    assert on_basis(0.55, 0, 14) == pytest.approx(0.473)
    assert on_basis(0.473, 14) == pytest.approx(0.55)
    # 12 % protein at 14 % moisture is 12 × 100 / 86 = 13.953 % of dry matter.
    assert on_basis(12, 14) == pytest.approx(13.953, abs=5e-4)
    with pytest.raises(RangeError, match="moisture: 60 % is outside 0 to 40"):
        on_basis(12, 60)


def test_kjeldahl() -> None:
    # Protein = N × 5.7 for wheat: 2.1 % of nitrogen is 11.97 %.
    assert protein_of(2.1) == pytest.approx(11.97)


def test_falling_numbers_blend_by_liquefaction_number() -> None:
    # LN = 6000 / (FN − 50), Perten, from memory. By hand: 250 gives 30, 350 gives 20; half and half
    # 25, which is 290, not the 300 of a plain mean.
    assert liquefaction(250) == pytest.approx(30)
    assert liquefaction(350) == pytest.approx(20)
    assert falling_number(25) == pytest.approx(290)
    half = blend([(MillSheet(falling_s=250), 1), (MillSheet(falling_s=350), 1)])
    assert half.falling_s == pytest.approx(290)
    with pytest.raises(RangeError, match="falling number: 40 s"):
        liquefaction(40)


ASH = st.floats(0.3, 2.5)
MOISTURE = st.floats(8, 16)


@given(ASH, ASH, MOISTURE, MOISTURE, st.floats(0.02, 0.98))
def test_a_blend_solves_the_linear_equations(
    one: float, other: float, wet: float, wetter: float, share: float
) -> None:
    # Grams a and b of the two flours with a + b = 1000 and the ash that the blend has in all:
    # numpy solves for them from the answer alone.
    parts = [
        (MillSheet(wet, ash=one), 1000 * share),
        (MillSheet(wetter, ash=other), 1000 * (1 - share)),
    ]
    found = blend(parts)
    assert found.ash_dry is not None
    dry = 1000 * (100 - found.moisture) / 100
    ash_in_gram = [(100 - wet) / 100 * one / 100, (100 - wetter) / 100 * other / 100]
    if abs(ash_in_gram[0] - ash_in_gram[1]) < 1e-4:
        return
    grams_and_ash = np.array([[1.0, 1.0], ash_in_gram])
    solved = np.linalg.solve(grams_and_ash, np.array([1000, dry * found.ash_dry / 100]))
    assert solved[0] == pytest.approx(1000 * share, rel=1e-6)


@given(st.floats(80, 800), st.floats(80, 800), st.floats(0, 1))
def test_a_wanted_value_is_met(one: float, other: float, part: float) -> None:
    low, high = sorted((liquefaction(one), liquefaction(other)))
    if high - low < 1e-3:
        return
    wanted = low + part * (high - low)
    share = share_for(wanted, liquefaction(one), liquefaction(other), "falling number")
    found = blend([(MillSheet(falling_s=one), share), (MillSheet(falling_s=other), 1 - share)])
    assert found.falling_s == pytest.approx(falling_number(wanted), rel=1e-6)


def test_a_value_that_no_blend_has_is_refused() -> None:
    with pytest.raises(
        InputError, match=r"^protein: 15 cannot be used; expected between the two flours"
    ):
        share_for(15, 10, 12, "protein")
    with pytest.raises(InputError, match="more than 0 g"):
        blend([])


def test_what_one_sheet_does_not_say_the_blend_does_not_know() -> None:
    found = blend([(MillSheet(ash=0.5, protein=12), 1), (MillSheet(ash=1.5), 1)])
    assert found.ash_dry == pytest.approx(1.0)
    assert found.protein_dry is None


@pytest.mark.parametrize(
    ("ash", "grain", "expected"),
    [
        # French and Italian types from memory, German wheat from DIN 10355 as seen.
        (0.57, "wheat", {"T55", "550", "0"}),
        (0.68, "wheat", {"T65", "812", "1"}),
        (0.61, "wheat", {"T55", "550", "0"}),  # between T55 and T65
        (1.05, "wheat", {"T110", "1050", "2"}),
        (1.50, "wheat", {"T150", "1600", "integrale"}),
        (1.15, "rye", {"1150"}),
        (1.90, "rye", {"1740"}),
    ],
)
def test_types_by_ash(ash: float, grain: str, expected: set[str]) -> None:
    assert {each.name for each in types_of_ash(ash, grain)} == expected


def test_a_type_means_its_own_ash() -> None:
    for each in flour_types():
        assert each.off(each.middle) == 0
        assert flour_type(each.name, each.grain) == each
        assert each in types_of_ash(each.middle, each.grain)
    assert flour_type("t65").middle == pytest.approx(0.685)
    assert flour_type("00").protein == 9
    with pytest.raises(InputError, match=r"'T70' cannot be used; expected one of T45, T55"):
        flour_type("T70")
