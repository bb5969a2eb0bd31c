"""Every figure from outside, against what the engine makes of it."""

from __future__ import annotations

import pytest
from tests.outside.case import Case, each
from tests.outside.heat_cases import iapws_heat_capacity
from tests.outside.topics import TOPICS

CASES = each(TOPICS)


@pytest.mark.parametrize("case", [case for _, case in CASES], ids=[name for name, _ in CASES])
def test_outside(case: Case) -> None:
    ours = case.ours()
    assert case.holds(ours), f"{ours:g} against {case.published}"


def test_the_reprinted_figure_for_water_is_wrong() -> None:
    reprinted = 4.1289 - 9.0864e-5 * 20 + 5.4731e-6 * 400
    assert abs(reprinted / iapws_heat_capacity(20) - 1) > 0.01
